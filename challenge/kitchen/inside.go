package kitchen

import (
	"math"
	"slices"

	"fairladle/challenge/pantry"
	"fairladle/challenge/wording"
)

// insideCautions say how hot meat and fish must be inside.
func insideCautions(dishes []Dish) (list []Caution) {
	of := map[string][]string{}
	for _, d := range dishes {
		for _, in := range d.Breakdown.Ingredients() {
			if x, ok := pantry.InsideOf(stems(in.Name)); ok && !slices.Contains(of[x.Food], d.Title()) {
				of[x.Food] = append(of[x.Food], d.Title())
			}
		}
	}
	for _, in := range pantry.Insides() {
		if of[in.Food] == nil {
			continue
		}
		c, f := int(math.Round(in.C)), int(math.Round(in.F))
		text := wording.Of("Usual least temperature inside %v: %v °C (%v °F), measured in the thickest part.", wording.Of(in.Food), c, f)
		if in.Rest > 0 {
			text = wording.Of("Usual least temperature inside %v: %v °C (%v °F), measured in the thickest part; then it rests %v minutes.",
				wording.Of(in.Food), c, f, int(in.Rest))
		}
		list = append(list, Caution{Text: text, Source: in.Source, Dishes: of[in.Food]})
	}
	return list
}
