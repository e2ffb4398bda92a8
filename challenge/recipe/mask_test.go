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
		{"gas mark stays", "Gas mark 4. Mark up the joint. Mark's roast", []string{"Mark Hill"}, "Gas mark 4. Mark up the joint. [name]'s roast"},
		{"month stays", "Will keep until May. It will rise.", []string{"May Will"}, "Will keep until May. It will rise."},
		{"hyphen", "Anne-Marie's cake, by ANNE-MARIE", []string{"Anne-Marie Dubois"}, "[name]'s cake, by [name]"},
		{"apostrophe", "The O'Brien stew", []string{"Pat O'Brien"}, "The [name] stew"},
		{"curly possessive", "Rosemary’s loaf with rosemary", []string{"Rosemary"}, "[name]’s loaf with rosemary"},
		{"possessive at s", "James' pie and James’ tart", []string{"James Cole"}, "[name]' pie and [name]’ tart"},
		{"introduces herself", "I'm Ginger and I love ginger.", []string{"Ginger Ross"}, "I'm [name] and I love ginger."},
		{"my name is", "My name is Basil. Add basil.", []string{"Basil"}, "My name is [name]. Add basil."},
		{"aunt", "Aunt Olive makes it with olive oil", []string{"Olive Tan"}, "Aunt [name] makes it with olive oil"},
		{"kisses", "Serve hot.\n\nxx Ginger", []string{"Ginger"}, "Serve hot.\n\nxx [name]"},
		{"dash signature", "Serve hot.\n\n- Tomasz Nowak", nil, "Serve hot.\n\n- [name]"},
		{"list is no signature", "Ingredients\n- Beef\n- Carrots", nil, "Ingredients\n- Beef\n- Carrots"},
		{"front matter", "---\ntitle: Pie\nauthor: Petra Vogel\n---\n", nil, "---\ntitle: Pie\nauthor: [name]\n---\n"},
		{"kitchen of", "From the kitchen of Petra Vogel", nil, "From the kitchen of [name]"},
		{"by hand stays", "Mixed by Hand, step by Step, made by hand", nil, "Mixed by Hand, step by Step, made by hand"},
		{"time range is no phone", "Cook 15-20 min at 350-375, 1 1/2-2 hours; ISBN none", nil, "Cook 15-20 min at 350-375, 1 1/2-2 hours; ISBN none"},
		{"relative link stays", "See [salsa](/condiments/salsa.md)", nil, "See [salsa](/condiments/salsa.md)"},
		{"cyrillic", "Борщ от Ольги, Ольга", []string{"Ольга Иванова"}, "Борщ от Ольги, [name]"},
		{"no names", "Stir well.", []string{"", " ", "x"}, "Stir well."},
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

func TestMaskTakesLeaveWithoutAWord(t *testing.T) {
	text := "Stew\n\n1 kg beef\n\nStew it for 3 hours.\n\nHope you like it!\nMargaret Hollis\n12 Station Road\n"
	masked, places := Mask(text, nil)
	require.Len(t, places, 2)
	require.Contains(t, masked, "Hope you like it!\n"+NameMark+"\n"+AddressMark)
	same := "Buns\n\n2 eggs\n3 Fresh Plums\n\nBake 20 minutes.\n\nGood luck!\n"
	masked, places = Mask(same, nil)
	require.Empty(t, places)
	require.Equal(t, same, masked)
}
