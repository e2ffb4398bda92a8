package intake

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

const corpusRoot = "../../../shared/corpus"

// corpus lists files of the corpus, or skips.
func corpus(t testing.TB, pattern string) []string {
	files, err := filepath.Glob(filepath.Join(corpusRoot, pattern))
	require.NoError(t, err)
	files = slicesWithout(files, "MANIFEST.tsv", "_LICENSE")
	if len(files) == 0 {
		t.Skip("the corpus is not here: ../shared/corpus/" + pattern)
	}
	return files
}

func slicesWithout(files []string, bases ...string) []string {
	var out []string
	for _, f := range files {
		keep := true
		for _, b := range bases {
			keep = keep && filepath.Base(f) != b
		}
		if keep {
			out = append(out, f)
		}
	}
	return out
}

func readFile(t testing.TB, f string) []byte {
	b, err := os.ReadFile(f)
	require.NoError(t, err)
	return b
}

func all(name string, data []byte) []Raw {
	var out []Raw
	for r := range All(name, data, Options{}) {
		out = append(out, r)
	}
	return out
}

// wellFormed is what holds for everything that comes out.
func wellFormed(t testing.TB, r Raw) {
	require.Contains(t, []Verdict{Entry, Doubtful, Skipped}, r.Verdict)
	require.NotEmpty(t, r.Key)
	require.LessOrEqual(t, len(r.Text), MaxText)
	require.NotContains(t, r.Text, "\r")
	require.NotContains(t, r.Text, "\x00")
	require.NotContains(t, r.From.Name, "\n")
	require.True(t, utf8.ValidString(r.Text) && utf8.ValidString(r.Title) && utf8.ValidString(r.From.Name) && utf8.ValidString(r.Where))
	if r.Verdict != Entry {
		require.NotEmpty(t, r.Reasons)
	}
	for _, why := range r.Reasons {
		require.NotEmpty(t, why.String(), why)
	}
	if r.Verdict == Entry {
		require.NotEmpty(t, strings.TrimSpace(r.Text))
	}
}

// Every mail of the corpus goes through, alone and as one mailbox. None of
// them is a recipe, so hardly any may be taken for one.
func TestMailsOfTheCorpus(t *testing.T) {
	files := corpus(t, "mail/*")
	require.Len(t, files, 130)
	verdicts := map[Verdict]int{}
	for _, f := range files {
		began := time.Now()
		found := all(filepath.Base(f)+".eml", readFile(t, f))
		require.NotEmpty(t, found, f)
		require.Less(t, time.Since(began), 2*time.Second, f)
		for _, r := range found {
			wellFormed(t, r)
			verdicts[r.Verdict]++
			if os.Getenv("SHOW") != "" {
				fmt.Printf("%s\t%s\t%v\t%d\t%q\t%q\n", filepath.Base(f), r.Verdict, r.Reasons, len(r.Photos), r.Title, r.From)
			}
		}
	}
	t.Logf("%v", verdicts)
	require.Zero(t, verdicts[Entry])
	require.LessOrEqual(t, verdicts[Doubtful], 12)
}

// The recipes of the corpus are entries, as files, as mails and in one mailbox.
func TestRecipesOfTheCorpus(t *testing.T) {
	var box strings.Builder
	files := append(corpus(t, "recipes/*/*.md"), corpus(t, "recipes/*/*.txt")...)
	verdicts := map[Verdict]int{}
	for i, f := range files {
		found := all(filepath.Base(f), readFile(t, f))
		require.Len(t, found, 1, f)
		wellFormed(t, found[0])
		verdicts[found[0].Verdict]++
		if found[0].Verdict != Entry && os.Getenv("SHOW") != "" {
			fmt.Println(f, found[0].Verdict, found[0].Reasons)
		}
		fmt.Fprintf(&box, "From cook%d@example.org Mon Nov  2 10:%02d:00 2026\nFrom: Cook %d <cook%d@example.org>\nMessage-ID: <%d@example.org>\nSubject: My recipe\n\n%s\n\n",
			i, i%60, i, i, i, strings.ReplaceAll("\n"+found[0].Text, "\nFrom ", "\n>From ")[1:])
	}
	t.Logf("files: %v", verdicts)
	require.Greater(t, verdicts[Entry]*100, 85*len(files))
	require.LessOrEqual(t, verdicts[Skipped]*100, 2*len(files))
	n, same := 0, 0
	for r := range All("all.mbox", []byte(box.String()), Options{}) {
		require.Equal(t, fmt.Sprintf("cook%d@example.org", n), r.From.Address)
		if r.Verdict != Skipped {
			same++
		}
		n++
	}
	t.Logf("mailbox: %d of %d not skipped", same, n)
	require.Equal(t, len(files), n)
	require.GreaterOrEqual(t, same*100, 92*n)
}

// Every picture of the corpus, broken ones too, is a card to type in.
func TestPicturesOfTheCorpus(t *testing.T) {
	for _, f := range corpus(t, "images/*") {
		found := all(filepath.Base(f), readFile(t, f))
		require.Len(t, found, 1, f)
		wellFormed(t, found[0])
		if found[0].Format == Picture && found[0].Verdict == Doubtful {
			require.Len(t, found[0].Photos, 1)
		}
	}
}

// Every schema.org document of the corpus is read in whatever shape.
func TestLinkedOfTheCorpus(t *testing.T) {
	recipes := 0
	for _, f := range corpus(t, "jsonld/*/*.*") {
		for _, r := range all(filepath.Base(f), readFile(t, f)) {
			wellFormed(t, r)
			if r.Verdict != Skipped {
				recipes++
			}
			if os.Getenv("SHOW") != "" {
				fmt.Printf("%s\t%s\t%v\t%q\n", filepath.Base(f), r.Verdict, r.Reasons, r.Title)
			}
		}
	}
	t.Logf("%d recipes", recipes)
	require.GreaterOrEqual(t, recipes, 15)
}
