package pantry

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"fairladle/challenge/wording"
)

// Inside is the usual least temperature inside a sort of raw meat or fish for
// home cooks, in degrees of both scales, with the minutes that it must rest
// then: a row of safe_temps.tsv.
type Inside struct {
	Food       string // a sentence of its own: "poultry"
	F, C, Rest float64
	Source     string
}

// insideFoods are the sorts of inside.tsv, warmest first.
var insideFoods = []string{wording.Key("poultry"), wording.Key("minced meat"), wording.Key("whole pieces of meat"), wording.Key("fish")}

// Insides are all sorts, warmest first.
func Insides() []Inside { return insideTable().sorts }

// InsideOf is the sort that the stems of one ingredient's name mean; ok is false
// for what is no raw meat or fish.
func InsideOf(stems []string) (in Inside, ok bool) {
	t := insideTable()
	for _, r := range t.rows {
		if r.words.any(stems) && (len(r.with) == 0 || r.with.any(stems)) {
			if r.food < 0 {
				return Inside{}, false
			}
			return t.sorts[r.food], true
		}
	}
	return Inside{}, false
}

type insideWords struct {
	sorts []Inside
	rows  []insideRow // of inside.tsv: the first that fits counts
}

// An insideRow tells a sort by any of its words, with any of the others where
// there are some. Food -1 is none.
type insideRow struct {
	food        int
	words, with wordSet
}

type wordSet map[string]bool

func (s wordSet) any(stems []string) bool {
	return slices.ContainsFunc(stems, func(w string) bool { return s[w] })
}

var insideTable = sync.OnceValue(func() (t insideWords) {
	t.sorts = make([]Inside, len(insideFoods))
	for _, r := range Rows("inside") {
		food := slices.Index(insideFoods, r[0])
		if food >= 0 {
			t.sorts[food] = insideTemperature(r[0], r[1])
		}
		t.rows = append(t.rows, insideRow{food, setOf(r[2]), setOf(r[3])})
	}
	return t
})

func setOf(words string) wordSet {
	s := wordSet{}
	for _, w := range strings.Fields(words) {
		s[Stem(w)] = true
	}
	return s
}

// insideTemperature reads the row of safe_temps.tsv for home cooks whose foods
// begin with some words.
func insideTemperature(food, words string) Inside {
	for _, r := range Rows("safe_temps") {
		if r[4] != "home" || !strings.HasPrefix(r[0], words) {
			continue
		}
		f, _, _ := strings.Cut(r[1], " ")
		return Inside{food, degrees(f), degrees(r[2]), degrees(r[3]), r[5]}
	}
	panic("pantry: inside.tsv: no temperature for " + words)
}

func degrees(s string) float64 {
	d, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("pantry: safe_temps.tsv: " + s)
	}
	return d
}
