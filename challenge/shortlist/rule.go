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
	Kind  Kind  `json:"kind"`
	AtCut AtCut `json:"atCut"`
}

// Check tells what is wrong with a rule, in words for the host.
func (r Rule) Check() error {
	if r.Kind != Plain && r.Kind != Calibrated {
		return fmt.Errorf("unknown rule for the shortlist %q", string(r.Kind))
	}
	if r.AtCut != TakeAll && r.AtCut != TakeNone && r.AtCut != TakeDraw {
		return fmt.Errorf("unknown choice for entries level at the cut %q", string(r.AtCut))
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
