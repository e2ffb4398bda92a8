package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

const readText = "# Plum cake\n\nServes 4-6\n\n## Ingredients\n\n- 6 plums, halved\n- 1 1/2 cups flour\n- sugar (optional)\n\n## Method\n\n1. Bake at 180°C for 20-25 minutes.\n"

func TestReadPrintsJSON(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cake.md")
	require.NoError(t, os.WriteFile(file, []byte(readText), 0o600))
	var out bytes.Buffer
	require.NoError(t, run(t.Context(), []string{"read", file, "--json"}, &out))
	var doc readRecipe
	require.NoError(t, json.Unmarshal(out.Bytes(), &doc))
	require.Equal(t, "Plum cake", doc.Title)
	require.Equal(t, 4.0, *doc.Yield.Servings)
	require.Equal(t, 6.0, *doc.Yield.ServingsMax)
	in := doc.Components[0].Ingredients
	require.Len(t, in, 3)
	require.Equal(t, &readQuantity{1.5, 1.5}, in[1].Quantity)
	require.Equal(t, "cup", in[1].Unit)
	require.Equal(t, "halved", in[0].Preparation)
	require.Nil(t, in[2].Quantity)
	require.True(t, in[2].Optional)
	step := doc.Components[0].Steps[0]
	require.Equal(t, 20.0, step.Durations[0].MinMinutes)
	require.Equal(t, readTemperature{Value: 180, Unit: "C", Kind: "oven"}, step.Temperatures[0])
	names := []string{}
	for _, a := range doc.Allergens {
		names = append(names, a.Name)
	}
	require.Contains(t, names, "wheat")
}

func TestReadOtherFiles(t *testing.T) {
	dir := t.TempDir()
	linked := `{"@type":"Recipe","name":"Plum tart","recipeIngredient":["6 plums"],"recipeInstructions":["Bake."]}`
	files := map[string]string{"a.json": linked, "b.html": `<html><script type="application/ld+json">` + linked + `</script></html>`, "c.txt": "Plum tart\n\n6 plums\n\nBake.\n",
		"e.eml": "From: a@example.org\nSubject: Plum tart\n\n200 g flour\n6 plums\n2 eggs\n\nMix all and bake for 30 minutes.\n", "f.csv": "title,ingredients,method\nPlum tart,6 plums,Bake.\n"}
	for name, text := range files {
		file := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		var out bytes.Buffer
		require.NoError(t, run(t.Context(), []string{"read", file}, &out), name)
		require.Contains(t, out.String(), "Plum tart", name)
		require.Contains(t, out.String(), "plums", name)
	}
	empty := filepath.Join(dir, "d.html")
	require.NoError(t, os.WriteFile(empty, []byte("<p>hello"), 0o600))
	require.Error(t, run(t.Context(), []string{"read", empty}, &bytes.Buffer{}))
	require.Error(t, run(t.Context(), []string{"read"}, &bytes.Buffer{}))
}
