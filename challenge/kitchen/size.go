package kitchen

import (
	"math"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// scale gives a step its batches or trays: by what a piece of the kitchen takes
// at once where it says so, else by how often the recipe is made.
func (b *deriver) scale(t *Task) {
	n := int(math.Ceil(b.factor.Float() - 1e-9))
	takes := b.dish.Kitchen.Sizes[t.Machine]
	if t.Machine == burner && takes == 0 && inBatches(*t) {
		takes = b.dish.Kitchen.Sizes[pan]
	}
	if takes > 0 && b.portions > 0 {
		n = (b.portions + takes - 1) / takes
	}
	switch {
	case n <= 1:
	case t.Machine == oven:
		t.Loads = n
	case inBatches(*t), takes > 0 && t.Machine != burner && !inTheCold(t.Machine):
		t.Batches = n
	}
}

// coldPlace is where food waits that a step chills or freezes, or "".
func coldPlace(st recipe.Step) string {
	words := stems(st.Text)
	where := ""
	for i, w := range words {
		if i > 0 && (words[i-1] == "from" || i > 1 && words[i-2] == "of" || i > 2 && words[i-3] == "out") {
			continue // taken out of it
		}
		name, _ := pantry.Equipment(words[i:min(len(words), i+1)])
		v, ok := pantry.FindVerb(w)
		switch {
		case name == freezer, ok && v.Equipment == freezer:
			return freezer
		case name == fridge, ok && v.Equipment == fridge && (v.Verb != "set" || st.Overnight):
			where = fridge
		}
	}
	return where
}

// deepFries tells whether a step fries in deep oil.
func deepFries(st recipe.Step) bool {
	words := stems(st.Text)
	for i, w := range words {
		if w == "deep-fry" || w == "deep" && i+1 < len(words) && (words[i+1] == "fry" || words[i+1] == stemKey("fried") || words[i+1] == stemKey("frying")) {
			return true
		}
	}
	return false
}
