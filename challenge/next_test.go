package challenge_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

func TestNextKeepsSettingsAndMovesDates(t *testing.T) {
	lisbon, err := time.LoadLocation("Europe/Lisbon")
	require.NoError(t, err)
	at := func(m time.Month, d, h int) time.Time { return time.Date(2026, m, d, h, 0, 0, 0, lisbon).UTC() }
	c := challenge.Challenge{Title: "Leaves", Brief: "Roll.", Rules: "One each.", Zone: "Europe/Lisbon", OpensAt: at(10, 2, 8), ClosesAt: at(10, 16, 20), ReleaseAt: at(10, 31, 18),
		EntriesPerPerson: 2, Photos: true, Prize: true, Kitchen: challenge.DefaultKitchen(), Criteria: challenge.DefaultCriteria(), Rounds: challenge.UsualRun()}
	c.Rounds[2].ReleaseAt = at(10, 20, 18)
	c.Rounds[2].State = challenge.Done
	c.Rounds[2].Params = challenge.Params{Method: "public", Places: 2, Sources: []draw.Source{{Name: "the numbers of that Saturday"}}}
	n := challenge.NextOf(c, at(10, 20, 9))
	require.True(t, n.OpensAt.Equal(at(11, 2, 8)), "at the same hour of the clock")
	require.True(t, n.Release.Equal(at(11, 30, 18)), "31 October becomes 30 November")
	n.Title, n.Brief = "Roots", "Dig."
	s := n.SettingsAfter(c)
	require.NoError(t, n.Check(c))
	require.Equal(t, []any{"Roots", "Dig.", "One each.", 2, true, true}, []any{s.Title, s.Brief, s.Rules, s.EntriesPerPerson, s.Photos, s.Prize})
	require.Equal(t, c.Criteria, s.Criteria)
	require.Equal(t, c.Kitchen, s.Kitchen)
	rs := n.RoundsAfter(c)
	require.Len(t, rs, 6)
	require.Equal(t, challenge.Planned, rs[2].State)
	require.True(t, rs[2].ReleaseAt.Equal(at(11, 19, 18)), "as many days as the challenge's release: %v", rs[2].ReleaseAt)
	require.True(t, rs[0].ReleaseAt.IsZero())
	require.Empty(t, rs[2].Params.Sources, "public values of a day are not carried over")
	require.Equal(t, c.Rounds[4].Params, rs[4].Params)
	n.Title = " "
	require.ErrorAs(t, n.Check(c), new(challenge.Refusals))
}
