package kitchen

import (
	"fmt"
	"slices"
	"strings"
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
						Text: fmt.Sprintf("%s declared %s, and it was recognised in %s (%s).", t.Name, a.Name, d.Title(), a.Level)})
				}
			}
		}
	}
	if len(list) == 0 {
		return []Caution{{Source: practice, Text: "None of the declared allergens was recognised in these recipes. Not recognised does not mean not there: read the labels and ask."}}
	}
	var first []string
	for _, d := range dishes {
		if !touched[d.Title()] {
			first = append(first, d.Title())
		}
	}
	if len(first) > 0 {
		list = append(list, Caution{Dishes: first, Source: practice, Text: fmt.Sprintf(
			"Make %s first, with clean boards, knives, bowls and fresh oil: what the other dishes leave behind carries over.", strings.Join(first, " and "))})
	}
	return list
}
