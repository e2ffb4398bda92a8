package views

import (
	"context"
	"math"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
	"fairladle/store"
)

type AlikePage struct {
	Frame Frame
	Base  string
	Pairs []store.AlikePair
}

type BesidePage struct {
	Frame     Frame
	Base      string
	Beside    store.Beside
	A, B      []SharedPiece
	MayDecide bool
	Do        string
	Told      store.Told
	Typed     store.Bar
	Messages  Messages
}

// A SharedPiece is a stretch of a text, and whether the other text has it too.
type SharedPiece struct {
	Text   string
	Shared bool
}

// NewBesidePage cuts two texts where they share passages.
func NewBesidePage(f Frame, base string, x store.Beside) BesidePage {
	return BesidePage{Frame: f, Base: base, Beside: x, A: cutAt(x.A.Text, x.Overlap.Passages), B: cutAt(x.B.Text, x.Overlap.PassagesOf)}
}

func cutAt(text string, places []recipe.Place) []SharedPiece {
	var out []SharedPiece
	at := 0
	for _, p := range places {
		if p.Start < at || p.End > len(text) || p.End <= p.Start {
			continue
		}
		out = append(out, SharedPiece{text[at:p.Start], false}, SharedPiece{text[p.Start:p.End], true})
		at = p.End
	}
	return append(out, SharedPiece{text[at:], false})
}

// inHundred is a share as a whole number of hundred.
func inHundred(x float64) int { return int(math.Round(100 * x)) }

type QuestionsPage struct {
	Frame     Frame
	Base      string
	Questions []store.Question
}

func causeName(ctx context.Context, c challenge.Cause) string {
	return t(ctx, map[challenge.Cause]string{challenge.CauseSafety: "It could make somebody ill", challenge.CauseNotEligible: "It does not fit the rules",
		challenge.CauseCopied: "It was published elsewhere", challenge.CauseConsent: "A needed agreement is missing",
		challenge.CauseDuplicate: "It came twice"}[c])
}

// out says whether an entry is barred now, and why.
func (p EntryPage) out() (store.Bar, bool) {
	if p.State != "barred" || len(p.Bars) == 0 {
		return store.Bar{}, false
	}
	return p.Bars[len(p.Bars)-1], true
}
