package demo

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
)

// hard are the texts of which a reader of plain text may miss ingredients or
// steps, and why. Everything else must be read with both.
var hard = map[string]string{
	"folded/summer-rolls":            "no capitals and hardly an amount; the method looks like a list",
	"folded/vine-leaves":             "every line is quoted as in a forwarded mail",
	"folded/after-school-quesadilla": "one sentence without punctuation, amounts in words",
	"folded/buckwheat-galette":       "ingredients in a sentence after a colon",
	"folded/vegetable-momos":         "ingredients in a sentence after a dash",
	"folded/parking":                 "not a recipe",
	"folded/see-the-web-page":        "only the mention of a page",
	"pulse-count/white-bean-chili":   "the method begins like a label",
	"sharp/kimchi-jjigae":            "no capitals",
}

func TestRecipesAreRead(t *testing.T) {
	names := map[string]bool{}
	for _, c := range mustLoad(t).Challenges {
		for _, h := range c.House {
			ingredients, steps := read(t, h.Text)
			require.GreaterOrEqual(t, ingredients, 5, h.Title)
			require.GreaterOrEqual(t, steps, 3, h.Title)
		}
		for _, e := range c.Entries {
			name := c.Slug + "/" + e.Slug
			names[name] = true
			ingredients, steps := read(t, e.Text)
			switch {
			case e.Odd != "":
				require.Contains(t, hard, name)
				require.Zero(t, ingredients, "%s is not to be taken for a recipe", name)
			case hard[name] == "":
				require.GreaterOrEqual(t, ingredients, 3, name)
				require.GreaterOrEqual(t, steps, 1, name)
			}
		}
	}
	for name := range hard {
		require.Contains(t, names, name)
	}
}

// read counts what a text was understood to hold, and checks that an entrant
// would be told where one of them is missing.
func read(t *testing.T, text string) (ingredients, steps int) {
	t.Helper()
	b := recipe.Read(text)
	require.NotEmpty(t, b.Title)
	for _, c := range b.Components {
		ingredients, steps = ingredients+len(c.Ingredients), steps+len(c.Steps)
	}
	if ingredients == 0 || steps == 0 {
		require.NotEmpty(t, b.Findings, b.Title)
	}
	return ingredients, steps
}
