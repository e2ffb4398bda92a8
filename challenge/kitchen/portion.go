package kitchen

import (
	"strings"
	"sync"

	"fairladle/challenge/measure"
	"fairladle/challenge/pantry"
)

// portion is one household measure of a food with its weight: a row of
// pantry's portions table (USDA National Nutrient Database SR28).
type portion struct {
	unit, qualifier string // "cup", "chopped"; unit "" for a piece
	grams           measure.Number
	source          string
}

type foodTables struct {
	name     map[string]string // stems of a name or alias: the table's name
	portions map[string][]portion
	aisle    map[string]string
	heads    map[string]string // last word of a term: the aisle of most such terms
}

// tables are read once; they are embedded, so a broken one is a programming
// error that the tests would show.
var tables = sync.OnceValue(func() *foodTables {
	t := &foodTables{name: map[string]string{}, portions: map[string][]portion{}, aisle: map[string]string{}, heads: map[string]string{}}
	for _, r := range pantry.Rows("portions") {
		grams, err := measure.ParseNumber(r[9])
		if err != nil {
			continue
		}
		unit := r[7]
		if unit == "each" {
			unit = r[8] // "clove", "large", "stick"
		}
		if short, ok := measure.Word(strings.TrimSuffix(unit, "s")); ok {
			unit = short
		}
		for _, n := range append([]string{r[0]}, strings.Split(r[1], ";")...) {
			if k := stemKey(n); k != "" && t.name[k] == "" {
				t.name[k] = r[0]
			}
		}
		t.portions[r[0]] = append(t.portions[r[0]], portion{unit, r[8], grams, "USDA SR28, " + r[3]})
	}
	t.readAisles()
	return t
})

// readAisles adds to the table's terms the other names that the portions table
// has for them, nearest matches too: what is alike stands in one aisle.
func (t *foodTables) readAisles() {
	count := map[string]map[string]int{}
	for _, r := range pantry.Rows("aisles") {
		name, state, _ := strings.Cut(r[0], " (") // "oregano (dried)" is written "dried oregano" in recipes
		words := stems(state + " " + name)
		t.aisle[strings.Join(words, " ")] = r[1]
		head := words[len(words)-1]
		if count[head] == nil {
			count[head] = map[string]int{}
		}
		count[head][r[1]]++
	}
	for _, r := range pantry.Rows("portions") {
		a, ok := t.aisle[stemKey(r[0])]
		for _, alias := range strings.Split(r[1], ";") {
			if k := stemKey(strings.TrimSuffix(alias, " (nearest)")); ok && k != "" && t.aisle[k] == "" {
				t.aisle[k] = a
			}
		}
	}
	for head, aisles := range count {
		best := ""
		for a, n := range aisles {
			if best == "" || n > aisles[best] || (n == aisles[best] && a < best) {
				best = a
			}
		}
		t.heads[head] = best
	}
}

// stems are the words of a name without accents, capitals and plurals.
func stems(name string) []string {
	words := pantry.Words(name)
	for i, w := range words {
		words[i] = pantry.Stem(w)
	}
	return words
}

func stemKey(name string) string { return strings.Join(stems(name), " ") }

// foodKey is what two ingredient names must share to be one shopping line: the
// food of the portions table that the whole name means, else its stems.
func foodKey(name string) string {
	k := stemKey(name)
	if n, ok := tables().name[k]; ok {
		return stemKey(n)
	}
	return k
}

// portionsOf finds the weights of a food: by its whole name, else by its last
// words ("cold butter" has the density of butter, but baby onions are no
// onions: whole says which).
func portionsOf(name string) (list []portion, whole bool) {
	s := stems(name)
	for from := range s {
		if n, ok := tables().name[strings.Join(s[from:], " ")]; ok {
			return tables().portions[n], from == 0
		}
	}
	return nil, false
}

// aisleOf finds the aisle by the longest known term in the name; of equally
// long ones the last, where a name's head stands; failing that, by where most
// terms with the same last word are.
func aisleOf(name string) string {
	s := stems(name)
	best, length := "other", 0
	for from := range s {
		for to := len(s); to > from; to-- {
			if a, ok := tables().aisle[strings.Join(s[from:to], " ")]; ok {
				if to-from >= length {
					best, length = a, to-from
				}
				break
			}
		}
	}
	if length == 0 && len(s) > 0 && tables().heads[s[len(s)-1]] != "" {
		return tables().heads[s[len(s)-1]]
	}
	return best
}

// perUnit returns what one unit of the part's food weighs in grams, by its
// household measures, and the measure's source. A volume is read in US measures;
// a piece without a size is a medium one.
func perUnit(part Part) (grams measure.Number, source string, ok bool) {
	list, whole := portionsOf(part.Name)
	unit := part.Unit
	if unit == "" {
		if unit = part.Size; unit == "" {
			unit = "medium"
		}
	}
	if !whole && measure.KindOf(unit) != measure.Volume {
		return grams, "", false
	}
	best, bestRank := measure.Number{}, -1
	for _, p := range list {
		factor := measure.Whole(1)
		if first, _, _ := strings.Cut(p.unit, " "); p.unit != unit && (part.Unit != "" || first != unit) {
			if measure.KindOf(unit) != measure.Volume || measure.KindOf(p.unit) != measure.Volume {
				continue
			}
			f, ok := convert(unit, p.unit)
			if !ok {
				continue
			}
			factor = f
		}
		if rank := rankPortion(p, unit, part.Preparation); rank > bestRank {
			best, bestRank, source = p.grams.Mul(factor), rank, p.source
		}
	}
	return best, source, bestRank >= 0
}

// rankPortion prefers the measure for the way the food is cut, then the plain
// one, then the same unit.
func rankPortion(p portion, unit, preparation string) int {
	rank := 0
	if p.unit == unit {
		rank++
	}
	switch {
	case p.qualifier == "" || p.qualifier == p.unit:
		rank += 2
	case preparation != "" && strings.Contains(preparation, p.qualifier):
		rank += 4
	}
	return rank
}
