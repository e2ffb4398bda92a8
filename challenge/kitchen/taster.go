package kitchen

import (
	"slices"
	"strings"

	"fairladle/challenge/wording"
)

// Taster is what somebody at the table declared beforehand.
type Taster struct {
	Name      string
	Allergens []string // names of pantry's allergen table
}

// AgainstTasters holds the allergens recognised in every dish against what the
// tasters declared, and says in which order the dishes are better made. Nothing
// found is no promise: words can be missed.
func AgainstTasters(dishes []Dish, tasters []Taster) []Caution {
	var list []Caution
	touched := map[string]bool{}
	for _, d := range dishes {
		for _, a := range d.Breakdown.Allergens {
			for _, t := range tasters {
				if slices.Contains(t.Allergens, a.Name) {
					touched[d.Title()] = true
					list = append(list, Caution{Dishes: []string{d.Title()}, Source: "words of the recipe: " + strings.Join(a.Words, ", "),
						Text: wording.Of("%v declared %v, and it was recognised in %v.", t.Name, wording.Of(a.Name), d.Title())})
				}
			}
		}
	}
	if len(list) == 0 {
		return []Caution{{Source: practice, Text: wording.Of("None of the declared allergens was recognised in these recipes. Not recognised does not mean not there: read the labels and ask.")}}
	}
	var first []string
	var names wording.List
	for _, d := range dishes {
		if !touched[d.Title()] {
			first, names = append(first, d.Title()), append(names, d.Title())
		}
	}
	if len(first) > 0 {
		list = append(list, Caution{Dishes: first, Source: practice, Text: wording.Of(
			"Make %v first, with clean boards, knives, bowls and fresh oil: what the other dishes leave behind carries over.", names)})
	}
	return list
}
