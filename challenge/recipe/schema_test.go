package recipe

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The official example of schema.org/Recipe (schemaorg/schemaorg,
// data/examples.txt eg-0013): 15 and 60 minutes, one loaf, three ingredients,
// instructions as one string.
func TestSchemaOrgExample(t *testing.T) {
	data, err := os.ReadFile("../../../shared/corpus/jsonld/schema.org/eg-0013.jsonld")
	if os.IsNotExist(err) {
		t.Skip("the schema.org example is not here: ../shared/corpus/jsonld")
	}
	require.NoError(t, err)
	got, err := ParseLinked(data)
	require.NoError(t, err)
	require.Len(t, got, 1)
	l := got[0]
	require.Equal(t, []LinkedTime{{"prep", 15}, {"cook", 60}}, l.Times)
	require.Equal(t, "1 loaf", l.Yield)
	require.Len(t, l.Parts[0].Lines, 3)
	b := Read(l.Text())
	require.Len(t, b.Ingredients(), 3)
	require.Len(t, b.Times, 2)
	require.Equal(t, "1", b.Yield.Count.String())
	require.NotEmpty(t, b.Steps())
}

func TestLinkedShapes(t *testing.T) {
	for name, doc := range map[string]string{
		"graph":    `{"@context":"https://schema.org","@graph":[{"@type":"WebSite"},{"@type":["Recipe","Thing"],"name":"Plum tart","recipeIngredient":["6 plums","200 g flour"],"recipeInstructions":[{"@type":"HowToStep","text":"Bake."},{"@type":"HowToStep","text":"Cool."}]}]}`,
		"array":    `[{"@type":"Recipe","name":"Plum tart","ingredients":"6 plums\n200 g flour","recipeInstructions":"1. Bake.\n2. Cool."}]`,
		"sections": `{"@type":"schema:Recipe","name":"Plum tart","recipeIngredient":["6 plums","200 g flour"],"recipeInstructions":[[{"@type":"HowToSection","name":"Tart","itemListElement":[{"@type":"HowToStep","text":"Bake."},{"@type":"HowToStep","name":"Cool."}]}]]}`,
		"html":     `{"@type":"https://schema.org/Recipe","name":"Plum&nbsp;tart","recipeIngredient":["<li>6 plums</li>","200 g &amp;nbsp;flour"],"recipeInstructions":"<ol><li>Bake.</li><li>Cool.</li></ol>"}`,
		"itemlist": `{"mainEntity":{"@type":"Recipe","name":"Plum tart","recipeIngredient":{"@type":"ItemList","itemListElement":["6 plums","200 g flour"]},"recipeInstructions":{"@type":"ItemList","itemListElement":[{"@type":"ListItem","item":{"@type":"HowToStep","text":"Bake."}},{"@type":"HowToStep","itemListElement":[{"@type":"HowToDirection","text":"Cool."}]}]}}}`,
	} {
		t.Run(name, func(t *testing.T) {
			got, err := ParseLinked([]byte(doc))
			require.NoError(t, err)
			require.Len(t, got, 1)
			b := Read(got[0].Text())
			require.Equal(t, "Plum tart", b.Title)
			var in, steps []string
			for _, i := range b.Ingredients() {
				in = append(in, i.Text)
			}
			for _, s := range b.Steps() {
				steps = append(steps, s.Text)
			}
			require.Equal(t, []string{"6 plums", "200 g flour"}, in)
			require.Equal(t, []string{"Bake.", "Cool."}, steps)
		})
	}
}

func TestLinkedDurations(t *testing.T) {
	for in, want := range map[string]float64{"PT1H30M": 90, "PT20M": 20, "P1DT2H": 1560, "P0Y0M0DT0H35M0.000S": 35, "PT1H30": 90,
		"1 hour 30 minutes": 90, "45": 45, "PT90S": 1.5, "pt15m": 15, "20 mins": 20} {
		got, ok := minutes(in)
		require.True(t, ok, in)
		require.InDelta(t, want, got, 1e-9, in)
	}
	for _, in := range []string{"", "P", "PT", "soon", "PTM", "Pluto"} {
		_, ok := minutes(in)
		require.False(t, ok, in)
	}
	for _, m := range []float64{5, 60, 90, 1440, 1500, 0.5} {
		got, ok := minutes(isoDuration(m))
		require.True(t, ok)
		require.InDelta(t, m, got, 1e-9)
	}
}

func TestLinkedErrors(t *testing.T) {
	_, err := ParseLinked([]byte(`{"@type":"Person"}`))
	require.ErrorIs(t, err, ErrNoRecipe)
	_, err = ParseLinked([]byte(`{"@type":`))
	require.Error(t, err)
	_, err = ParseLinked([]byte(strings.Repeat("[", 5000) + strings.Repeat("]", 5000)))
	require.Error(t, err)
}

// Every JSON-LD document of the corpus is read, or refused with a reason.
func TestLinkedCorpus(t *testing.T) {
	files, err := filepath.Glob("../../../shared/corpus/jsonld/*/*.jsonld")
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skip("the JSON-LD corpus is not here: ../shared/corpus/jsonld")
	}
	read := 0
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, l := range must(ParseLinked(data)) {
			read++
			b := Read(l.Text())
			if l.Name != "" {
				require.Equal(t, l.Name, b.Title, f)
			}
			n := 0
			for _, p := range l.Parts {
				n += len(p.Lines)
			}
			require.Len(t, b.Ingredients(), n, f)
		}
	}
	t.Logf("%d recipes in %d documents", read, len(files))
	require.GreaterOrEqual(t, read, 30)
}

func must(l []Linked, _ error) []Linked { return l }

// What goes out comes back in unchanged, as Markdown and as JSON-LD.
func TestExportRoundTrip(t *testing.T) {
	same, all := 0, 0
	for _, f := range corpusFiles(t) {
		b := Read(mustRead(t, f))
		if len(b.Ingredients()) == 0 || b.Ingredients()[0].FromProse {
			continue
		}
		all++
		data, err := b.Linked().JSONLD()
		require.NoError(t, err)
		require.True(t, json.Valid(data))
		back, err := ParseLinked(data)
		require.NoError(t, err, f)
		again := Read(back[0].Text())
		if outline(again) == outline(b) && outline(Read(b.Markdown())) == outline(b) {
			same++
		} else if os.Getenv("SCORE") == "wrong" {
			t.Logf("%s\n%s\n---\n%s", f, outline(b), outline(again))
		}
	}
	t.Logf("%d of %d recipes come back unchanged", same, all)
	require.Equal(t, all, same)
}

// outline writes what must survive export and import.
func outline(b Breakdown) string {
	var out strings.Builder
	out.WriteString(b.Title + "|" + b.Yield.words() + "\n")
	for _, p := range b.Linked().Times {
		out.WriteString(p.Kind + minutesText(p.Minutes) + "\n")
	}
	for _, list := range [][]LinkedPart{b.Linked().Parts, b.Linked().Steps} {
		for _, p := range list {
			out.WriteString("[" + p.Name + "]\n" + strings.Join(p.Lines, "\n") + "\n")
		}
	}
	return out.String()
}
