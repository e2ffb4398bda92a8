package views

import (
	"context"
	"fmt"
	"time"

	"fairladle/challenge"
	"fairladle/store"
)

// A BallotPage is the public's ballot.
type BallotPage struct {
	Frame     Frame
	Slug      string
	Challenge string
	Round     challenge.Round
	Ends      time.Time
	Release   time.Time
	Open      bool
	Ended     bool
	Shown     bool // the result is released
	Voted     bool
	Options   []store.PublicDish
	Chosen    int64
	Messages  Messages
}

// A VotePage is a vote as its host sees it. Before the closing it holds a
// number of ballots and nothing of what they say.
type VotePage struct {
	Frame     Frame
	Desk      string
	Slug      string
	Link      string // the public ballot's address
	Challenge challenge.Challenge
	Round     challenge.Round
	Ends      time.Time
	Now       time.Time
	Ballots   int
	Result    *store.PublicVote // once it is closed
	Public    bool
	MayOpen   error
}

// publicName is how a dish is called on a public page.
func publicName(ctx context.Context, d store.PublicDish) string {
	switch {
	case d.House():
		return d.Title
	case d.Title == "":
		return t(ctx, "No. %v, withdrawn", d.Number)
	}
	return d.Title
}

// publicUnder is the line below a dish's name.
func publicUnder(ctx context.Context, d store.PublicDish) string {
	switch {
	case d.House() && d.Cook != "":
		return t(ctx, "house dish by %v", d.Cook)
	case d.House():
		return t(ctx, "house dish")
	case d.Credit != "":
		return t(ctx, "No. %v, by %v", d.Number, d.Credit)
	}
	return t(ctx, "No. %v", d.Number)
}

func share(votes, of int) string {
	if of == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f %%", 100*float64(votes)/float64(of))
}
