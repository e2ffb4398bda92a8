package recipe_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
)

// The factors are those of NIST Handbook 44, appendix C: a cup of 236.5882 mL,
// an avoirdupois ounce of 28.34952 g; what is expected here is their product,
// rounded as a scale or jug shows it (common practice).
func TestAmountsInAnotherSystem(t *testing.T) {
	for line, want := range map[string][2]string{
		"1 cup milk":         {"235 ml", ""},
		"1 1/2 cups rice":    {"355 ml", ""},
		"1 lb potatoes":      {"455 g", ""},
		"8 oz cream cheese":  {"225 g", ""},
		"3 lb beef":          {"1.36 kg", ""},
		"2 tbsp olive oil":   {"", ""},
		"1 pinch salt":       {"", ""},
		"3 eggs":             {"", ""},
		"250 g flour":        {"", "8 3/4 oz"},
		"500 g flour":        {"", "1 lb 1 1/2 oz"},
		"1 kg potatoes":      {"", "2 lb 3 1/2 oz"},
		"250 ml milk":        {"", "1 cup + 2 1/2 tsp"},
		"1 g saffron":        {"", ""},
		"salt":               {"", ""},
		"200-250 g rye":      {"", "7 oz to 8 3/4 oz"},
		"2 quarts water":     {"1.89 l", ""},
		"1 stick butter":     {"115 g", ""},
		"2 (14 oz) cans tom": {"", ""},
	} {
		b := recipe.Read("Test\n\nIngredients\n" + line + "\n\nMethod\nCook.")
		require.Len(t, b.Ingredients(), 1, line)
		s := b.Scale(measure.Whole(1))[0]
		for i, sys := range []measure.System{measure.Metric, measure.USCustomary} {
			text, changed := s.In(sys)
			require.Equal(t, want[i] != "", changed, "%s in %s: %s", line, sys, text)
			if changed {
				require.Equal(t, want[i], text, "%s in %s", line, sys)
			} else {
				require.Equal(t, s.Text, text)
			}
		}
		text, changed := s.In("")
		require.False(t, changed)
		require.Equal(t, s.Text, text)
	}
}

func TestTemperaturesInAnotherSystem(t *testing.T) {
	c := recipe.Temperature{Value: 180, Unit: "C"}
	f, ok := c.In(measure.USCustomary)
	require.True(t, ok)
	require.Equal(t, 355.0, f.Value)
	require.Equal(t, "F", f.Unit)
	back, ok := f.In(measure.Metric)
	require.True(t, ok)
	require.Equal(t, 180.0, back.Value)
	inside, ok := recipe.Temperature{Value: 165, Unit: "F", Kind: "internal"}.In(measure.Metric)
	require.True(t, ok)
	require.Equal(t, 74.0, inside.Value, "73.9, never less")
	_, ok = c.In(measure.Metric)
	require.False(t, ok)
	_, ok = recipe.Temperature{Value: 6, Unit: "gas"}.In(measure.USCustomary)
	require.False(t, ok)
}
