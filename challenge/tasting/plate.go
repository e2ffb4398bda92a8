package tasting

import (
	"fairladle/challenge/panel"
	"fairladle/challenge/wording"
)

// Plate is what is scored: one dish as cooked by one cook, in one kitchen, on
// one date. Dish, Cook and Kitchen are numbers of the caller's; Day counts days.
type Plate struct {
	ID      int64 `json:"id"`
	Dish    int64 `json:"dish"`
	Cook    int64 `json:"cook"`
	Kitchen int64 `json:"kitchen"`
	Day     int64 `json:"day"`
}

// Confounded reports whether dish and cook cannot be told apart: some dish and
// its cook have nothing in common with the others, so that a better score may
// be the cook's as well as the recipe's. Dishes compare fairly where cooks and
// dishes hang together: one cook for all, or cooks who made several of them.
func Confounded(plates []Plate) bool {
	seen := map[[2]int64]bool{}
	var pairs []panel.Mark
	for _, p := range plates {
		if pair := [2]int64{p.Dish, p.Cook}; !seen[pair] {
			seen[pair] = true
			pairs = append(pairs, panel.Mark{Item: p.Dish, Rater: p.Cook})
		}
	}
	table, err := panel.NewTable(pairs)
	return err == nil && panel.Connected(table).Count > 1
}

// Caution says in plain words what the plates do not let anybody tell; zero
// where there is nothing to say.
func Caution(plates []Plate) wording.Sentence {
	if Confounded(plates) {
		return wording.Of("Some dishes were made by cooks who made none of the others, so nobody can tell whether a score is for the recipe or for the cook.")
	}
	return wording.Sentence{}
}
