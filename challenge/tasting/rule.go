package tasting

import (
	"errors"
	"fmt"
	"strings"
)

// Kind is how sheets become a score per plate.
type Kind string

// The kinds of tally. A "mark" is a sheet's weighted mean over its criteria.
const (
	WeightedMean Kind = "weighted-mean" // mean of the marks
	TrimmedMean  Kind = "trimmed"       // the same without the highest and lowest marks
	Standardised Kind = "standardised"  // each judge's marks as z-scores over what he or she tasted, then the mean
	Borda        Kind = "borda"         // each judge's order: the share of other plates that a plate beats
	Additive     Kind = "additive"      // least squares: plate effect + judge effect, for incomplete panels
)

// Kinds lists every kind, in the order in which pages show them.
func Kinds() []Kind { return []Kind{WeightedMean, TrimmedMean, Standardised, Borda, Additive} }

// Missing is what happens where a sheet leaves criteria out.
type Missing string

// The treatments of missing scores.
const (
	Renormalise Missing = "renormalise"  // the mark is the weighted mean of the criteria that were scored
	DropSheet   Missing = "drop-sheet"   // a sheet with a gap does not count
	ByCriterion Missing = "by-criterion" // mean per criterion over whoever scored it, then weighted; weighted-mean only
)

// TieBreak is a rung of the ladder that parts plates with the same score.
type TieBreak string

// The rungs. A criterion rung is "criterion:" and the key.
const (
	HeadToHead     TieBreak = "head-to-head"    // duels won among the tied, by majority of the judges who tasted both
	LowestVariance TieBreak = "lowest-variance" // the plate on which judges differ less
	Draw           TieBreak = "draw"            // a recorded draw; always the last rung
	criterionRung           = "criterion:"
)

// OnCriterion is the rung "higher mean on this criterion".
func OnCriterion(key string) TieBreak { return TieBreak(criterionRung + key) }

// Criterion is the key of a criterion rung.
func (b TieBreak) Criterion() (key string, ok bool) {
	return strings.CutPrefix(string(b), criterionRung)
}

// Below is what happens when fewer judges than the smallest panel hand in.
type Below string

// What can be agreed for a panel that is too small.
const (
	StandIns   Below = "stand-ins" // guests at the table score by QR code
	Postpone   Below = "postpone"
	ToAudience Below = "audience" // the audience decides alone
	NotesOnly  Below = "notes"    // tasting notes, no verdict
)

// Rule is the tally rule. It is locked, in this JSON form, before the first
// sheet.
type Rule struct {
	Kind          Kind       `json:"kind"`
	Trim          int        `json:"trim,omitempty"` // per cent of the marks left out at each end, rounded down
	Missing       Missing    `json:"missing"`
	TieBreaks     []TieBreak `json:"tieBreaks"`
	SmallestPanel int        `json:"smallestPanel"` // judges; 0 and 1 mean any
	Below         Below      `json:"below,omitempty"`
}

// The bounds that, with Scale.Check, keep every sum of a tally inside 64 bits.
const (
	mostCriteria = 24
	mostWeight   = 1000
)

// Check tells what is wrong with a rule and its criteria, in words for the host.
func (r Rule) Check(criteria []Criterion) error {
	return errors.Join(checkCriteria(criteria), r.checkKind(), r.checkLadder(criteria), r.checkPanel())
}

func checkCriteria(criteria []Criterion) error {
	if len(criteria) == 0 {
		return errors.New("a tasting needs at least one criterion")
	}
	if len(criteria) > mostCriteria {
		return fmt.Errorf("a tasting may have %d criteria at most", mostCriteria)
	}
	seen := map[string]bool{}
	for _, c := range criteria {
		switch {
		case c.Key == "":
			return fmt.Errorf("the criterion %q has no key", c.Name)
		case seen[c.Key]:
			return fmt.Errorf("two criteria have the key %q", c.Key)
		case c.Weight < 1 || c.Weight > mostWeight:
			return fmt.Errorf("%s: the weight must be between 1 and %d", c.Name, mostWeight)
		}
		if err := c.Scale.Check(); err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
		seen[c.Key] = true
	}
	_, err := newRuler(criteria)
	return err
}

func (r Rule) checkKind() error {
	switch r.Kind {
	case WeightedMean, Standardised, Borda, Additive:
		if r.Trim != 0 {
			return errors.New("only the trimmed mean leaves marks out")
		}
	case TrimmedMean:
		if r.Trim < 1 || r.Trim > 49 {
			return errors.New("a trimmed mean leaves out between 1 and 49 per cent at each end")
		}
	default:
		return fmt.Errorf("unknown tally rule %q", r.Kind)
	}
	switch r.Missing {
	case Renormalise, DropSheet:
		return nil
	case ByCriterion:
		if r.Kind != WeightedMean {
			return errors.New("means criterion by criterion go with the weighted mean only")
		}
		return nil
	}
	return fmt.Errorf("unknown treatment of missing scores %q", r.Missing)
}

func (r Rule) checkLadder(criteria []Criterion) error {
	seen := map[TieBreak]bool{}
	for n, b := range r.TieBreaks {
		if seen[b] {
			return fmt.Errorf("the tie-break %q is named twice", b)
		}
		seen[b] = true
		key, named := b.Criterion()
		switch {
		case named && !hasKey(criteria, key):
			return fmt.Errorf("the tie-break names the criterion %q, which is none", key)
		case !named && b != HeadToHead && b != LowestVariance && b != Draw:
			return fmt.Errorf("unknown tie-break %q", b)
		case b == Draw && n != len(r.TieBreaks)-1:
			return errors.New("nothing can follow a draw: it must be the last tie-break")
		}
	}
	return nil
}

func (r Rule) checkPanel() error {
	if r.SmallestPanel < 0 || r.SmallestPanel > 1000 {
		return errors.New("the smallest panel must be between 0 and 1000 judges")
	}
	switch r.Below {
	case StandIns, Postpone, ToAudience, NotesOnly:
		return nil
	case "":
		if r.SmallestPanel > 1 {
			return errors.New("say what happens when fewer judges than the smallest panel hand in")
		}
		return nil
	}
	return fmt.Errorf("unknown choice for a panel that is too small: %q", r.Below)
}

func hasKey(criteria []Criterion, key string) bool {
	for _, c := range criteria {
		if c.Key == key {
			return true
		}
	}
	return false
}
