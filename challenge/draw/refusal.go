package draw

import (
	"fmt"

	"fairladle/challenge/wording"
)

// Code says why something was refused; pages choose their own words by it.
type Code string

// The reasons for refusing a plan, a roster or an event.
const (
	BadPlan     Code = "bad-plan"     // the plan contradicts itself or a rule
	BadRoster   Code = "bad-roster"   // the list is not a roster, or not the plan's
	BadEvent    Code = "bad-event"    // the event lacks something or is of no known kind
	Stale       Code = "stale"        // something else was recorded first
	AlreadyDone Code = "already-done" // every place is filled
	AlreadyVoid Code = "already-void" // the draw was declared void
	NotAwaited  Code = "not-awaited"  // not what this draw waits for now
	DieFace     Code = "die-face"     // a die shows a face it does not have
	RollCount   Code = "roll-count"   // too many or too few dice
	PlaceFilled Code = "place-filled" // the place has an entry already
	NoSuchRoll  Code = "no-such-roll" // a roll that was never recorded
	SamePerson  Code = "same-person"  // who typed a roll cannot confirm it
	NoSuchParty Code = "no-such-party"
	Repeated    Code = "repeated" // done already by this party, for this source or roll
	TooEarly    Code = "too-early"
	TooLate     Code = "too-late"
	WrongReveal Code = "wrong-reveal" // not what was committed to
	BadNumber   Code = "bad-number"   // a source value that is not written as announced
)

// Refusal is the error for everything a person can put right; its text is
// written for a host. Compare by code: errors.Is(err, Refusal{Code: Stale}).
type Refusal struct {
	Code Code
	wording.Sentence
}

func (r Refusal) Error() string { return r.Sentence.String() }

// Is matches a Refusal with the same code and no text of its own.
func (r Refusal) Is(target error) bool {
	t, ok := target.(Refusal)
	return ok && t.IsZero() && t.Code == r.Code
}

func refuse(code Code, format string, args ...any) error {
	return Refusal{Code: code, Sentence: wording.Of(format, args...)}
}

// EventError says which of several recorded events was refused.
type EventError struct {
	N   int // the event's number, from 1
	Err error
}

func (e EventError) Error() string { return fmt.Sprintf("event %d: %v", e.N, e.Err) }

// Unwrap returns the refusal.
func (e EventError) Unwrap() error { return e.Err }
