package kitchen

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
)

// A step waits for the weighing of what it uses, not for that of other parts of
// the dish.
func TestStepsWaitForTheirOwnPrep(t *testing.T) {
	d := Dish{Breakdown: recipe.Read("Tart\n\nServes 6\n\nFor the crust:\n- 200 g flour\n- 100 g butter\n\nFor the filling:\n- 500 g beetroot\n- 2 eggs\n\n" +
		"1. Rub the butter into the flour and chill for 30 minutes.\n2. Beat the eggs in a bowl.\n3. Pour the eggs over the beetroot in the crust and bake at 180 °C for 30 minutes.")}
	tasks := d.Derive(6)
	byName := map[string][]Link{}
	for _, k := range tasks {
		byName[k.Name.String()] = k.After
	}
	require.Equal(t, []Link{{ID: "c0.prep", Max: NoLimit}}, byName["Start: Rub the butter into the flour"])
	require.Equal(t, []Link{{ID: "c1.prep", Max: NoLimit}}, byName["Beat the eggs in a bowl"])
}

// TestStreams writes recipes of our own and the steps that each step must wait
// for, as a cook would draw them; common practice, no source.
func TestStreams(t *testing.T) {
	for name, c := range map[string]struct {
		ingredients, steps string
		after              []string // by step
	}{
		"a side pan joins where it is named": {"2 carrots; 1 litre stock; 1 onion; 2 tbsp ketchup",
			"Bring the stock to a boil in a large pot.; Add the carrots and simmer 15 minutes.; While the carrots simmer, heat a skillet and brown the onion.; " +
				"Stir the ketchup into the onion.; Tip the onion into the pot and simmer 5 minutes.",
			[]string{"", "0", "", "2", "1,3"}},
		"what is cut waits for nobody": {"1 cabbage; 2 apples; 200 g bacon",
			"Shred the cabbage.; Fry the bacon in a pan for 5 minutes.; Dice the apples.; Add the cabbage to the pan and cook 10 minutes.; Stir in the apples.",
			[]string{"", "", "", "0,1", "2,3"}},
		"a component used later by its name": {"250 g flour; 3 eggs; 1 lemon; 100 g yoghurt",
			"Whisk the yoghurt and lemon to a dressing.; Mix the flour and eggs to a dough.; Knead the dough 10 minutes.; Bake 20 minutes at 200 °C.; Serve with the dressing.",
			[]string{"", "", "1", "2", "0,3"}},
		"meat returned to the pan": {"4 chicken thighs; 2 leeks; 200 ml cream",
			"Brown the chicken in a pan for 8 minutes and set it aside.; Soften the leeks in the same pan.; Pour in the cream.; Return the chicken to the pan and simmer 20 minutes.",
			[]string{"", "0", "1", "2"}},
		"an alternative is no step of its own": {"4 pears",
			"Halve the pears.; Bake them 30 minutes at 180 °C.; Or bake them 20 minutes at 200 °C with the fan.; Cool on a rack.",
			[]string{"", "0", "", "1"}},
		"cut for two pans": {"2 onions; 3 turnips; 300 g rice; 200 g beans",
			"Chop the onions and the turnips.; Soften the onions in a pot and add the rice.; Fry the turnips in a pan.; Add the beans to the turnips.; Fold the turnips into the rice.",
			[]string{"", "0", "0", "2", "1,3"}},
		"what the dish is made of is not the dish": {"250 g flour; 120 ml water; 2 leeks; 100 g feta",
			"Mix flour and water and knead for 8 minutes.; Rest the dough for 30 minutes.; Meanwhile fry the leeks for 10 minutes and crumble in the feta.; " +
				"Roll out the dough and fill it.; Boil the dumplings for 6 minutes.",
			[]string{"", "0", "", "1,2", "3"}},
		"what nobody names again is in the next bake": {"1 swede; 80 g butter; 2 tsp caraway",
			"Peel the swede.; Mash the butter with the caraway and push it into the cuts.; Wrap in foil and bake 75 minutes at 180 °C.",
			[]string{"", "", "0,1"}},
	} {
		t.Run(name, func(t *testing.T) {
			text := "# Supper\n\n## Ingredients\n\n"
			for _, in := range strings.Split(c.ingredients, "; ") {
				text += "- " + in + "\n"
			}
			text += "\n## Directions\n\n"
			for i, st := range strings.Split(c.steps, "; ") {
				text += fmt.Sprintf("%d. %s\n", i+1, st)
			}
			steps := derivedSteps(Dish{Breakdown: recipe.Read(text)})
			var got []string
			for _, s := range steps {
				got = append(got, numbers(s.after))
			}
			require.Equal(t, c.after, got)
		})
	}
}

func numbers(list []int) string {
	text := fmt.Sprint(distinctInts(list))
	return strings.ReplaceAll(strings.Trim(text, "[]"), " ", ",")
}
