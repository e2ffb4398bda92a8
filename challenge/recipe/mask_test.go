package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestMask(t *testing.T) {
	for _, c := range []struct {
		name, text string
		names      []string
		want       string
	}{
		{"full name", "A stew by Maria Lopez, as MARIA makes it.", []string{"Maria Lopez"}, "A stew by [name], as [name] makes it."},
		{"possessive", "Tamsin's plum cake", []string{"Tamsin Ward"}, "[name]'s plum cake"},
		{"accent", "José says: stir. JOSÉ knows.", []string{"José"}, "[name] says: stir. [name] knows."},
		{"part of a word stays", "Marinate in marsala, Mar", []string{"Mari"}, "Marinate in marsala, Mar"},
		{"short parts stay", "Jo likes dough", []string{"Jo"}, "Jo likes dough"},
		{"e-mail", "Write to ann.b@example.org!", nil, "Write to [address]!"},
		{"web", "More at https://example.org/pie?x=1 and www.example.com.", nil, "More at [address] and [address]."},
		{"domain", "see plumblog.example.com/pie", nil, "see [address]"},
		{"handle", "Follow @plum_cook for more", nil, "Follow [address] for more"},
		{"phone", "Call +44 20 7946 0018 or (555) 010-9999", nil, "Call [phone] or [phone]"},
		{"amounts are no phones", "Bake 350-375 F for 30-45 min, 1 1/2 - 2 cups, 2026-11-24", nil, "Bake 350-375 F for 30-45 min, 1 1/2 - 2 cups, 2026-11-24"},
		{"food name stays", "2 sprigs rosemary\nRosemary potatoes", []string{"Rosemary Hill"}, "2 sprigs rosemary\nRosemary potatoes"},
		{"food name as a person", "Rosemary's potatoes by Rosemary", []string{"Rosemary Hill"}, "[name]'s potatoes by [name]"},
		{"food name with surname", "From Rosemary Hill with love", []string{"Rosemary Hill"}, "From [name] with love"},
		{"basil", "Tear the basil.\n\nYours,\nBasil", []string{"Basil"}, "Tear the basil.\n\nYours,\n[name]"},
		{"list item stays", "Ingredients\n- Ginger\n- Olive oil\n- Ginger", []string{"Ginger Olive"}, "Ingredients\n- Ginger\n- Olive oil\n- Ginger"},
		{"graham", "6 Graham crackers", []string{"Graham Cook"}, "6 Graham crackers"},
		{"signature of another", "Serve warm.\n\nBest wishes,\nPetra Vogel\n", nil, "Serve warm.\n\nBest wishes,\n[name]\n"},
		{"credit", "Recipe by Petra Vogel, with thanks", nil, "Recipe by [name], with thanks"},
		{"verb name", "Pat the fish dry. Pat", []string{"Pat"}, "Pat the fish dry. Pat"},
		{"last line is the name", "Pat the fish dry.\n\nPat", []string{"Pat"}, "Pat the fish dry.\n\n[name]"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, places := Mask(c.text, c.names)
			require.Equal(t, c.want, got)
			for _, p := range places {
				require.NotEmpty(t, p.In(c.text))
			}
		})
	}
}
