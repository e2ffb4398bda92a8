package shortlist

import (
	"errors"
	"fmt"
)

// Kind is how marks become a score.
type Kind string

// The kinds. Readings count out 0, maybe 1, keep 2.
const (
	Plain      Kind = "plain"      // the mean of an entry's marks
	Calibrated Kind = "calibrated" // what an average reader would have given: least squares, entry effect + reader effect
)

// AtCut is what happens to entries that stand level where the places end.
type AtCut string

// The choices at the cut.
const (
	TakeAll  AtCut = "take-all"  // all of them come in: the shortlist grows
	TakeNone AtCut = "take-none" // none of them does: the shortlist shrinks
	TakeDraw AtCut = "draw"      // a recorded draw decides
)

// Rule is locked, in this JSON form, before the first reading.
type Rule struct {
	Kind     Kind        `json:"kind"`
	AtCut    AtCut       `json:"atCut"`
	Criteria []Criterion `json:"criteria,omitempty"` // none: one mark for the whole
}

// Criterion is one thing that readers mark on its own: 0 weak, 1 fair, 2
// strong.
type Criterion struct {
	Name   string `json:"name"`
	Weight int    `json:"weight"` // 1 to MostWeight
}

// Limits of criteria: more than a few nobody answers for two hundred entries.
const (
	MostCriteria = 5
	MostWeight   = 10
)

// ErrCriteria is returned for criteria, or answers to them, that cannot be.
var ErrCriteria = errors.New("a criterion has a name and a weight from 1 to 10, there are at most five, and each is answered with 0, 1 or 2")

// Score is the weighted mean of the answers to the criteria, 0 to 2, and the
// mark it stands for: the nearest, so that each of the three has a third of
// the way.
func (r Rule) Score(answers []int) (Mark, float64, error) {
	if len(answers) != len(r.Criteria) || len(answers) == 0 {
		return 0, 0, ErrCriteria
	}
	sum, weights := 0, 0
	for i, c := range r.Criteria {
		if answers[i] < 0 || answers[i] > 2 {
			return 0, 0, ErrCriteria
		}
		sum += c.Weight * answers[i]
		weights += c.Weight
	}
	mark := Maybe
	switch {
	case 3*sum < 2*weights:
		mark = Out
	case 3*sum >= 4*weights:
		mark = Keep
	}
	return mark, float64(sum) / float64(weights), nil
}

// Check tells what is wrong with a rule, in words for the host.
func (r Rule) Check() error {
	if r.Kind != Plain && r.Kind != Calibrated {
		return fmt.Errorf("unknown rule for the shortlist %q", string(r.Kind))
	}
	if r.AtCut != TakeAll && r.AtCut != TakeNone && r.AtCut != TakeDraw {
		return fmt.Errorf("unknown choice for entries level at the cut %q", string(r.AtCut))
	}
	if len(r.Criteria) > MostCriteria {
		return ErrCriteria
	}
	for _, c := range r.Criteria {
		if c.Name == "" || c.Weight < 1 || c.Weight > MostWeight {
			return ErrCriteria
		}
	}
	return nil
}

// ErrCalibrate is why a rule may not fit a panel.
var ErrCalibrate = errors.New("strict and lenient readers can be told apart only where at least three readers overlap")

// Fits says whether a rule suits so many readers; a set-up page asks it.
func (r Rule) Fits(readers int) error {
	if r.Kind == Calibrated && readers < 3 {
		return ErrCalibrate
	}
	return nil
}
