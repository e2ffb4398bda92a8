package pantry

import (
	"strings"
	"sync"

	"fairladle/challenge/measure"
)

// Weight is what a household measure of a food weighs, with its source: a row of
// portions.tsv (USDA SR28, 2015; its cup is 236.588 mL).
type Weight struct {
	Grams     measure.Range // of the amount asked for
	Food      string        // the row that answered
	Measure   string        // the measure as printed: "cup packed"
	Source    string
	Nearest   bool // the row is a near food or measure, not the same
	Qualifier string
}

type portion struct {
	food, measure, unit, qualifier, source string
	per                                    measure.Number // grams per unit
	nearest                                bool
}

type portionTable struct {
	names trie
	rows  []portion
}

var portions = sync.OnceValue(func() *portionTable {
	t := &portionTable{}
	for _, r := range Rows("portions") {
		per, err := measure.ParseNumber(r[9])
		if err != nil {
			panic("pantry: portions.tsv: " + err.Error())
		}
		p := portion{food: r[0], measure: r[5], unit: r[7], qualifier: r[8], per: per, source: r[11] + " " + r[2]}
		t.add(r[0], p)
		for alias := range strings.SplitSeq(r[1], ";") {
			name, near := strings.CutSuffix(alias, " (nearest)")
			if name != "" {
				q := p
				q.nearest = near
				t.add(name, q)
			}
		}
	}
	return t
})

func (t *portionTable) add(name string, p portion) {
	t.names.add(name, len(t.rows))
	t.rows = append(t.rows, p)
}

// Weigh turns an amount of a food into grams. stems is the name (Words, Stem);
// volumes are read in the given system, counts ("2 large eggs") by the size word
// in the name. It answers only where a table row names the food; nothing is
// guessed from water.
func Weigh(stems []string, amount measure.Range, unit string, sys measure.System) (Weight, bool) {
	t := portions()
	var best []int32
	at, n := 0, 0
	for i := range stems {
		if rows, k := t.names.longest(stems[i:]); k > 0 && (k > n || k == n && i+k > at+n) {
			best, at, n = rows, i, k
		}
	}
	if n == 0 || measure.KindOf(unit) != measure.Count && !t.describes(best, stems[at+n:]) {
		return Weight{}, false // "butter beans" are no butter
	}
	switch measure.KindOf(unit) {
	case measure.Volume:
		return t.volume(best, stems, amount, unit, sys)
	case measure.Mass:
		g, ok := measure.SizeIn(unit, sys)
		return Weight{Grams: amount.Times(g.Value), Food: strings.Join(stems, " "), Measure: unit, Source: g.Source}, ok
	}
	return t.count(best, stems, amount, unit)
}

// describes reports whether the words after the food are qualifiers of its rows
// ("brown sugar packed"), not another food.
func (t *portionTable) describes(rows []int32, rest []string) bool {
next:
	for _, w := range rest {
		for _, r := range rows {
			for _, q := range Words(t.rows[r].qualifier) {
				if Stem(q) == w {
					continue next
				}
			}
		}
		return false
	}
	return true
}

// volume goes through the row's own measure: its cup is a US cup whatever the
// recipe's is.
func (t *portionTable) volume(rows []int32, stems []string, amount measure.Range, unit string, sys measure.System) (Weight, bool) {
	size, ok := measure.SizeIn(unit, sys)
	if !ok {
		size, ok = measure.SizeIn(unit, measure.USCustomary)
	}
	if !ok {
		return Weight{}, false
	}
	row, found := t.choose(rows, func(p portion) int {
		own, ok := measure.SizeIn(p.unit, measure.USCustomary)
		if !ok || own.Kind != measure.Volume {
			return -1
		}
		score := 0
		for _, w := range Words(p.qualifier) {
			if contains(stems, Stem(w)) {
				score += 4
			}
		}
		if p.qualifier == "" || strings.HasPrefix(p.qualifier, "packed") && contains(stems, "packed") {
			score += 2
		}
		if p.unit == unit {
			score++
		}
		return score
	})
	if !found {
		return Weight{}, false
	}
	own, _ := measure.SizeIn(row.unit, measure.USCustomary)
	grams := amount.Times(size.Value).Times(row.per).Times(measure.Whole(1).Div(own.Value))
	near := row.nearest || row.qualifier != "" && !contains(stems, firstStem(row.qualifier))
	return Weight{grams, row.food, row.measure, row.source, near, row.qualifier}, true
}

func (t *portionTable) count(rows []int32, stems []string, amount measure.Range, unit string) (Weight, bool) {
	row, found := t.choose(rows, func(p portion) int {
		if p.unit != "each" {
			return -1
		}
		score := 0
		for _, w := range Words(p.measure) {
			if w = Stem(w); contains(stems, w) || w == unit {
				score += 4
			}
			if w == "medium" {
				score++
			}
		}
		return score
	})
	if !found {
		return Weight{}, false
	}
	exact := row.qualifier == "" || contains(stems, firstStem(row.qualifier)) || firstStem(row.qualifier) == unit
	return Weight{amount.Times(row.per), row.food, row.measure, row.source, row.nearest || !exact, row.qualifier}, true
}

// choose takes the row with the highest score, the first of equals; scores below
// zero do not serve.
func (t *portionTable) choose(rows []int32, score func(portion) int) (portion, bool) {
	best, at := -1, -1
	for _, r := range rows {
		if s := score(t.rows[r]); s > best {
			best, at = s, int(r)
		}
	}
	if at < 0 {
		return portion{}, false
	}
	return t.rows[at], true
}

func contains(stems []string, w string) bool {
	for _, s := range stems {
		if s == w {
			return true
		}
	}
	return false
}

func firstStem(s string) string {
	if w := Words(s); len(w) > 0 {
		return Stem(w[0])
	}
	return ""
}
