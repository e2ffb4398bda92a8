package views

import (
	"time"

	"fairladle/challenge"
	"fairladle/store"
)

type FrontPage struct {
	Frame      Frame
	Name       string
	Challenges []FrontLine
	Seasons    []store.Season // that hold a public challenge
}

type FrontLine struct {
	Slug, Title string
	Stage       challenge.Stage
	ClosesAt    time.Time
	Entries     int
	Zone        *time.Location
	Shows       challenge.Showing
}

type HomePage struct {
	Frame      Frame
	Host       string
	Challenges []HomeLine
	Waiting    int // messages in the outbox
	Seasons    []store.Season
	Now        time.Time
}

type HomeLine struct {
	Challenge challenge.Challenge
	Stage     challenge.Stage
	Next      NextStep
}

// A NextStep is the one thing to do now, and where.
type NextStep struct {
	Text string
	Args []any
	Path string // below the desk, empty for none
}

type HostDeskPage struct {
	Frame     Frame
	Challenge challenge.Challenge
	Stage     challenge.Stage
	Now       time.Time
	Base      string
	Public    string
	Next      NextStep
	Waits     store.Waits
	Rounds    []RoundView
}

type RoundView struct {
	Round   challenge.Round
	Release time.Time
	Next    bool
	Refused error // why it may not open now
	Through []store.Dish
}

type HelperDeskPage struct {
	Frame     Frame
	Name      string
	Role      challenge.Role
	Challenge challenge.Challenge
	Base      string
}

// reachable lists the rounds a helper can work in now.
func (p HelperDeskPage) reachable() []challenge.Round {
	var rs []challenge.Round
	for _, r := range p.Challenge.Rounds {
		works := r.Kind == challenge.Reading || p.Role == challenge.Cohost && (r.Kind == challenge.Pick || r.Kind == challenge.Draw)
		if works && r.State == challenge.UnderWay {
			rs = append(rs, r)
		}
	}
	return rs
}

// does says what happens in a kind of round, for the person running it.
func does(k challenge.Kind) string {
	return map[challenge.Kind]string{
		challenge.Reading: "Everyone who reads marks each recipe keep, maybe or leave out, without knowing who sent it. Closing it fixes the shortlist.",
		challenge.Pick:    "One person, usually the co-host, picks the finalists from the shortlist in one sitting and seals the choice.",
		challenge.Draw:    "Chance decides among the finalists. Opening it fixes the list and publishes the table before anything is rolled.",
		challenge.Cook:    "The drawn recipe and your own dishes are cooked. Opening it gives you the shopping list, the plan and a place for notes.",
		challenge.Tasting: "Judges score the plates under blind codes. Opening it locks the criteria, their weights and the rule of the tally.",
		challenge.Vote:    "The audience chooses. It can open when the results so far have been released.",
	}[k]
}

func closing(k challenge.Kind) string {
	return map[challenge.Kind]string{
		challenge.Reading: "Close the reading and fix the shortlist",
		challenge.Pick:    "Open the sealed pick",
		challenge.Draw:    "Close the draw and write its record",
		challenge.Cook:    "Close the cooking: these plates are served",
		challenge.Tasting: "Close the tasting and tally the sheets",
		challenge.Vote:    "Close the vote and count the ballots",
	}[k]
}
