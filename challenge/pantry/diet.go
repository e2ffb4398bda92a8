package pantry

import (
	"strings"
	"sync"
)

// DietHit is one word that bears on a diet: its tag ("meat", "dairy", "alcohol")
// in diet.tsv.
type DietHit struct {
	Tag      string
	Level    Level
	Term     string
	Source   string
	From, To int
}

type dietTable struct {
	terms trie
	rows  [][]string
}

var diets = sync.OnceValue(func() *dietTable {
	t := &dietTable{rows: Rows("diet")}
	for i, r := range t.rows {
		name, _, _ := strings.Cut(r[0], " (")
		t.terms.add(name, i)
	}
	return t
})

// tagAllergen: a false friend of the allergen is one of the tag as well.
var tagAllergen = map[string]string{"dairy": "milk", "egg": "egg", "fish": "fish"}

// DietTags appends the diet words of an ingredient name, given as stems, to dst.
// An empty answer means that no word was recognised.
func DietTags(dst []DietHit, stems []string) []DietHit {
	t, a := diets(), allergens()
	doubt := doubtful(stems)
	for i := 0; i < len(stems); i++ {
		rows, n := t.terms.longest(stems[i:])
		for _, r := range rows {
			row := t.rows[r]
			if a.friendCovers(stems, i, i+n, tagAllergen[row[1]]) || row[1] == "meat-stock" && plantWord(stems[:i]) {
				continue
			}
			h := DietHit{row[1], Level(row[2]), row[0], row[3], i, i + n}
			if doubt {
				h.Level = May
			}
			dst = append(dst, h)
		}
		if n > 1 {
			i += n - 1
		}
	}
	return dst
}

// friendCovers reports whether words [from, to) lie within a false friend of the
// allergen.
func (t *allergenTable) friendCovers(stems []string, from, to int, allergen string) bool {
	if allergen == "" {
		return false
	}
	for i := max(0, from-4); i <= from; i++ {
		if rows, n := t.friends.longest(stems[i:]); n > 0 && i+n >= to && t.names(rows, allergen) {
			return true
		}
	}
	return false
}

func plantWord(stems []string) bool {
	for _, w := range stems {
		switch w {
		case "vegetable", "mushroom", "veggie", "vegan", "vegetarian", "onion", "miso":
			return true
		}
	}
	return false
}

// Diet is a way of eating and the tags that break it: a row of diet_rules.tsv.
type Diet struct {
	Name      string   // "vegan"
	Tags      []string // diet tags that speak against it
	Allergens []string // allergens that speak against it
	Schema    string   // its name at schema.org, or ""
	Source    string
}

var vegetarianTags = []string{"meat", "poultry", "pork", "beef", "fish", "gelatin", "animal-fat", "meat-stock", "insect", "rennet"}

// Diets lists the diets that words can speak against. Halal, kosher and medical
// diets are not among them: words cannot tell (diet_rules.tsv). The list must not
// be changed.
func Diets() []Diet { return dietList() }

var dietList = sync.OnceValue(func() []Diet {
	vegan := append([]string{"dairy", "egg", "bee", "other-animal"}, vegetarianTags...)
	return []Diet{
		{"vegetarian", vegetarianTags, nil, "VegetarianDiet", "CP; schema.org"},
		{"vegan", vegan, []string{"milk", "egg", "fish", "crustacean", "mollusc"}, "VeganDiet", "CP; schema.org"},
		{"without pork", []string{"pork"}, nil, "", "CP"},
		{"without beef", []string{"beef"}, nil, "", "CP"},
		{"without alcohol", []string{"alcohol"}, nil, "", "CP"},
		{"without gluten", nil, []string{"gluten", "wheat"}, "GlutenFreeDiet", "CP; EU"},
	}
})
