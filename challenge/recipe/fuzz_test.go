package recipe

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"
)

// seeds are odd texts in our own words, and the corpus where it is there.
func seeds(f *testing.F) {
	for _, s := range []string{"", "\n", "1", "1/0 cup", "½½ cups", "- ", "* [a](", "---\n---\n", "---\ntitle: x\n---\n# y\n", "1.\n2.\n", "\xff\xfe",
		"a 1 (1 (1 oz) can", "2 x 2 x 2 g salt", "# \n## Ingredients\n- 1 cup\n", "Serves", "Prep time: ", "200 °", "gas mark", longRecipe, applyText,
		"- 99999999999999999999/99999999 cups x", "\u00a01\u00a0cup\u00a0x", "|a|b|\n|-|-|\n", "> q\n> q", "<b>1 cup</b> x", "By by by", "1–2–3–4 g"} {
		f.Add(s)
	}
	files, _ := filepath.Glob(corpusRoot + "/*/*.*")
	for i, name := range files {
		if b, err := os.ReadFile(name); err == nil && i%8 == 0 {
			f.Add(string(b))
		}
	}
}

// FuzzRead: whatever is sent there is a breakdown, its places lie in the text,
// it can be stored, judged again and exported.
func FuzzRead(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text string) {
		b := Read(text)
		in := func(p Place) {
			if p.Start < 0 || p.End < p.Start || p.End > len(text) {
				t.Fatalf("place %v outside %d", p, len(text))
			}
		}
		in(b.TitleAt)
		in(b.Yield.At)
		n := len(b.Ingredients())
		for _, i := range b.Ingredients() {
			in(i.At)
			in(i.NameAt)
			in(i.AmountAt)
			if i.Amount.Min.Sign() < 0 || i.Amount.Min.Cmp(i.Amount.Max) > 0 {
				t.Fatalf("amount %v", i.Amount)
			}
		}
		for _, s := range b.Steps() {
			in(s.At)
			for _, d := range s.Durations {
				in(d.At)
			}
			for _, u := range s.Uses {
				if u < 0 || u >= n {
					t.Fatalf("uses %d of %d", u, n)
				}
			}
		}
		if len(b.Ingredients()) == 0 && len(b.Findings) == 0 {
			t.Fatal("nothing found and nothing said")
		}
		if _, err := json.Marshal(b); err != nil {
			t.Fatal(err)
		}
		if c, orphaned := b.Apply(text, nil); len(orphaned) != 0 || len(c.Ingredients()) != n {
			t.Fatal("applying nothing changed something")
		}
		Read(b.Markdown())
	})
}

// FuzzAmount reads one line; the amount is never negative and its words follow
// from the line alone.
func FuzzAmount(f *testing.F) {
	for _, s := range []string{"1 cup x", "1-2 cups x", "½ x", "2 x 400 g x", "1 (14 oz) can x", "x 2 g", "a dozen x", "1,5 dl x", "1/2/3 x", "between 1 and 2 x"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		for _, in := range Read("## Ingredients\n\n- " + line).Ingredients() {
			if in.Amount.Min.Sign() < 0 || in.Amount.Max.Sign() < 0 {
				t.Fatalf("%q: %v", line, in.Amount)
			}
			in.Measure()
			in.Scale(in.Amount.Min)
		}
	})
}

// FuzzMask: the masked text is the text with the places replaced.
func FuzzMask(f *testing.F) {
	f.Add("Basil's pie by Basil\n\nLove,\nBasil", "Basil Cook")
	f.Add("mail a@b.cc or +1 555 010 9999, www.x.org", "Jo")
	f.Add("\xff\xfe@", "\xff")
	f.Fuzz(func(t *testing.T, text, name string) {
		masked, places := Mask(text, []string{name})
		last := 0
		for _, p := range places {
			if p.Start < last || p.End <= p.Start || p.End > len(text) {
				t.Fatalf("places %v", places)
			}
			last = p.End
		}
		if len(places) == 0 && masked != text {
			t.Fatal("changed without a place")
		}
		if utf8.ValidString(text) && !utf8.ValidString(masked) {
			t.Fatal("broke the text")
		}
	})
}

// FuzzLinked: a document is read or refused, and its text read again.
func FuzzLinked(f *testing.F) {
	f.Add([]byte(`{"@type":"Recipe","name":"x","recipeIngredient":["1 g y"],"recipeInstructions":[{"@type":"HowToSection","itemListElement":[]}]}`))
	f.Add([]byte(`[[{"@graph":[{"type":["Recipe"],"recipeYield":{"value":4}}]}]]`))
	files, _ := filepath.Glob("../../../shared/corpus/jsonld/*/*.jsonld")
	for _, name := range files {
		if b, err := os.ReadFile(name); err == nil {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := ParseLinked(data)
		if err != nil {
			return
		}
		for _, l := range list {
			Read(l.Text())
			if _, err := l.JSONLD(); err != nil {
				t.Fatal(err)
			}
		}
	})
}
