package store

import (
	"slices"
	"strings"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// clashes are what a recipe holds of what a judge declared: the allergens that
// were ticked, and the words of the diet as far as words can be compared.
func clashes(code int, d Diet, r Recipe) (found []Clash) {
	named := d.namedAllergens()
	for _, a := range r.Reading.Allergens {
		if slices.Contains(named, a.Name) {
			found = append(found, Clash{code, a.Name, a.Words, a.Level != string(pantry.Sure)})
		}
	}
	words := stemsOf(d.Words)
	for _, x := range r.Reading.Diets {
		if asksFor(words, x.Name) {
			found = append(found, Clash{code, x.Name, x.Words, x.Level != "against"})
		}
	}
	return append(found, spelled(code, words, r.Reading, found)...)
}

// namedAllergens are those that were ticked and those that the words name.
func (d Diet) namedAllergens() []string {
	named := slices.Clone(d.Allergens)
	for _, h := range pantry.Allergens(nil, pantry.AppendStems(nil, d.Words)) {
		if !slices.Contains(named, h.Allergen) {
			named = append(named, h.Allergen)
		}
	}
	return named
}

// asksFor says whether words declare a diet of the table: "vegan", or for
// "without pork" the word pork.
func asksFor(words []string, diet string) bool {
	name, _ := strings.CutPrefix(diet, "without ")
	return slices.Contains(words, pantry.Stem(name))
}

// shortest keeps "no" from matching anything.
const shortest = 3

// spelled finds further words of a declaration among the names of ingredients,
// such as an herb that somebody cannot stand. They only may be a clash.
func spelled(code int, words []string, b recipe.Breakdown, known []Clash) (found []Clash) {
	for _, w := range words {
		if len(w) < shortest {
			continue
		}
		var names []string
		for _, i := range b.Ingredients() {
			if slices.Contains(stemsOf(i.Name), w) && !slices.Contains(names, i.Name) && !slices.ContainsFunc(known, func(c Clash) bool { return mentions(c, i.Name) }) {
				names = append(names, i.Name)
			}
		}
		if len(names) > 0 {
			found = append(found, Clash{code, w, names, true})
		}
	}
	return found
}

func mentions(c Clash, name string) bool {
	return slices.ContainsFunc(c.Words, func(w string) bool { return strings.Contains(strings.ToLower(name), strings.ToLower(w)) })
}

func stemsOf(text string) []string {
	var stems []string
	for _, w := range pantry.Words(text) {
		stems = append(stems, pantry.Stem(w))
	}
	return stems
}
