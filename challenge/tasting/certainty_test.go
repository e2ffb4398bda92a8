package tasting_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/tasting"
)

func mustExplain(t require.TestingT, r tasting.Rule, criteria []tasting.Criterion, plates []int64, sheets []tasting.Sheet) tasting.Certainty {
	c, err := tasting.Explain(r, criteria, plates, sheets, [32]byte{1})
	require.NoError(t, err)
	return c
}

func TestUnderFiveJudgesCountsOnly(t *testing.T) {
	c := mustExplain(t, rule(tasting.WeightedMean), taste, plates(3), one([]float64{8, 5, 6}, []float64{9, 6, 5}, []float64{4, 6, 9}))
	require.Equal(t, tasting.CountsOnly, c.Method)
	require.Zero(t, c.Runs)
	require.Empty(t, c.Agreement.Measures)
	require.Empty(t, c.Rules)
	require.Equal(t, []string{
		"The panel is too small for figures about agreement or chance: what counts is who put what first.",
		"Two of three judges put plate 101 first.",
		"One of three judges put plate 103 first.",
	}, c.Words)
}

func TestAPanelOfFiveThatAgrees(t *testing.T) {
	rows := [][]float64{{8, 5, 6}, {9, 6, 7}, {7, 4, 6}, {8, 3, 7}, {10, 5, 8}}
	c := mustExplain(t, rule(tasting.WeightedMean), taste, plates(3), one(rows...))
	require.Equal(t, tasting.LeaveOut, c.Method)
	require.Equal(t, 15, c.Runs, "five without one judge, ten without two")
	require.Equal(t, 15, c.SameFirst)
	require.True(t, c.Agreement.Complete)
	require.Equal(t, "kendall-w", c.Agreement.Measures[0].Key)
	require.InDelta(t, 1, c.Agreement.Measures[0].Value, 1e-12)
	// Five judges who put three plates in one order by chance: 6 * (1/6)^5.
	require.InDelta(t, 1./1296, c.Agreement.Measures[0].P, 1e-12)
	require.Equal(t, []string{
		"The judges agreed closely about the order of the plates.",
		"Judges who mark at random would seldom agree as much as this.",
		"Whichever one or two judges had stayed away, the first place would be the same: plate 101.",
		"No single judge decided the first place.",
		"Every other usual rule gives the same first place.",
	}, c.Words)
}

func TestAJudgeWhoDecides(t *testing.T) {
	// Four judges lean to plate 102 by half a point, one lifts 101 by five.
	c := mustExplain(t, rule(tasting.WeightedMean), taste, plates(2),
		one([]float64{6, 6.5}, []float64{6, 6.5}, []float64{6, 6.5}, []float64{6, 6.5}, []float64{9, 4}))
	require.Equal(t, []int64{101}, c.First)
	require.Equal(t, []tasting.Turning{{Judge: 5, First: []int64{102}}}, c.Turning)
	require.Equal(t, 10, c.SameFirst, "every run with judge 5")
	byKind := map[tasting.Kind]tasting.OtherRule{}
	for _, r := range c.Rules {
		byKind[r.Kind] = r
	}
	require.Equal(t, []int64{102}, byKind[tasting.TrimmedMean].First)
	require.Equal(t, []int64{102}, byKind[tasting.Borda].First)
	require.True(t, byKind[tasting.Additive].SameOrder)
	require.Contains(t, c.Words, "The first place hangs on one judge: without this judge it would go to plate 102.")
	require.Contains(t, c.Words, "By each judge's order of the plates the first place would go to plate 102.")
	require.Contains(t, c.Words, "If one or two of the judges had stayed away, plate 101 would still be first in 10 of the 15 cases.")
}

// Leaving judges out inside the board gives what a tally of the other judges'
// sheets gives.
func TestLeaveOutAgainstTallies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, judges := rapid.IntRange(2, 4).Draw(t, "plates"), rapid.IntRange(5, 7).Draw(t, "judges")
		rows := make([][]float64, judges)
		for j := range rows {
			for range n {
				rows[j] = append(rows[j], float64(rapid.IntRange(-2, 10).Draw(t, "v")))
			}
		}
		sheets := one(rows...)
		r := someRule(t)
		r.TieBreaks = nil
		v := mustTally(t, r, taste, plates(n), sheets)
		c := mustExplain(t, r, taste, plates(n), sheets)
		if v.Outcome != tasting.Ranked || v.Judges < 5 {
			require.Zero(t, c.Runs)
			return
		}
		runs, same, unusable := 0, 0, 0
		try := func(out ...int64) {
			rest := slices.DeleteFunc(slices.Clone(sheets), func(s tasting.Sheet) bool { return slices.Contains(out, s.Judge) })
			w := mustTally(t, r, taste, plates(n), rest)
			if w.Outcome != tasting.Ranked || len(w.Order()) != len(v.Order()) {
				unusable++
				return
			}
			runs++
			if slices.Equal(firsts(v), firsts(w)) {
				same++
			}
		}
		var ids []int64
		for _, s := range sheets {
			if !slices.Contains(ids, s.Judge) {
				ids = append(ids, s.Judge)
			}
		}
		for j, id := range ids {
			try(id)
			for _, other := range ids[:j] {
				try(id, other)
			}
		}
		require.Equal(t, []int{runs, same, unusable}, []int{c.Runs, c.SameFirst, c.Unusable})
	})
}

func firsts(v tasting.Verdict) []int64 {
	var ids []int64
	for _, p := range v.Places {
		if p.Rank == 1 {
			ids = append(ids, p.Plate)
		}
	}
	slices.Sort(ids)
	return ids
}

func TestResamplingALargerPanel(t *testing.T) {
	var clear, even [][]float64
	for j := range 10 {
		clear = append(clear, []float64{8 + float64(j%3)/2, 5, 4})
		even = append(even, []float64{5 + float64(j%2), 6 - float64(j%2), 2})
	}
	sure := mustExplain(t, rule(tasting.WeightedMean), taste, plates(3), one(clear...))
	require.Equal(t, tasting.Resampling, sure.Method)
	require.Equal(t, []int{1000, 1000}, []int{sure.Runs, sure.SameFirst})
	require.Equal(t, tasting.Often{Plate: 101, First: 1, Best: 1, Worst: 1}, sure.Often[0])
	require.Contains(t, strings.Join(sure.Words, " "), "would have been first in about 100 of 100")

	open := mustExplain(t, rule(tasting.WeightedMean, tasting.OnCriterion("taste")), taste, plates(3), one(even...))
	require.Equal(t, []int64{101, 102}, open.First)
	// Ten fair coins: level in C(10,5)/2^10 = 24.6 per cent of the panels.
	require.InDelta(t, .246, float64(open.SameFirst)/1000, .05)
	require.InDelta(t, .5, open.Often[0].First, .05)
	require.InDelta(t, 1, open.Often[0].First+open.Often[1].First+open.Often[2].First, 1e-9)
	require.Equal(t, open, mustExplain(t, rule(tasting.WeightedMean, tasting.OnCriterion("taste")), taste, plates(3), one(even...)), "the seed repeats it")
}

// A plate that only one judge tasted has no score in the panels without that
// judge: those do not count.
func TestRunsThatLeaveAPlateWithoutAScore(t *testing.T) {
	var rows [][]float64
	for j := range 9 {
		rows = append(rows, []float64{float64(5 + j%3), 4, -1})
	}
	rows[0][2] = 9
	c := mustExplain(t, rule(tasting.WeightedMean), taste, plates(3), one(rows...))
	require.Equal(t, 1000, c.Runs+c.Unusable)
	// A panel of nine misses one judge with probability (8/9)^9 = .346.
	require.InDelta(t, .346, float64(c.Unusable)/1000, .05)
	require.Equal(t, c.Runs, c.SameFirst)
	require.Equal(t, "alpha-interval", c.Agreement.Measures[0].Key)
}
