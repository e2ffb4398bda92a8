package tasting

import "fairladle/challenge/wording"

// Words says what a rule goes by: "the weighted mean".
func (k Kind) Words() wording.Sentence {
	switch k {
	case WeightedMean:
		return wording.Of("the weighted mean")
	case TrimmedMean:
		return wording.Of("the mean without the highest and lowest marks")
	case Standardised:
		return wording.Of("each judge's scores put on one footing")
	case Borda:
		return wording.Of("each judge's order of the plates")
	case Additive:
		return wording.Of("scores corrected for strict and lenient judges")
	}
	return wording.Sentence{}
}

// Sentences tells the certainty in plain words.
func (c Certainty) Sentences(v Verdict, name Namer) []wording.Sentence {
	if v.Outcome != Ranked {
		return nil
	}
	var t teller
	if c.Method == CountsOnly {
		t.say("The panel is too small for figures about agreement or chance: what counts is who put what first.")
		v.firstsWords(&t, name)
		return t.told
	}
	t.told = append(t.told, c.Agreement.Sentences()...)
	c.runWords(&t, name)
	c.turningWords(&t, name)
	c.ruleWords(&t, name)
	return t.told
}

func (c Certainty) runWords(t *teller, name Namer) {
	first := joined(c.First, name)
	switch {
	case c.Runs == 0:
		t.say("Without some of the judges the plates cannot be compared at all, so nobody can say how sure the first place is.")
	case c.Method == LeaveOut && c.SameFirst == c.Runs:
		t.say("Whichever one or two judges had stayed away, the first place would be the same: %v.", first)
	case c.Method == LeaveOut:
		t.say("If one or two of the judges had stayed away, %v would still be first in %v of the %v cases.", first, c.SameFirst, c.Runs)
	default:
		t.say("If other judges of the same kind had sat there (%v panels drawn from these judges), %v would have been first in about %v of 100.",
			c.Runs, first, (200*c.SameFirst+c.Runs)/(2*c.Runs))
	}
	if c.Runs > 0 {
		t.count(c.Unusable, "One more such panel is not counted: in it some plate would have no score, or the plates could not be compared.",
			"%v more such panels are not counted: in them some plate would have no score, or the plates could not be compared.")
	}
}

func (c Certainty) turningWords(t *teller, name Namer) {
	switch {
	case c.Untold:
	case len(c.Turning) == 0:
		t.say("No single judge decided the first place.")
	case len(c.Turning) == 1:
		t.say("The first place hangs on one judge: without this judge it would go to %v.", others(c.Turning, name))
	default:
		t.say("The first place hangs on %v judges: without any one of them it would go to %v.", Number(len(c.Turning)), others(c.Turning, name))
	}
}

func others(turning []Turning, name Namer) any {
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
		return wording.Of("%v different plates or ties of them", Number(len(all)))
	}
	return joined(all, name)
}

func (c Certainty) ruleWords(t *teller, name Namer) {
	differ := 0
	for _, r := range c.Rules {
		switch {
		case r.First == nil:
			t.say("By %v there would be no verdict.", r.Kind.Words())
			differ++
		case !r.SameFirst:
			t.say("By %v the first place would go to %v.", r.Kind.Words(), joined(r.First, name))
			differ++
		}
	}
	if differ == 0 {
		t.say("Every other usual rule gives the same first place.")
	}
}
