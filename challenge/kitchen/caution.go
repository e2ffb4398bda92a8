package kitchen

import (
	"slices"
	"strings"

	"fairladle/challenge/pantry"
	"fairladle/challenge/wording"
)

// Caution is a warning that belongs beside the plan.
type Caution struct {
	Text   wording.Sentence
	Source string
	Dishes []string
}

// LocalRules stands above every list of cautions.
var LocalRules = wording.Key("Local food-safety rules come first. These are general cautions, not advice for your kitchen; ask somebody qualified where it matters.")

// Cautions lists the cautions of pantry's safety rules whose trigger words stand
// in the dishes' ingredients or steps, with the allergens of each dish. A
// caution that is missing does not mean that there is no danger.
func Cautions(dishes []Dish) []Caution {
	list := []Caution{{Text: wording.Of(LocalRules), Source: practice}}
	for _, r := range pantry.Rows("safety_rules") {
		c := Caution{Text: wording.Of(r[2]), Source: r[4]}
		for _, d := range dishes {
			if triggered(d, r[1]) && !slices.Contains(c.Dishes, d.Title()) {
				c.Dishes = append(c.Dishes, d.Title())
			}
		}
		if len(c.Dishes) > 0 {
			list = append(list, c)
		}
	}
	return slices.Concat(list, insideCautions(dishes), allergenCautions(dishes))
}

// triggered tells whether one of the comma-separated trigger phrases stands in
// the dish, as it is or inflected. What follows in brackets is a remark.
func triggered(d Dish, triggers string) bool {
	var lines [][]string
	for _, in := range d.Breakdown.Ingredients() {
		lines = append(lines, stems(in.Name), stems(in.Preparation), stems(in.Note))
	}
	for _, st := range d.Breakdown.Steps() {
		lines = append(lines, stems(st.Text))
	}
	for _, phrase := range strings.Split(outsideBrackets(triggers), ",") {
		want := stems(phrase)
		if len(want) == 0 || (len(want) == 1 && want[0] == "same") {
			continue
		}
		for _, line := range lines {
			if hasPhrase(line, want) {
				return true
			}
		}
	}
	return false
}

func hasPhrase(line, want []string) bool {
	for from := 0; from+len(want) <= len(line); from++ {
		n := 0
		for n < len(want) && inflects(line[from+n], want[n]) {
			n++
		}
		if n == len(want) {
			return true
		}
	}
	return false
}

// inflects tells whether a word is the stem or its participle (thawed, cooling).
func inflects(word, stem string) bool {
	rest, ok := strings.CutPrefix(word, stem)
	if ok && (rest == "" || rest == "d" || rest == "ed" || rest == "ing") {
		return true
	}
	short, e := strings.CutSuffix(stem, "e")
	return e && word == short+"ing"
}

func outsideBrackets(s string) string {
	var b strings.Builder
	depth := 0
	for _, r := range s {
		switch {
		case r == '(':
			depth++
		case r == ')':
			depth--
		case depth == 0:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// allergenCautions names the allergens recognised in each dish, and that shared
// oil, griddles, bowls and knives carry them over.
func allergenCautions(dishes []Dish) []Caution {
	var list []Caution
	for _, d := range dishes {
		var names wording.List
		for _, a := range d.Breakdown.Allergens {
			name := wording.Of(a.Name)
			if a.Level == string(pantry.May) {
				name = wording.Of("%v (perhaps)", name)
			}
			names = append(names, name)
		}
		if len(names) > 0 {
			list = append(list, Caution{Dishes: []string{d.Title()}, Source: "words of the recipe; not recognised does not mean not there",
				Text: wording.Of("Allergens recognised: %v. Ask tasters beforehand.", names)})
		}
	}
	if len(list) > 0 && len(dishes) > 1 {
		list = append(list, Caution{Source: practice, Text: wording.Of("Shared oil, griddle, bowls, boards and knives carry allergens from one dish to the other: make the dish with fewer allergens first, or wash up in between.")})
	}
	return list
}
