package recipe

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func codes(b Breakdown) map[string]Finding {
	m := map[string]Finding{}
	for _, f := range b.Findings {
		if _, seen := m[f.Code]; !seen {
			m[f.Code] = f
		}
	}
	return m
}

func TestFindings(t *testing.T) {
	for _, c := range []struct{ name, text, want, not string }{
		{"empty", "", "empty", "no-title"},
		{"blank", " \n\n", "empty", ""},
		{"a letter", "Dear all,\nthe meeting is on Monday at the town hall. Please bring a chair and your papers.", "not-a-recipe", ""},
		{"no method", "# Salad\n\n## Ingredients\n\n- 2 tomatoes\n- 1 cucumber\n", "no-method", "not-a-recipe"},
		{"no ingredients", "# Toast\n\n## Method\n\n1. Make toast.\n", "no-ingredients", ""},
		{"no yield", applyText, "no-yield", ""},
		{"yield", "Serves 4\n" + applyText, "", "no-yield"},
		{"no amount", "## Ingredients\n\n- rice flour\n- salt to taste\n", "no-amount", ""},
		{"unused", "## Ingredients\n\n- 2 leeks\n- 1 turnip\n\n## Method\n\n1. Slice the leeks finely and fry them in a pan.\n2. Serve them on warm plates with a spoon.\n", "unused", ""},
		{"unlisted", "## Ingredients\n\n- 2 leeks\n\n## Method\n\n1. Fry the leeks with the bacon for 5 minutes.\n", "unlisted", "unused"},
		{"oven", "## Ingredients\n\n- 2 leeks\n\n## Method\n\n1. Bake the leeks in the oven for 20 minutes.\n", "no-oven-temperature", "no-duration"},
		{"oven given", "## Ingredients\n\n- 2 leeks\n\n## Method\n\n1. Bake the leeks at 180°C for 20 minutes.\n", "", "no-oven-temperature"},
		{"dutch oven", "## Ingredients\n\n- 2 leeks\n\n## Method\n\n1. Stew the leeks in a Dutch oven for 20 minutes.\n", "", "no-oven-temperature"},
		{"duration", "## Ingredients\n\n- 2 leeks\n\n## Method\n\n1. Simmer the leeks in a pan.\n", "no-duration", ""},
		{"proportion", "## Ingredients\n\n- 2 cups baking soda\n- 1 kg salt\n", "amount-large", ""},
		{"author", "# Pie\n\nSubmitted by Petra Vogel\n\n- 2 eggs\n", "names-author", ""},
		{"raw egg", "# Mayonnaise\n\n- 2 egg yolks\n- 200 ml oil\n", "caution-raw-egg", ""},
		{"garlic oil", "# Garlic oil\n\n- 6 cloves garlic\n- 1 cup olive oil\n\nPut the garlic in the oil and keep it.", "caution-garlic-oil", ""},
		{"honey", "# Tea\n\n- 1 tbsp honey\n- 1 cup tea\n", "caution-honey-infant", ""},
		{"fry", "## Ingredients\n\n- 500 g fish\n\n## Method\n\n1. Deep-fry the fish for 4 minutes.\n", "caution-deep-fry", ""},
		{"sugar", "# Caramel\n\n- 200 g sugar\n\nBoil the sugar until amber.", "caution-hot-sugar", ""},
		{"beans", "## Ingredients\n\n- 200 g dried kidney beans\n\n## Method\n\n1. Cook the beans in a slow cooker for 6 hours.\n", "caution-kidney-beans", ""},
		{"canned beans", "## Ingredients\n\n- 1 can kidney beans\n\n## Method\n\n1. Warm the beans in a slow cooker for an hour.\n", "", "caution-kidney-beans"},
		{"poultry", "## Ingredients\n\n- 2 chicken breasts\n\n## Method\n\n1. Roast until the internal temperature reaches 60°C.\n", "caution-temperature", ""},
		{"poultry done", "## Ingredients\n\n- 2 chicken breasts\n\n## Method\n\n1. Roast until the internal temperature reaches 165°F.\n", "", "caution-temperature"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := codes(Read(c.text))
			if c.want != "" {
				require.Contains(t, got, c.want)
				require.NotEmpty(t, got[c.want].Text)
			}
			if c.not != "" {
				require.NotContains(t, got, c.not)
			}
		})
	}
}

// A caution has a source, comes with the standing line, and nothing anywhere
// promises what nobody can promise.
func TestCautionsDefer(t *testing.T) {
	b := Read("# Mayonnaise\n\n- 2 egg yolks\n- 200 ml oil\n- 1 tbsp honey\n")
	got := codes(b)
	require.Contains(t, got, "local-rules")
	for _, f := range b.Findings {
		low := strings.ToLower(f.Text.String())
		for _, word := range []string{"free from", " safe to", " is safe", "legal"} {
			require.NotContains(t, low, word)
		}
		if f.Level == Caution && f.Code != "local-rules" {
			require.NotEmpty(t, f.Source, f.Code)
		}
	}
}

func TestLacking(t *testing.T) {
	b := Read("## Ingredients\n\n- 2 leeks\n\n## Method\n\n1. Blend the leeks in a blender.\n")
	got := b.Lacking([]string{"blender", "oven"})
	require.Len(t, got, 1)
	require.Equal(t, "lacks-equipment", got[0].Code)
}

func TestStepAttention(t *testing.T) {
	b := Read("## Method\n\n1. Stir the sauce for 5 minutes.\n2. Chill the dough overnight.\n3. Bake for 40 minutes at 180 C.\n4. Simmer for 20 minutes.\n")
	var got []Attention
	for _, s := range b.Steps() {
		got = append(got, s.Attended)
	}
	require.Equal(t, []Attention{Attended, Unattended, Unattended, Part}, got)
	require.True(t, b.Steps()[1].Overnight)
}

func TestUsesOtherComponents(t *testing.T) {
	b := Read("## Ingredients\n\n### Lemon glaze\n\n- 1 lemon\n- 100 g icing sugar\n\n### Sponge\n\n- 3 eggs\n- 200 g flour\n\n## Method\n\n1. Beat the eggs with the flour.\n2. Pour the lemon glaze over the sponge.\n")
	steps := b.Steps()
	require.Len(t, steps, 2)
	require.Len(t, steps[1].UsesParts, 2)
	require.Equal(t, []int{2, 3}, steps[0].Uses)
}
