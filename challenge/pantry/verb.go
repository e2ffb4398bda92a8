package pantry

import (
	"strings"
	"sync"
)

// Verb is what a kitchen verb needs: a row of verbs.tsv. Attended is "yes",
// "part" or "no"; Kind is "heat", "wait", "hold", "hands" or "machine".
type Verb struct{ Verb, Equipment, Attended, Kind, Source string }

type verbTable struct {
	verbs map[string]Verb // stem of a one-word verb
	gear  trie
	rows  [][]string
}

var verbs = sync.OnceValue(func() *verbTable {
	t := &verbTable{verbs: map[string]Verb{}, rows: Rows("equipment")}
	for _, r := range Rows("verbs") {
		name, _, _ := strings.Cut(r[0], " (")
		v := Verb{name, r[1], r[2], r[3], r[4]}
		if _, seen := t.verbs[Stem(name)]; !seen && !strings.Contains(name, " ") {
			t.verbs[Stem(name)] = v
		}
	}
	for i, r := range t.rows {
		t.gear.add(r[0], i)
	}
	return t
})

// FindVerb looks a lower-case verb up by its stem.
func FindVerb(stem string) (Verb, bool) {
	v, ok := verbs().verbs[stem]
	return v, ok
}

// Equipment finds the piece of equipment whose name starts the stems; n is how
// many words it took, 0 where there is none.
func Equipment(stems []string) (name string, n int) {
	t := verbs()
	rows, n := t.gear.longest(stems)
	if n == 0 {
		return "", 0
	}
	return t.rows[rows[0]][1], n
}
