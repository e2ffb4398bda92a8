package season_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/season"
)

var rule = season.Rule{Places: []int{10, 6, 4}, Finalist: 2, Drawn: 3, Published: 1}

func TestPointsAddUp(t *testing.T) {
	require.Equal(t, 16, rule.Points(season.Entry{Place: 1, Finalist: true, Drawn: true, Published: true}))
	require.Equal(t, 4, rule.Points(season.Entry{Place: 3}))
	require.Equal(t, 0, rule.Points(season.Entry{Place: 4}))
	require.Equal(t, 1, rule.Points(season.Entry{Published: true}))
}

func TestStandings(t *testing.T) {
	lines := season.Standings(rule, []season.Entry{
		{Challenge: 0, Number: 4, Who: "kay", Name: "Kay Q.", Place: 1},
		{Challenge: 0, Number: 7, Who: "mo", Name: "Mo", Place: 2, Finalist: true}, // 8
		{Challenge: 0, Number: 8, Place: 3},                                        // somebody not named: 4
		{Challenge: 1, Number: 2, Who: "mo", Name: "Mo", Place: 3},                 // 4
		{Challenge: 1, Number: 3, Place: 3},                                        // not named: 4, never joined with the other
		{Challenge: 1, Number: 9, Who: "kay", Name: "Kay Q.", Finalist: true},      // 2
		{Challenge: 1, Number: 1, Who: "zoe", Name: "Zoe"},                         // no points, no line
	})
	require.Len(t, lines, 4)
	require.Equal(t, []string{"Kay Q.", "Mo", "", ""}, names(lines), "12 points each: Kay has a first place")
	require.Equal(t, []int{1, 2, 3, 3}, ranks(lines))
	require.Equal(t, []int{12, 12, 4, 4}, points(lines))
	require.Len(t, lines[2].Entries, 1)
}

func TestOnlyTheBestCount(t *testing.T) {
	best := rule
	best.BestOf = 1
	lines := season.Standings(best, []season.Entry{
		{Challenge: 0, Number: 1, Who: "kay", Name: "Kay", Place: 3},
		{Challenge: 1, Number: 1, Who: "kay", Name: "Kay", Place: 2},
		{Challenge: 1, Number: 2, Who: "kay", Name: "Kay", Published: true},
	})
	require.Equal(t, []int{7}, points(lines), "a challenge counts by all entries in it")
	require.False(t, lines[0].Entries[0].Counts)
	require.True(t, lines[0].Entries[1].Counts)
}

// Whatever comes in, ranks rise with falling points, and the order of what
// comes in changes nothing.
func TestStandingsDoNotDependOnOrder(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var es []season.Entry
		for i := range rapid.IntRange(0, 20).Draw(rt, "entries") {
			who := rapid.SampledFrom([]string{"", "a", "b", "c"}).Draw(rt, "who")
			es = append(es, season.Entry{Challenge: rapid.IntRange(0, 3).Draw(rt, "challenge"), Number: i, Who: who, Name: who, Place: rapid.IntRange(0, 4).Draw(rt, "place")})
		}
		r := rule
		r.BestOf = rapid.IntRange(0, 2).Draw(rt, "best of")
		lines := season.Standings(r, es)
		require.Equal(rt, lines, season.Standings(r, rapid.Permutation(es).Draw(rt, "again")))
		for i, l := range lines {
			require.LessOrEqual(rt, l.Rank, i+1)
			if i > 0 {
				require.GreaterOrEqual(rt, lines[i-1].Points, l.Points)
				require.GreaterOrEqual(rt, l.Rank, lines[i-1].Rank)
			}
		}
	})
}

func TestRuleCheck(t *testing.T) {
	require.NoError(t, season.DefaultRule().Check())
	require.ErrorIs(t, season.Rule{}.Check(), season.ErrNone)
	require.ErrorIs(t, season.Rule{BestOf: 3}.Check(), season.ErrNone)
	require.ErrorIs(t, season.Rule{Places: []int{1, 2}}.Check(), season.ErrRising)
	require.ErrorIs(t, season.Rule{Places: []int{-1}}.Check(), season.ErrPoints)
	require.ErrorIs(t, season.Rule{Places: make([]int, 21), Drawn: 1}.Check(), season.ErrPlaces)
	_, err := season.ParsePlaces("10, six")
	require.ErrorIs(t, err, season.ErrPoints)
	places, err := season.ParsePlaces(" 10,6 ;4\n")
	require.NoError(t, err)
	require.Equal(t, []int{10, 6, 4}, places)
	require.Equal(t, "10, 6, 4", season.Rule{Places: places}.PlacesText())
}

func TestAMonthLater(t *testing.T) {
	lisbon, err := time.LoadLocation("Europe/Lisbon")
	require.NoError(t, err)
	at := func(y int, m time.Month, d, h int) time.Time { return time.Date(y, m, d, h, 0, 0, 0, lisbon) }
	require.True(t, season.Later(at(2026, 10, 2, 8), 1, lisbon).Equal(at(2026, 11, 2, 8)), "eight o'clock stays eight o'clock when summer time ends")
	require.True(t, season.Later(at(2026, 12, 31, 20), 2, lisbon).Equal(at(2027, 2, 28, 20)))
	require.True(t, season.Later(at(2028, 1, 31, 20), 1, lisbon).Equal(at(2028, 2, 29, 20)))
	require.True(t, season.Later(time.Time{}, 1, lisbon).IsZero())
	require.Equal(t, 1, season.Months(at(2026, 11, 16, 20), at(2026, 12, 5, 9), lisbon))
	require.Equal(t, 2, season.Months(at(2026, 11, 16, 20), at(2026, 12, 16, 20), lisbon))
}

func names(ls []season.Line) (out []string) {
	for _, l := range ls {
		out = append(out, l.Name)
	}
	return out
}

func ranks(ls []season.Line) (out []int) {
	for _, l := range ls {
		out = append(out, l.Rank)
	}
	return out
}

func points(ls []season.Line) (out []int) {
	for _, l := range ls {
		out = append(out, l.Points)
	}
	return out
}
