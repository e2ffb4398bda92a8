package intake

import (
	"bytes"
	"encoding/json"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/recipe"
)

func outOf(n int, text string) Out {
	b := recipe.Read(text)
	return Out{Number: n, Title: b.Title, Text: text, Received: time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC), Reading: b}
}

func written(t testing.TB, write func(io.Writer, []Out) error, recipes []Out) []byte {
	var b bytes.Buffer
	require.NoError(t, write(&b, recipes))
	return b.Bytes()
}

// outline is what a breakdown must keep on its way out and in.
func outline(t testing.TB, b recipe.Breakdown) string {
	l := b.Linked()
	out, err := json.Marshal(l)
	require.NoError(t, err)
	return string(out)
}

// What goes out comes back in unchanged: the texts byte for byte from a table
// and from an archive, the breakdowns from Markdown and JSON-LD.
func TestOutAndIn(t *testing.T) {
	var recipes []Out
	files := append(corpus(t, "recipes/*/*.md"), corpus(t, "recipes/*/*.txt")...)
	for i, f := range files {
		found := all(filepath.Base(f), readFile(t, f))
		b := recipe.Read(found[0].Text)
		if found[0].Verdict == Entry && !b.Ingredients()[0].FromProse {
			recipes = append(recipes, outOf(i+1, found[0].Text))
		}
	}
	require.Greater(t, len(recipes), 150)
	for name, write := range map[string]func(io.Writer, []Out) error{"x.csv": WriteTable, "texts.zip": WriteTexts, "markdown.zip": WriteMarkdown, "x.jsonld": WriteLinked} {
		back := all(name, written(t, write, recipes))
		require.Len(t, back, len(recipes), name)
		for i, r := range back {
			require.NotEqual(t, Skipped, r.Verdict, "%s %s", name, files[recipes[i].Number-1])
			if name == "x.csv" || name == "texts.zip" {
				require.Equal(t, recipes[i].Text, r.Text, "%s %s", name, files[recipes[i].Number-1])
			} else {
				require.Equal(t, outline(t, recipes[i].Reading), outline(t, recipe.Read(r.Text)), "%s %s", name, files[recipes[i].Number-1])
			}
		}
	}
}

// A cell never begins with what a spreadsheet runs, and reads back as it was.
func TestFormulasAreGuarded(t *testing.T) {
	for _, cell := range []string{"=1+1", "+1", "-1", "@SUM(A1)", "\tx", "'=x", "''", "'", "x", ""} {
		require.NotContains(t, "=+-@\t", guarded(cell + " ")[:1])
		require.Equal(t, cell, unguarded(guarded(cell)))
	}
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.StringOf(rapid.SampledFrom([]rune("=+-@'\t ax\n\""))).Draw(t, "cell")
		require.Equal(t, cell, unguarded(guarded(cell)))
	})
	data := written(t, WriteTable, []Out{{Number: 1, Title: "=HYPERLINK(1)", Text: "- 2 eggs\n- 1 leek\n\nBoil the eggs with the leek for 10 minutes.\n", Name: "@ada"}})
	require.NotContains(t, string(data), ",=")
	require.NotContains(t, string(data), ",@")
	require.NotContains(t, string(data), "\"- 2")
	r := all("x.csv", data)[0]
	require.Equal(t, "@ada", r.From.Name)
	require.True(t, strings.HasSuffix(r.Text, "- 2 eggs\n- 1 leek\n\nBoil the eggs with the leek for 10 minutes.\n"), r.Text)
}

func TestFileNames(t *testing.T) {
	require.Equal(t, "007-plum-tart", fileName(Out{Number: 7, Title: "Plum/../Tart: \x00"}))
	require.Equal(t, "012", fileName(Out{Number: 12, Title: "梅"}))
}
