package views

import (
	"context"
	"time"

	"fairladle/challenge"
	"fairladle/store"
)

type OwnPage struct {
	Frame     Frame
	Own       store.Own
	Base      string
	Link      string
	Stage     challenge.Stage
	MayChange bool
	Reading   Reading
	Lists     []store.Standing // of the draws whose list is fixed
	Bar       *store.Bar       // why the entry takes no part, nil where it does
	Questions []store.Question
	Messages  Messages
}

func (p OwnPage) given() map[challenge.ConsentKind]bool {
	g := map[challenge.ConsentKind]bool{}
	for k, c := range p.Own.Consents {
		g[k] = c.Given
	}
	return g
}

type LinkAgainPage struct {
	Frame     Frame
	Slug      string
	Challenge string
	Email     string
	Messages  Messages
}

type ChallengePage struct {
	Frame        Frame
	Challenge    challenge.Challenge
	Stage        challenge.Stage
	Shows        challenge.Showing
	Brief, Rules string // rendered
	TakesEntries bool
	Rounds       []PublicRound
	Now          time.Time
}

// A PublicRound is a round as the public sees it.
type PublicRound struct {
	Round   challenge.Round
	Release time.Time
	Shown   bool // its outcome is public
	Open    bool
}

// StageSentence says where a challenge stands.
func StageSentence(ctx context.Context, p ChallengePage) string {
	v := voice(ctx)
	switch p.Stage {
	case challenge.Waiting:
		return v.T("Opens %v", v.Moment(p.Challenge.OpensAt))
	case challenge.Open:
		return v.T("Open until %v", v.Moment(p.Challenge.ClosesAt))
	case challenge.Finished:
		return v.T("Finished")
	case challenge.Draft:
		return ""
	}
	return v.T("Entries are in")
}

// publicDoes says what happens in a kind of round, for the public.
func publicDoes(k challenge.Kind) string {
	return map[challenge.Kind]string{
		challenge.Reading: "Every recipe is read without its author's name and marked; the best go on.",
		challenge.Pick:    "One person picks the finalists from the shortlist and seals the choice.",
		challenge.Draw:    "Chance decides among the finalists, in a way anyone can check.",
		challenge.Cook:    "The drawn recipe is cooked, beside the host's own dish.",
		challenge.Tasting: "Judges taste under blind codes and score.",
		challenge.Vote:    "The audience chooses.",
	}[k]
}
