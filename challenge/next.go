package challenge

import (
	"strings"
	"time"

	"fairladle/challenge/season"
)

// A Next is the challenge that follows another, as a host starts it.
type Next struct {
	Title, Brief               string
	OpensAt, ClosesAt, Release time.Time
	Invite                     []int64 // participants of the one before who are asked again
	Season                     int64   // 0 for none
	NewSeason                  string  // title of a season to begin with both; empty for none
}

// NextOf proposes what follows c: the same a month later, or as many months as
// it takes for entries to close after now.
func NextOf(c Challenge, now time.Time) Next {
	in := c.Location()
	n := season.Months(c.ClosesAt, now, in)
	return Next{OpensAt: season.Later(c.OpensAt, n, in), ClosesAt: season.Later(c.ClosesAt, n, in), Release: season.Later(c.ReleaseAt, n, in)}
}

// SettingsAfter are the settings of c with what the host typed for the next
// one: rules, limits, criteria and kitchen stay.
func (x Next) SettingsAfter(c Challenge) Settings {
	s := c.Settings()
	s.Title, s.Brief = strings.TrimSpace(x.Title), x.Brief
	s.OpensAt, s.ClosesAt, s.Release = x.OpensAt, x.ClosesAt, x.Release
	return s
}

// RoundsAfter are the rounds of c, planned anew. A round's own release moves by
// as many days as the challenge's. Public values that a draw waited for belong
// to their day and are not carried over.
func (x Next) RoundsAfter(c Challenge) (rs []Round) {
	in := c.Location()
	days := daysBetween(c.ReleaseAt.In(in), x.Release.In(in))
	for _, r := range c.Rounds {
		next := Round{Position: r.Position, Kind: r.Kind, Title: r.Title, State: Planned, Params: r.Params}
		next.Params.Sources, next.Params.Later = nil, nil
		if !r.ReleaseAt.IsZero() {
			next.ReleaseAt = r.ReleaseAt.In(in).AddDate(0, 0, days).UTC()
		}
		rs = append(rs, next)
	}
	return rs
}

// daysBetween counts midnights.
func daysBetween(from, to time.Time) int {
	day := func(t time.Time) time.Time {
		y, m, d := t.Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	}
	return int(day(to).Sub(day(from)) / (24 * time.Hour))
}

// Check refuses what cannot follow c.
func (x Next) Check(c Challenge) error {
	var bad Refusals
	if err := x.SettingsAfter(c).Check(); err != nil {
		bad = append(bad, err.(Refusals)...)
	}
	if x.NewSeason != "" {
		checkLine(&bad, "new_season", x.NewSeason)
	}
	return bad.Err()
}
