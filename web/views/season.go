package views

import (
	"context"
	"net/url"
	"slices"
	"strconv"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/challenge/season"
	"fairladle/store"
)

// A SeasonPage is a season as everyone sees it.
type SeasonPage struct {
	Frame  Frame
	View   store.SeasonView
	About  string // rendered
	Themes string // address of an open vote on the next theme; empty for none
	Now    time.Time
}

// counting is how many of its challenges count by now.
func (p SeasonPage) counting() (n int) {
	for _, c := range p.View.Challenges {
		if c.Counts {
			n++
		}
	}
	return n
}

// challengeOf is the challenge an entry of the standings was sent to.
func (p SeasonPage) challengeOf(e season.Scored) challenge.Challenge {
	return p.View.Challenges[e.Challenge].Challenge
}

// pointsBar is the length of a line's bar, in hundredths of the leader's.
func (p SeasonPage) pointsBar(l season.Line) string {
	if len(p.View.Lines) == 0 || p.View.Lines[0].Points == 0 {
		return "0"
	}
	return strconv.Itoa(100 * l.Points / p.View.Lines[0].Points)
}

// reached says what an entry has its points for.
func (p SeasonPage) reached(ctx context.Context, e season.Scored) (words []string) {
	rule := p.View.Season.Rule
	if e.Place > 0 && e.Place <= len(rule.Places) {
		words = append(words, t(ctx, "place %v: %v", e.Place, rule.Places[e.Place-1]))
	}
	if e.Finalist && rule.Finalist > 0 {
		words = append(words, t(ctx, "finalist: %v", rule.Finalist))
	}
	if e.Drawn && rule.Drawn > 0 {
		words = append(words, t(ctx, "drawn: %v", rule.Drawn))
	}
	if e.Published && rule.Published > 0 {
		words = append(words, t(ctx, "published: %v", rule.Published))
	}
	if !e.Counts {
		words = append(words, t(ctx, "not counted"))
	}
	return words
}

// A HostSeasonPage is where a host sets a season up.
type HostSeasonPage struct {
	Frame      Frame
	Season     store.Season
	Places     string // points by place, as typed
	Public     string // address
	Shown      bool   // it has a challenge that is public
	Challenges []SeasonChoice
	Messages   Messages
}

// A SeasonChoice is a challenge that may belong to a season.
type SeasonChoice struct {
	ID        int64
	Title     string
	In        bool
	Elsewhere string // title of another season it belongs to
}

// A NextPage is where the next challenge begins.
type NextPage struct {
	Frame     Frame
	Desk      string
	Challenge challenge.Challenge
	Public    string // address of the vote on the theme
	Now       time.Time
	Held      bool // there is a vote on the theme
	Vote      store.ThemeVote
	Typed     string // themes, as typed
	Method    ballot.Method
	Hours     string
	Next      challenge.Next
	People    []store.Participant
	Seasons   []store.Season
	Messages  Messages
}

func (p NextPage) invited(x store.Participant) bool { return slices.Contains(p.Next.Invite, x.ID) }

// local writes a moment for <input type="datetime-local">.
func (p NextPage) local(at time.Time) string {
	return SettingsPage{Settings: challenge.Settings{Zone: p.Challenge.Zone}}.local(at)
}

// A ThemePage is the vote on the next theme.
type ThemePage struct {
	Frame     Frame
	Challenge challenge.Challenge
	Vote      store.ThemeVote
	Voted     bool
	Slip      string
	Typed     url.Values
	Messages  Messages
	Now       time.Time
}

// Open says whether ballots are taken.
func (p ThemePage) Open() bool { return p.Now.Before(p.Vote.EndsAt) }

func (p ThemePage) choosing(ctx context.Context) Choosing {
	c := Choosing{Method: p.Vote.Method, Question: t(ctx, "What should the next challenge be about?"),
		Ranking: t(ctx, "Place 1 is your favourite. A theme without a place stands behind all that have one."), Typed: p.Typed, Messages: p.Messages}
	for _, x := range p.Vote.Themes {
		c.Options = append(c.Options, Option{ID: x.ID, Name: x.Title, Under: x.About})
	}
	return c
}

// A ThemeCount is how many ballots named a theme.
type ThemeCount struct {
	Theme challenge.Theme
	Votes int
	Ahead bool
}

// themeCounts are the themes by votes, most first.
func themeCounts(v store.ThemeVote) (cs []ThemeCount) {
	if v.Result == nil {
		return nil
	}
	ahead := v.Ahead()
	for _, c := range v.Result.Counts {
		theme := v.Theme(c.Option)
		cs = append(cs, ThemeCount{theme, c.Votes, slices.Contains(ahead, theme)})
	}
	slices.SortStableFunc(cs, func(a, b ThemeCount) int {
		if a.Ahead != b.Ahead {
			if a.Ahead {
				return -1
			}
			return 1
		}
		return b.Votes - a.Votes
	})
	return cs
}

// An ArchivePage is what has been released on the site.
type ArchivePage struct {
	Frame  Frame
	Search string
	Found  store.Archive
}

// A MinePage is everything that came from one address.
type MinePage struct {
	Frame Frame
	Base  string
	Lines []MineLine
}

// A MineLine is one entry of somebody.
type MineLine struct {
	Own     store.OwnLine
	Stage   challenge.Stage
	Results bool // some may be read
}

func elsewhere(ctx context.Context, c SeasonChoice) string {
	if c.Elsewhere == "" {
		return ""
	}
	return t(ctx, "now in “%v”", c.Elsewhere)
}
