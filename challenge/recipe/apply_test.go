package recipe

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/measure"
)

const applyText = "# Plum cake\n\n## Ingredients\n\n- 6 plums\n- 200 g flour\n- some yogurt\n\n## Method\n\n1. Mix the flour.\n2. Bake for 20 minutes.\n"

// at finds the place of a piece of the text.
func at(t *testing.T, text, piece string) Place {
	t.Helper()
	for i := 0; i+len(piece) <= len(text); i++ {
		if text[i:i+len(piece)] == piece {
			return Place{i, i + len(piece)}
		}
	}
	t.Fatalf("%q is not in the text", piece)
	return Place{}
}

func correction(t *testing.T, was, field, value string) Correction {
	return Correction{At: at(t, applyText, was), Was: was, Field: field, Value: value}
}

func TestApply(t *testing.T) {
	b := Read(applyText)
	before, err := json.Marshal(b)
	require.NoError(t, err)
	got, orphaned := b.Apply(applyText, []Correction{
		correction(t, "Plum cake", "title", "Aunt's plum cake"),
		{Field: "servings", Value: "8-10"},
		correction(t, "some yogurt", "ingredient.amount", "1 1/2"),
		correction(t, "some yogurt", "ingredient.unit", "tbsp"),
		correction(t, "some yogurt", "ingredient.name", "soy yogurt"),
		correction(t, "6 plums", "ingredient.optional", "yes"),
		correction(t, "200 g flour", "ingredient.remove", "yes"),
		correction(t, "Bake for 20 minutes.", "step.minutes", "25-30"),
		correction(t, "Bake for 20 minutes.", "step.temperature", "180 C"),
		{At: Place{len(applyText) - 1, len(applyText) - 1}, Field: "ingredient.add", Value: "2 eggs, beaten"},
	})
	require.Empty(t, orphaned)
	require.Equal(t, "Aunt's plum cake", got.Title)
	require.Equal(t, "8-10", got.Yield.Servings.String())
	in := got.Ingredients()
	require.Len(t, in, 3)
	require.True(t, in[0].Optional)
	require.Equal(t, "1 1/2 tbsp", in[1].Measure())
	require.Equal(t, "soy yogurt", in[1].Name)
	require.Equal(t, "eggs", in[2].Name)
	require.True(t, in[2].Added)
	steps := got.Steps()
	require.Equal(t, 25.0, steps[1].Durations[0].MinMinutes)
	require.Equal(t, "oven", steps[1].Temperatures[0].Kind)
	require.False(t, hasFinding(got, "no-oven-temperature"), "findings are derived again")
	require.True(t, hasFinding(b, "no-oven-temperature"))
	names := map[string]bool{}
	for _, a := range got.Allergens {
		names[a.Name] = true
	}
	require.True(t, names["egg"] && names["soy"], "allergens are derived again")
	after, err := json.Marshal(b)
	require.NoError(t, err)
	require.JSONEq(t, string(before), string(after), "the breakdown itself is not changed")
}

func TestApplyOrphans(t *testing.T) {
	b := Read(applyText)
	for name, c := range map[string]Correction{
		"other text":      {At: at(t, applyText, "6 plums"), Was: "7 plums", Field: "ingredient.amount", Value: "7"},
		"no element":      {At: at(t, applyText, "plums"), Was: "plums", Field: "ingredient.amount", Value: "7"},
		"outside":         {At: Place{10000, 10007}, Was: "6 plums", Field: "ingredient.amount", Value: "7"},
		"no such field":   {At: at(t, applyText, "6 plums"), Was: "6 plums", Field: "ingredient.colour", Value: "blue"},
		"no number":       {At: at(t, applyText, "6 plums"), Was: "6 plums", Field: "ingredient.amount", Value: "lots"},
		"settled by none": {At: at(t, applyText, "6 plums"), Was: "6 plums", Field: "finding.settled", Value: "no-such"},
	} {
		got, orphaned := b.Apply(applyText, []Correction{c})
		require.Equal(t, []Correction{c}, orphaned, name)
		require.Equal(t, outline(b), outline(got), name)
	}
}

func TestApplySettlesFindings(t *testing.T) {
	b := Read(applyText)
	var f Finding
	for _, x := range b.Findings {
		if x.Code == "no-amount" {
			f = x
		}
	}
	require.NotEmpty(t, f.Code)
	got, orphaned := b.Apply(applyText, []Correction{{At: f.At, Was: f.At.In(applyText), Field: "finding.settled", Value: f.Code}})
	require.Empty(t, orphaned)
	for _, x := range got.Findings {
		if x.Code == f.Code && x.At == f.At {
			require.True(t, x.Settled)
		}
	}
}

// A breakdown is stored as JSON and comes back the same.
func TestBreakdownJSON(t *testing.T) {
	for _, text := range []string{applyText, longRecipe, ""} {
		b := Read(text)
		data, err := json.Marshal(b)
		require.NoError(t, err)
		var back Breakdown
		require.NoError(t, json.Unmarshal(data, &back))
		again, err := json.Marshal(back)
		require.NoError(t, err)
		require.JSONEq(t, string(data), string(again))
		x, _ := back.Apply(text, nil)
		y, _ := b.Apply(text, nil)
		require.Equal(t, outline(y), outline(x))
		require.Equal(t, y.Findings, x.Findings)
	}
	require.Equal(t, measure.Exactly(measure.Whole(6)), Read(applyText).Ingredients()[0].Amount)
}
