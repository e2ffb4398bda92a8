package tasting

import "fmt"

var kindWords = map[Kind]string{
	WeightedMean: "the weighted mean",
	TrimmedMean:  "the mean without the highest and lowest marks",
	Standardised: "each judge's scores put on one footing",
	Borda:        "each judge's order of the plates",
	Additive:     "scores corrected for strict and lenient judges",
}

// Words says what a rule goes by: "the weighted mean".
func (k Kind) Words() string { return kindWords[k] }

// Sentences tells the certainty in plain words; name as in Verdict.Sentences.
func (c Certainty) Sentences(v Verdict, name func(int64) string) []string {
	return c.sentences(v, name)
}

func (c Certainty) sentences(v Verdict, name func(int64) string) []string {
	if v.Outcome != Ranked {
		return nil
	}
	var words []string
	say := func(format string, a ...any) { words = append(words, capital(fmt.Sprintf(format, a...))) }
	if c.Method == CountsOnly {
		say("The panel is too small for figures about agreement or chance: what counts is who put what first.")
		v.firstsWords(say, name)
		return words
	}
	words = append(words, c.Agreement.Words...)
	c.runWords(say, name)
	c.turningWords(say, name)
	c.ruleWords(say, name)
	return words
}

func (c Certainty) runWords(say func(string, ...any), name func(int64) string) {
	first := joined(c.First, name)
	switch {
	case c.Runs == 0:
		say("Without some of the judges the plates cannot be compared at all, so nobody can say how sure the first place is.")
	case c.Method == LeaveOut && c.SameFirst == c.Runs:
		say("Whichever one or two judges had stayed away, the first place would be the same: %s.", first)
	case c.Method == LeaveOut:
		say("If one or two of the judges had stayed away, %s would still be first in %d of the %d cases.", first, c.SameFirst, c.Runs)
	default:
		say("If other judges of the same kind had sat there (%d panels drawn from these judges), %s would have been first in about %d of 100.",
			c.Runs, first, (200*c.SameFirst+c.Runs)/(2*c.Runs))
	}
	if c.Unusable > 0 && c.Runs > 0 {
		say("%d more such panels are not counted: in them some plate would have no score, or the plates could not be compared.", c.Unusable)
	}
}

func (c Certainty) turningWords(say func(string, ...any), name func(int64) string) {
	if c.Untold {
		return
	}
	if len(c.Turning) == 0 {
		say("No single judge decided the first place.")
		return
	}
	verb := "judges"
	if len(c.Turning) == 1 {
		verb = "judge"
	}
	say("The first place hangs on %s %s: without any one of them it would go to %s.", Number(len(c.Turning)), verb, others(c.Turning, name))
}

func others(turning []Turning, name func(int64) string) string {
	var all []int64
	seen := map[int64]bool{}
	for _, t := range turning {
		for _, p := range t.First {
			if !seen[p] {
				seen[p] = true
				all = append(all, p)
			}
		}
	}
	if len(all) > 2 {
		return Number(len(all)) + " different plates or ties of them"
	}
	return joined(all, name)
}

func (c Certainty) ruleWords(say func(string, ...any), name func(int64) string) {
	differ := 0
	for _, r := range c.Rules {
		switch {
		case r.First == nil:
			say("By %s there would be no verdict.", r.Kind.Words())
			differ++
		case !r.SameFirst:
			say("By %s the first place would go to %s.", r.Kind.Words(), joined(r.First, name))
			differ++
		}
	}
	if differ == 0 {
		say("Every other usual rule gives the same first place.")
	}
}
