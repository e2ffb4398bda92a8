package ballot

import (
	"errors"
	"fmt"
	"slices"
)

// Method is how a vote is cast and counted. It is locked before voting opens.
type Method string

// The methods.
const (
	OneChoice Method = "one"            // the ballot names one option
	Approval  Method = "approval"       // the ballot names every option the voter likes
	Runoff    Method = "instant-runoff" // the ballot ranks; last places drop out one by one
	Schulze   Method = "schulze"        // the ballot ranks; every pair is compared
)

// Methods lists every method, in the order in which pages show them.
func Methods() []Method { return []Method{OneChoice, Approval, Runoff, Schulze} }

// Ranks reports whether the order of the options on a ballot counts.
func (m Method) Ranks() bool { return m == Runoff || m == Schulze }

// Ballot is the options that a voter named, the best first where the method
// ranks. Options that a ranking leaves out stand level below those it names.
// An empty ballot is blank.
type Ballot []int64

// What can be wrong with a ballot.
var (
	ErrMethod  = errors.New("unknown method of voting")
	ErrOption  = errors.New("the ballot names something that is not on the list")
	ErrTwice   = errors.New("the ballot names a choice twice")
	ErrTooMany = errors.New("the ballot names more than one choice")
	ErrOptions = errors.New("a vote needs at least one option, each of them once")
)

// Check is for the moment a ballot is cast. It accepts blank ballots.
func (m Method) Check(options []int64, b Ballot) error {
	if !slices.Contains(Methods(), m) {
		return fmt.Errorf("%q: %w", string(m), ErrMethod)
	}
	for n, option := range b {
		switch {
		case !slices.Contains(options, option):
			return fmt.Errorf("%d: %w", option, ErrOption)
		case slices.Contains(b[:n], option):
			return fmt.Errorf("%d: %w", option, ErrTwice)
		}
	}
	if m == OneChoice && len(b) > 1 {
		return ErrTooMany
	}
	return nil
}
