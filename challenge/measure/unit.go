package measure

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"
)

//go:embed units.tsv
var unitsTSV string

//go:embed words.tsv
var wordsTSV string

// Kind says what a unit measures.
type Kind string

// The kinds of unit. A Count unit (clove, can, bunch) has no size of its own.
const (
	Volume Kind = "volume"
	Mass   Kind = "mass"
	Count  Kind = "count"
	Length Kind = "length"
)

// System names the body of measures that a size belongs to.
type System string

// The systems of units.tsv. SI units and the avoirdupois ounce and pound are the
// same everywhere; spoons, cups, pints and fluid ounces are not.
const (
	USCustomary System = "us-customary"
	USLabelling System = "us-labelling"
	Metric      System = "metric"
	Imperial    System = "imperial"
	Australia   System = "australia"
	SI          System = "SI"
)

// Size is one row of units.tsv: what a unit holds in one system, in mL for a
// volume and g for a mass.
type Size struct {
	Unit      string // short form: "cup"
	Name      string // "tablespoon"
	Kind      Kind
	System    System
	Value     Number
	Exactness string // "exact", "convention, sources differ", ...
	Note      string
	Source    string
}

type tables struct {
	sizes []Size
	first map[string]int // short form -> the first row, which is the US or SI one
	words map[string]string
}

var load = sync.OnceValue(func() tables {
	t := tables{first: map[string]int{}, words: map[string]string{}}
	for _, f := range rows(unitsTSV, 9) {
		v, err := ParseNumber(f[4])
		if err != nil {
			panic("measure: units.tsv: " + err.Error())
		}
		if _, seen := t.first[f[0]]; !seen {
			t.first[f[0]] = len(t.sizes)
		}
		t.sizes = append(t.sizes, Size{f[0], f[1], Kind(f[2]), System(f[3]), v, f[6], f[7], f[8]})
	}
	for _, f := range rows(wordsTSV, 3) {
		t.words[f[0]] = f[1]
	}
	return t
})

// rows splits a table into its rows of n fields, without the heading.
func rows(tsv string, n int) [][]string {
	var out [][]string
	for i, line := range strings.Split(strings.TrimRight(tsv, "\n"), "\n") {
		f := strings.Split(line, "\t")
		if len(f) != n {
			panic(fmt.Sprintf("measure: table row %d has %d fields, not %d", i+1, len(f), n))
		}
		if i > 0 {
			out = append(out, f)
		}
	}
	return out
}

// Word gives the short form of a unit word in lower case ("tablespoons" ->
// "tbsp"). Single letters are left to the caller: T is a tablespoon and t a
// teaspoon, so their case must be seen.
func Word(lower string) (short string, ok bool) {
	short, ok = load().words[lower]
	return short, ok
}

// Words is the whole table from lower-case unit word to short form. It must not
// be changed.
func Words() map[string]string { return load().words }

// Sizes lists every size of a unit by its short form, the US or SI one first.
func Sizes(short string) []Size {
	var out []Size
	for _, s := range load().sizes {
		if s.Unit == short {
			out = append(out, s)
		}
	}
	return out
}

// SizeIn gives the size of a unit in a system. Units that are the same
// everywhere (SI, ounce, pound, spoon-set conventions) answer for every system;
// a unit that the system lacks is not found.
func SizeIn(short string, sys System) (Size, bool) {
	var everywhere *Size
	sizes := load().sizes
	for i := range sizes {
		s := &sizes[i]
		if s.Unit != short {
			continue
		}
		switch s.System {
		case sys:
			return *s, true
		case USCustomary, USLabelling, Metric, Imperial, Australia:
		default:
			everywhere = s
		}
	}
	if everywhere == nil {
		return Size{}, false
	}
	return *everywhere, true
}

// KindOf says what a unit's short form measures; unknown units and the empty
// unit are counts.
func KindOf(short string) Kind {
	t := load()
	if i, ok := t.first[short]; ok {
		return t.sizes[i].Kind
	}
	switch short {
	case "inch", "cm", "mm":
		return Length
	}
	return Count
}
