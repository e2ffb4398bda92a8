package views

import (
	"context"
	"fmt"
	"math/big"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/challenge/wording"
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
	Method    ballot.Method
	Uninvited bool   // the vote is by private link, and this browser has none
	Slip      string // the random key that the ballot of this form will have
	Receipt   string // the slip of the ballot that was cast just now
	Options   []store.PublicDish
	Typed     url.Values
	Messages  Messages
}

// A Choosing is what a ballot asks, of dishes or of themes.
type Choosing struct {
	Method   ballot.Method
	Question string
	Ranking  string // what places mean, where the method ranks
	Options  []Option
	Typed    url.Values
	Messages Messages
}

// An Option is one thing to choose.
type Option struct {
	ID                 int64
	Name, Under, Photo string
}

func (p BallotPage) choosing(ctx context.Context) Choosing {
	c := Choosing{Method: p.Method, Question: t(ctx, "Which dish would you rather eat?"),
		Ranking: t(ctx, "Place 1 is your favourite. A dish without a place stands behind all that have one."), Typed: p.Typed, Messages: p.Messages}
	for _, d := range p.Options {
		c.Options = append(c.Options, Option{d.ID, publicName(ctx, d), publicUnder(ctx, d), d.Photo})
	}
	return c
}

// chosen says whether an option was ticked in the form that came back.
func (c Choosing) chosen(o Option) bool {
	return slices.Contains(c.Typed["choice"], strconv.FormatInt(o.ID, 10))
}

// placed is the place typed for an option, in the form that came back.
func (c Choosing) placed(o Option) string { return c.Typed.Get(o.placeField()) }

func (o Option) placeField() string { return "rank-" + strconv.FormatInt(o.ID, 10) }

// A BallotsPage is every ballot of a released vote.
type BallotsPage struct {
	Frame Frame
	Slug  string
	Round challenge.Round
	Box   store.BallotBox
	Slip  string                // that was looked for
	Found *store.RecordedBallot // under Slip
}

// mostBallots is how many ballots stand on a page; all are in the file.
const mostBallots = 1000

func (p BallotsPage) listed() []store.RecordedBallot {
	return p.Box.Ballots[:min(len(p.Box.Ballots), mostBallots)]
}

// names are the dishes on a ballot, in its order.
func (p BallotsPage) names(ctx context.Context, b store.RecordedBallot) string {
	var all []string
	for i, id := range b.Choices {
		name := publicName(ctx, p.Box.Vote.Dishes[id])
		if _, stood := p.Box.Vote.Dishes[id]; !stood {
			name = t(ctx, "a dish withdrawn since")
		}
		if p.Box.Vote.Result.Method.Ranks() {
			name = fmt.Sprintf("%d. %s", i+1, name)
		}
		all = append(all, name)
	}
	return strings.Join(all, ", ")
}

func methodName(m ballot.Method) string {
	return map[ballot.Method]string{ballot.OneChoice: "One choice", ballot.Approval: "As many as you like",
		ballot.Runoff: "In order, by run-off", ballot.Schulze: "In order, pair by pair"}[m]
}

// finalChoices are the rules for the final result, as a host chooses one.
var finalChoices = []struct {
	say        ballot.Say
	name, help string
}{
	{ballot.SayAudience, wording.Key("The audience"), wording.Key("The judges' verdict is told beside it. What votes leave level stays level.")},
	{ballot.SayJudges, wording.Key("The judges"), wording.Key("The audience's favourite is told beside it.")},
	{ballot.SayWeighted, wording.Key("Both, weighted"), wording.Key("Each side gives a dish the share of the other dishes that it places lower. Where two are level, the judges decide.")},
}

func shareText(r challenge.Round) string {
	if share := r.Params.FinalSay().Audience; share != 0 {
		return strconv.Itoa(share)
	}
	return "50"
}

// pairText is how many ballots put one dish above another.
func pairText(v store.PublicVote, x, y int) string {
	if x == y {
		return "–"
	}
	return strconv.Itoa(v.Result.Pairs[x][y])
}

// inRound is an option's votes in a round of a run-off.
func inRound(r ballot.Round, option int64) string {
	for _, c := range r.Counts {
		if c.Option == option {
			if slices.Contains(r.Out, option) {
				return strconv.Itoa(c.Votes) + " ×"
			}
			return strconv.Itoa(c.Votes)
		}
	}
	return ""
}

// shareOf writes a fraction as per cent, to one place.
func shareOf(x *big.Rat) string {
	f, _ := x.Float64()
	return fmt.Sprintf("%.1f %%", 100*f)
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
	Links     int // private links made
	Addresses string
	Messages  Messages
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
