package kitchen

import (
	"math"
	"slices"

	"fairladle/challenge/pantry"
	"fairladle/challenge/wording"
)

// insides are the sorts of food that must be hot inside: their row of pantry's
// table of safe temperatures and the words that tell them.
var insides = []struct {
	row, name string
	words     []string
}{
	{"all poultry", wording.Key("poultry"), []string{"chicken", "turkey", "duck", "goose", "poultry", "quail", "hen", "guinea"}},
	{"ground beef", wording.Key("minced meat"), []string{"ground", "minced", "mince", "burger", "meatball", "sausage"}},
	{"beef, veal", wording.Key("whole pieces of meat"), []string{"beef", "pork", "veal", "lamb", "steak", "chop", "shoulder", "shank", "brisket"}},
	{"fish with fins", wording.Key("fish"), []string{"fish", "cod", "salmon", "trout", "haddock", "tuna", "hake", "bass", "bream", "sole", "halibut", "mackerel", "herring"}},
}

// insideCautions say how hot meat and fish must be inside.
func insideCautions(dishes []Dish) (list []Caution) {
	for k, sort := range insides {
		var of []string
		for _, d := range dishes {
			for _, in := range d.Breakdown.Ingredients() {
				if insideOf(in.Name) == k && !slices.Contains(of, d.Title()) {
					of = append(of, d.Title())
				}
			}
		}
		in, ok := pantry.InsideOf(sort.row)
		if len(of) == 0 || !ok {
			continue
		}
		c, f := int(math.Round(in.C)), int(math.Round(in.F))
		text := wording.Of("Usual least temperature inside %v: %v °C (%v °F), measured in the thickest part.", wording.Of(sort.name), c, f)
		if in.Rest > 0 {
			text = wording.Of("Usual least temperature inside %v: %v °C (%v °F), measured in the thickest part; then it rests %v minutes.",
				wording.Of(sort.name), c, f, int(in.Rest))
		}
		list = append(list, Caution{Text: text, Source: in.Source, Dishes: of})
	}
	return list
}

// insideOf is the sort of an ingredient that is raw meat or fish, or -1.
func insideOf(name string) int {
	aisle, words := aisleOf(name), stems(name)
	if aisle != "meat and poultry" && aisle != "fish and seafood" || oneOf(words, "stock", "broth", "smoked", "cooked", "sauce", "fat") {
		return -1
	}
	for k, sort := range insides {
		if oneOf(words, sort.words...) {
			return k
		}
	}
	return -1
}
