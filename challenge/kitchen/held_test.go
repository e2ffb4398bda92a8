package kitchen

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
)

const trifleText = `Berry pots

Serves 4

For the sauce:
- 300 g berries
- 100 g sugar, sifted

For the cream:
- 200 g butter, softened
- 3 onions, diced

1. Simmer the berries with the sugar in a saucepan for 10 minutes. Reserve half of the sauce for serving.
2. Whisk the cream in a bowl, fold in the sauce, and chill in the fridge for 3 hours.
3. Spoon the reserved sauce over the pots.`

// What is held back is there from the step that says so until the step that
// takes it; what chills is in the fridge for as long as the plan leaves it there.
func TestWhatIsHeld(t *testing.T) {
	d := Dish{Breakdown: recipe.Read(trifleText)}
	s := Service{Dishes: []Dish{d}, Portions: 4, Serve: six, Kitchen: Kitchen{Burners: 2, Ovens: 1}}
	sheet := mustPlan(t, s)
	var back, cold *Hold
	for _, h := range Held(s, sheet) {
		switch {
		case h.Back != "":
			back = &h
		case h.Where == placeFridge && cold == nil:
			cold = &h
		}
	}
	require.NotNil(t, back)
	require.Equal(t, "Reserve half of the sauce for serving.", back.Back)
	require.NotNil(t, cold)
	require.GreaterOrEqual(t, cold.Until.Sub(cold.From), 3*time.Hour)
	require.True(t, back.Until.After(cold.From), "the held-back half waits while the pots chill")
}

func TestHeldBackInWords(t *testing.T) {
	for text, kept := range map[string]string{
		"Drain the pasta, reserving 1 cup of the water.": "Drain the pasta, reserving 1 cup of the water.",
		"Mix. Set aside a third of the nuts for later.":  "Set aside a third of the nuts for later.",
		"Remove from the heat and set aside.":            "",
		"Fry the onions.":                                "",
	} {
		require.Equal(t, kept, keepsBack(text), text)
	}
	require.True(t, takesBack("Loosen with the reserved water.", "Drain the pasta, reserving 1 cup of the water."))
	require.False(t, takesBack("Stir in the cream.", "Drain the pasta, reserving 1 cup of the water."))
}

func TestStations(t *testing.T) {
	for preparation, station := range map[string]string{"diced": "Cut", "at room temperature": "Soften", "softened": "Soften", "thawed": "Thaw", "soaked overnight": "Soak",
		"rinsed and drained": "Wash and drain", "cooked": "Have ready", "finely chopped, washed": "Cut", "as you like": "Other work"} {
		require.Equal(t, station, stationOf(preparation), preparation)
	}
	list := Preparation([]Dish{{Name: "Pots", Breakdown: recipe.Read(trifleText)}}, 4)
	var names []string
	for _, s := range list.Stations {
		names = append(names, s.Name)
	}
	require.Equal(t, []string{"Soften", "Wash and drain", "Cut"}, names)
	var tools []string
	for _, x := range list.Tools {
		tools = append(tools, x.Name)
	}
	require.Contains(t, tools, "bowl")
	require.Contains(t, tools, "saucepan")
}
