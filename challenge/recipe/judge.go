package recipe

import (
	"slices"
	"strings"
	"sync"

	"fairladle/challenge/pantry"
	"fairladle/challenge/wording"
)

// judge derives what follows from the elements: which ingredients a step uses,
// allergens, diets and findings. A corrected breakdown is judged again. It goes
// over every word once, so it stays linear.
type judge struct {
	b    *Breakdown
	text string

	stems []string // buffer for one name or step
	hits  []pantry.AllergenHit
	diet  []pantry.DietHit

	index     map[string][]int // stem -> ingredients whose name has it
	heads     []string         // head stem of each ingredient
	refs      []*Ingredient
	used      []bool
	matched   []int // for one step: how many stems of each ingredient
	touched   []int
	allUsed   bool
	prose     bool // every ingredient was found in sentences
	foods     int  // food words anywhere
	unlisted  map[string]Place
	order     []string // of unlisted
	allergens []Allergen
	title     []string // stems of the title
	tags      []dietWord
	triggers  []triggerFound
	unknown   []string
}

type dietWord struct {
	tag, word string
	level     pantry.Level
	allergen  bool
}

type triggerFound struct {
	pantry.Trigger
	at   Place
	step bool
}

var judges = sync.Pool{New: func() any { return &judge{index: map[string][]int{}, unlisted: map[string]Place{}} }}

// judge fills uses, allergens, diets and findings anew.
func (b *Breakdown) judge(text string) {
	j := judges.Get().(*judge)
	defer judges.Put(j)
	j.reset(b, text)
	j.title = pantry.AppendStems(j.title[:0], b.Title)
	j.ingredients()
	j.steps()
	b.Allergens = slices.Clone(j.allergens)
	b.Unrecognised = slices.Clone(j.unknown)
	j.diets()
	j.findings()
	j.b, j.text = nil, ""
	clear(j.refs)
}

func (j *judge) reset(b *Breakdown, text string) {
	clear(j.index)
	clear(j.unlisted)
	j.b, j.text, j.allUsed, j.foods = b, text, false, 0
	j.heads, j.refs, j.used, j.matched, j.touched = j.heads[:0], j.refs[:0], j.used[:0], j.matched[:0], j.touched[:0]
	j.order, j.allergens, j.tags, j.triggers, j.unknown = j.order[:0], j.allergens[:0], j.tags[:0], j.triggers[:0], j.unknown[:0]
	b.Allergens, b.Diets, b.Findings, b.Unrecognised = nil, nil, nil, nil
}

// ingredients reads the names: index, allergens, diet words, trigger words.
func (j *judge) ingredients() {
	j.prose = true
	for c := range j.b.Components {
		list := j.b.Components[c].Ingredients
		for i := range list {
			in := &list[i]
			j.prose = j.prose && in.FromProse
			n := len(j.refs)
			j.refs = append(j.refs, in)
			j.used, j.matched, j.heads = append(j.used, false), append(j.matched, 0), append(j.heads, "")
			j.stems = pantry.AppendStems(j.stems[:0], in.Name)
			j.indexName(n)
			known := j.names(in.NameAt, pantry.Sure, false)
			j.stems = pantry.AppendStems(j.stems[:0], in.Text)
			j.triggersIn(in.At, false)
			for _, alt := range in.Alternatives {
				j.stems = pantry.AppendStems(j.stems[:0], alt)
				j.indexWords(n)
				known = j.names(in.At, pantry.Sure, false) || known
			}
			for chunk := range strings.SplitSeq(in.Note, ", ") {
				if chunk == "" || purpose(chunk) {
					continue
				}
				j.stems = pantry.AppendStems(j.stems[:0], chunk)
				j.names(in.At, pantry.Sure, false)
			}
			if !known && in.Name != "" && len(j.unknown) < 50 {
				j.unknown = append(j.unknown, in.Name)
			}
		}
	}
}

// dropLikenesses blanks the food that only gives a size: "the size of an oyster",
// "as big as a walnut", "walnut-sized".
func dropLikenesses(stems []string) {
	for i, w := range stems {
		switch {
		case w == "sized" && i > 0:
			stems[i-1] = ""
		case (w == "size" || w == "shape") && i+2 < len(stems) && stems[i+1] == "of",
			(w == "big" || w == "large" || w == "small" || w == "thick") && i+2 < len(stems) && stems[i+1] == "as":
			for k := i + 2; k < len(stems) && k < i+5; k++ {
				plain := stems[k] == "a" || stems[k] == "an" || stems[k] == "small" || stems[k] == "large" || stems[k] == "hen" || stems[k] == "the"
				stems[k] = ""
				if !plain {
					break
				}
			}
		}
	}
}

// purpose reports a remark that says what for, not what else: "for frying",
// "to serve with bread", "not salted".
func purpose(s string) bool {
	first, _, _ := strings.Cut(s, " ")
	switch strings.ToLower(first) {
	case "for", "to", "per", "not", "no", "without", "if", "about", "from", "depending", "as":
		return true
	}
	return false
}

// indexName enters the telling stems of the name in j.stems; the last is its head.
func (j *judge) indexName(n int) {
	if last := j.indexWords(n); last != "" {
		j.heads[n] = last
	}
}

func (j *judge) indexWords(n int) (last string) {
	lex := lexicon()
	for i, w := range j.stems {
		cls := lex[w]
		if len(w) < 3 || cls&(isKeep|isPrep|isAdverb|isSize|isStop|isNumber) != 0 && i < len(j.stems)-1 || w == "and" {
			continue
		}
		last = w
		if l := j.index[w]; len(l) < maxPosting {
			j.index[w] = append(l, n)
		}
	}
	return last
}

// names takes the words of j.stems as named at a place and reports whether a
// food among them is known. Words of the method count as level may at most,
// unless they are the list.
func (j *judge) names(at Place, most pantry.Level, step bool) bool {
	known := false
	dropLikenesses(j.stems)
	j.hits = pantry.Allergens(j.hits, j.stems)
	for _, h := range j.hits {
		known = true
		level := h.Level
		if most == pantry.May || step && h.To-h.From == 1 && hasClass(j.stems[h.From], isDish) {
			level = pantry.May
		}
		j.allergen(h.Allergen, h.Term, level, at, step)
	}
	if step && !j.prose {
		return known
	}
	j.diet = pantry.DietTags(j.diet[:0], j.stems)
	for _, h := range j.diet {
		known = true
		j.tag(h.Tag, h.Term, h.Level, false)
	}
	for _, h := range j.hits {
		j.tag(h.Allergen, h.Term, h.Level, true)
	}
	for i := range j.stems {
		if n := pantry.Food(j.stems[i:]); n > 0 {
			known = true
			j.foods++
		}
	}
	return known
}

func (j *judge) tag(tag, word string, level pantry.Level, allergen bool) {
	for _, t := range j.tags {
		if t.tag == tag && t.word == word && t.level == level {
			return
		}
	}
	if len(j.tags) < 200 {
		j.tags = append(j.tags, dietWord{tag, word, level, allergen})
	}
}

func (j *judge) triggersIn(at Place, step bool) {
	pantry.Triggers(j.stems, func(_, _ int, tr pantry.Trigger) {
		if len(j.triggers) < 500 {
			j.triggers = append(j.triggers, triggerFound{tr, at, step})
		}
	})
}

// maxWords bounds the words kept for one allergen.
const maxWords = 20

func (j *judge) allergen(name, term string, level pantry.Level, at Place, step bool) {
	i := slices.IndexFunc(j.allergens, func(a Allergen) bool { return a.Name == name })
	if i < 0 {
		j.allergens = append(j.allergens, Allergen{Name: name, Level: string(level)})
		i = len(j.allergens) - 1
	} else if step && !j.prose {
		return // the list has named it already
	}
	a := &j.allergens[i]
	switch {
	case level == pantry.Sure && a.Level != string(level):
		a.Level, a.Words, a.At = string(level), nil, nil // now the words that are sure
	case level != pantry.Sure && a.Level == string(pantry.Sure):
		return
	}
	if len(a.Words) < maxWords && !slices.Contains(a.Words, term) {
		a.Words, a.At = append(a.Words, term), append(a.At, at)
	}
}

// steps links the steps to the ingredients and reads their words.
func (j *judge) steps() {
	most := pantry.May
	if j.prose {
		most = pantry.Sure
	}
	for c := range j.b.Components {
		list := j.b.Components[c].Steps
		for s := range list {
			st := &list[s]
			j.stems = pantry.AppendStems(j.stems[:0], st.At.In(j.text))
			j.names(st.At, most, true)
			j.triggersIn(st.At, true)
			j.uses(st)
			j.usesParts(st, c)
			j.unlistedIn(st)
		}
	}
	j.stems = append(j.stems[:0], j.title...)
	j.triggersIn(j.b.TitleAt, true)
}

// diets says which words speak against which diet.
func (j *judge) diets() {
	if len(j.refs) == 0 {
		return
	}
	for _, d := range pantry.Diets() {
		out := Diet{Name: d.Name}
		for _, t := range j.tags {
			list := d.Tags
			if t.allergen {
				list = d.Allergens
			}
			if !slices.Contains(list, t.tag) || len(out.Words) >= maxWords || slices.Contains(out.Words, t.word) {
				continue
			}
			if t.level == pantry.Sure {
				out.Level = "against"
			} else if out.Level == "" {
				out.Level = "check"
			}
			out.Words = append(out.Words, t.word)
		}
		if out.Level != "" {
			j.b.Diets = append(j.b.Diets, out)
		}
	}
}

func (b *Breakdown) find(code, level string, at Place, source, text string, args ...any) {
	if len(b.Findings) < maxFindings {
		b.Findings = append(b.Findings, Finding{Code: code, Text: wording.Of(text, args...), Level: level, At: at, Source: source})
	}
}

// maxFindings bounds the list for hostile texts.
const maxFindings = 200

// short cuts a text for a sentence.
func short(s string) string {
	if len(s) <= 60 {
		return s
	}
	i := strings.LastIndexByte(s[:60], ' ')
	if i < 20 {
		return strings.ToValidUTF8(s[:57], "") + "…"
	}
	return s[:i] + "…"
}
