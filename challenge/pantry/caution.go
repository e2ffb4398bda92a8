package pantry

import (
	"strings"
	"sync"
)

// CautionRule is a food-safety caution with the words that call for it: a row of
// cautions.tsv, which draws on safety_rules.tsv.
type CautionRule struct {
	ID       string
	Where    string // "ingredient", "step" or "any"
	Sentence string
	Source   string
}

// StandingCaution goes with every list of cautions.
const StandingCaution = "These cautions are the usual ones and not complete: local food-safety rules and qualified advice come first."

// Trigger is one trigger word found: rule number and the part it plays.
type Trigger struct {
	Rule int
	Role TriggerRole
}

// TriggerRole says which column of cautions.tsv a trigger word stands in.
type TriggerRole uint8

// Any of the first calls for the caution, where also one of With is there and
// none of Unless.
const (
	TriggerAny TriggerRole = iota
	TriggerWith
	TriggerUnless
)

type cautionTable struct {
	rules    []CautionRule
	with     []bool
	words    trie
	triggers []Trigger
}

var cautions = sync.OnceValue(func() *cautionTable {
	t := &cautionTable{}
	for i, r := range Rows("cautions") {
		t.rules = append(t.rules, CautionRule{r[0], r[1], r[5], r[6]})
		t.with = append(t.with, r[3] != "")
		for role := TriggerAny; role <= TriggerUnless; role++ {
			for term := range strings.SplitSeq(r[2+int(role)], "|") {
				if term != "" {
					t.words.add(term, len(t.triggers))
					t.triggers = append(t.triggers, Trigger{i, role})
				}
			}
		}
	}
	return t
})

// Triggers calls found for every trigger word in the stems; n is its length.
// Shorter terms within a longer one count as well.
func Triggers(stems []string, found func(at, n int, tr Trigger)) {
	t := cautions()
	for i := range stems {
		at := &t.words
		for n := 0; i+n < len(stems); n++ {
			if at = at.next[stems[i+n]]; at == nil {
				break
			}
			for _, r := range at.rows {
				found(i, n+1, t.triggers[r])
			}
		}
	}
}

// Cautions gives the rules that Trigger.Rule numbers.
func Cautions() []CautionRule { return cautions().rules }

// NeedsWith reports whether a rule also asks for a word of its With column.
func NeedsWith(rule int) bool { return cautions().with[rule] }
