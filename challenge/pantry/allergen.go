package pantry

import (
	"strings"
	"sync"
)

// Level says how firmly a word means what it is taken for.
type Level string

// Sure: by its nature. May: depends on the product, or the word is only near.
const (
	Sure Level = "sure"
	May  Level = "may"
)

// AllergenHit is one allergen word found in an ingredient name.
type AllergenHit struct {
	Allergen string // "milk", "treenut", ...
	Level    Level
	Term     string // the row of allergens.tsv
	Source   string
	From, To int // words [From, To) of the list that was searched
}

type allergenTable struct {
	terms, friends   trie
	rows, friendRows [][]string
}

var allergens = sync.OnceValue(func() *allergenTable {
	t := &allergenTable{rows: Rows("allergens"), friendRows: Rows("falsefriends")}
	for i, r := range t.rows {
		t.terms.add(r[0], i)
	}
	for i, r := range t.friendRows {
		if strings.Contains(r[0], "X") || strings.Contains(r[0], "(") {
			continue // patterns such as "X-free" are handled in code
		}
		t.friends.add(r[0], i)
	}
	return t
})

// Allergens finds the allergen words in an ingredient name given as stems of its
// words (Words, then Stem), using the space of dst. The longest term wins, false friends clear only the
// allergen they name, and "free", "vegan" or "substitute" beside a word lower it
// to May, never clear it.
//
// An empty answer means that no word was recognised, not that there is none.
func Allergens(dst []AllergenHit, stems []string) []AllergenHit {
	t := allergens()
	hits := dst[:0]
	doubt := doubtful(stems)
	for i := 0; i < len(stems); i++ {
		rows, n := t.terms.longest(stems[i:])
		for _, r := range rows {
			row := t.rows[r]
			hit := AllergenHit{row[1], Level(row[2]), row[0], row[3], i, i + n}
			if doubt {
				hit.Level = May
			}
			hits = append(hits, hit)
		}
		if n > 1 {
			i += n - 1
		}
	}
	if len(hits) == 0 {
		return hits
	}
	return t.clear(stems, hits)
}

// clear drops the hits that lie within a false friend which names their
// allergen, unless the hit is a longer term than the friend.
func (t *allergenTable) clear(stems []string, hits []AllergenHit) []AllergenHit {
	for i := range stems {
		rows, n := t.friends.longest(stems[i:])
		if n == 0 {
			continue
		}
		kept := hits[:0]
		for _, h := range hits {
			if !(h.From >= i && h.To <= i+n && t.names(rows, h.Allergen)) {
				kept = append(kept, h)
			}
		}
		hits = kept
	}
	return hits
}

func (t *allergenTable) names(rows []int32, allergen string) bool {
	for _, r := range rows {
		if t.friendRows[r][1] == allergen {
			return true
		}
	}
	return false
}

func doubtful(stems []string) bool {
	for _, w := range stems {
		switch w {
		case "free", "vegan", "dairyfree", "glutenfree", "eggles", "eggless", "meatles", "meatless",
			"substitute", "replacer", "replacement", "alternative", "imitation", "mock", "without", "nondairy":
			return true
		}
	}
	return false
}

// Lists says how the rules of five places name an allergen, one row of
// allergen_lists.tsv: US, EU, UK, Canada, Australia and New Zealand.
type Lists struct{ Allergen, US, EU, UK, Canada, AustraliaNZ, Note, Source string }

// AllergenLists gives every row of allergen_lists.tsv in its order.
func AllergenLists() []Lists {
	var out []Lists
	for _, r := range Rows("allergen_lists") {
		out = append(out, Lists{r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7]})
	}
	return out
}
