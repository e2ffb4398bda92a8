package views

import (
	"context"
	"time"

	"fairladle/challenge"
	"fairladle/store"
)

// A CorrectPage is what can still be done about a round that has begun.
type CorrectPage struct {
	Frame       Frame
	Base        string
	Round       challenge.Round
	Kept        error  // why it cannot be opened again; nil where it can
	Receiver    string // the open round that can still take or give up an entry; empty for none
	Release     time.Time
	Shown       bool // its outcome is public
	Corrections []store.Correction

	// what was typed
	Reopen, Number, Reason, ReleaseAt, ReleaseReason string
	Move                                             challenge.Move
	Messages                                         Messages
}

// Here is the page's address.
func (p CorrectPage) Here() string { return p.path("correct") }

func (p CorrectPage) path(to string) string {
	return p.Base + "/rounds/" + itoa(p.Round.Position) + "/" + to
}

// kept is why the round cannot be opened again.
func (p CorrectPage) kept(ctx context.Context) string {
	if re, ok := p.Kept.(*challenge.Refusal); ok {
		return t(ctx, re.Text, re.Args...)
	}
	return ""
}

func correctionText(ctx context.Context, x store.Correction) string {
	switch {
	case x.Reopened:
		return t(ctx, "Opened again: %v", x.Reason)
	case x.Move == challenge.MoveIn:
		return t(ctx, "No. %v goes on after all: %v", x.Number, x.Reason)
	case x.Move == challenge.MoveOut:
		return t(ctx, "No. %v does not go on: %v", x.Number, x.Reason)
	case x.Number > 0:
		return t(ctx, "About No. %v: %v", x.Number, x.Reason)
	}
	return x.Reason
}
