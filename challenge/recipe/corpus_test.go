package recipe

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// corpusRoot holds recipes by many authors, read in place; see its README.md.
const corpusRoot = "../../../shared/corpus/recipes"

// corpusFiles lists the recipes of the corpus, or skips where it is absent.
func corpusFiles(t testing.TB) []string {
	t.Helper()
	md, err := filepath.Glob(corpusRoot + "/*/*.md")
	require.NoError(t, err)
	txt, err := filepath.Glob(corpusRoot + "/*/*.txt")
	require.NoError(t, err)
	if len(md)+len(txt) == 0 {
		t.Skip("the recipe corpus is not here: ../shared/corpus/recipes")
	}
	return append(md, txt...)
}

func mustRead(t testing.TB, file string) string {
	t.Helper()
	b, err := os.ReadFile(file)
	require.NoError(t, err)
	return string(b)
}

// Every recipe of the corpus gets a title, and ingredients or a finding that
// says they are missing; every place holds the text it claims.
func TestCorpusIsRead(t *testing.T) {
	for _, f := range corpusFiles(t) {
		text := mustRead(t, f)
		b := Read(text)
		require.NotEmpty(t, b.Title, f)
		if len(b.Ingredients()) == 0 {
			require.True(t, hasFinding(b, "no-ingredients"), f)
		}
		for _, in := range b.Ingredients() {
			require.NotEmpty(t, in.At.In(text), f)
			require.False(t, in.Sure < 0 || in.Sure > 1, f)
		}
		for _, s := range b.Steps() {
			require.NotEmpty(t, s.At.In(text), f)
			for _, d := range s.Durations {
				require.NotEmpty(t, d.At.In(text), f)
			}
		}
	}
}

func hasFinding(b Breakdown, code string) bool {
	for _, f := range b.Findings {
		if f.Code == code {
			return true
		}
	}
	return false
}
