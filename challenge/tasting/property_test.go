package tasting_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/tasting"
)

var twoCriteria = []tasting.Criterion{
	{Key: "taste", Name: "Taste", Weight: 3, Scale: tasting.Halves()},
	{Key: "look", Name: "Look", Weight: 2, Scale: tasting.Hedonic9()},
}

// somePanel draws up to six judges and five plates, with plates not tasted and
// criteria not scored.
func somePanel(t *rapid.T) (plateIDs []int64, sheets []tasting.Sheet) {
	n, judges := rapid.IntRange(1, 5).Draw(t, "plates"), rapid.IntRange(1, 6).Draw(t, "judges")
	for j := range judges {
		for p := range n {
			scores := map[string]tasting.Points{}
			if rapid.IntRange(0, 4).Draw(t, "taste?") > 0 {
				scores["taste"] = tasting.Points(50 * rapid.IntRange(0, 20).Draw(t, "taste"))
			}
			if rapid.IntRange(0, 4).Draw(t, "look?") > 0 {
				scores["look"] = tasting.Points(100 * rapid.IntRange(1, 9).Draw(t, "look"))
			}
			if len(scores) > 0 {
				sheets = append(sheets, tasting.Sheet{Judge: int64(j + 1), Plate: int64(101 + p), Scores: scores})
			}
		}
	}
	return plates(n), sheets
}

func someRule(t *rapid.T) tasting.Rule {
	r := rule(rapid.SampledFrom(tasting.Kinds()).Draw(t, "kind"),
		rapid.SampledFrom([][]tasting.TieBreak{
			nil, {tasting.Draw}, {tasting.OnCriterion("look"), tasting.HeadToHead, tasting.LowestVariance, tasting.Draw}, {tasting.HeadToHead},
		}).Draw(t, "ladder")...)
	r.Missing = rapid.SampledFrom([]tasting.Missing{tasting.Renormalise, tasting.DropSheet}).Draw(t, "missing")
	if r.Kind == tasting.WeightedMean && rapid.Bool().Draw(t, "by criterion") {
		r.Missing = tasting.ByCriterion
	}
	return r
}

func TestASheetSentTwiceCountsOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ids, sheets := somePanel(t)
		r := someRule(t)
		once := mustTally(t, r, twoCriteria, ids, sheets)
		twice := append(slices.Clone(sheets), sheets...)
		require.Equal(t, places(once), places(mustTally(t, r, twoCriteria, ids, twice)))
	})
}

// places is what a verdict says of its plates, without what depends on how
// often a sheet that is left out was sent.
func places(v tasting.Verdict) string {
	return fmt.Sprintf("%v %+v %v", v.Outcome, v.Places, v.NeedsDraw)
}

func TestTheOrderOfSheetsChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ids, sheets := somePanel(t)
		r := someRule(t)
		shuffled := rapid.Permutation(sheets).Draw(t, "shuffled")
		require.Equal(t, places(mustTally(t, r, twoCriteria, ids, sheets)), places(mustTally(t, r, twoCriteria, ids, shuffled)))
	})
}

func TestAPlateThatNobodyScoredChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ids, sheets := somePanel(t)
		r := someRule(t)
		before, after := mustTally(t, r, twoCriteria, ids, sheets), mustTally(t, r, twoCriteria, append(ids, 999), sheets)
		require.Equal(t, before.Order(), after.Order())
		last := after.Places[len(after.Places)-1]
		require.Equal(t, []int64{999, 0, 0}, []int64{last.Plate, int64(last.Rank), int64(last.Sheets)})
		after.Places = after.Places[:len(after.Places)-1]
		require.Equal(t, places(before), places(after))
	})
}

// A judge who is stricter by a constant changes nothing under standardising,
// nor under ranks or the additive model, for any panel.
func TestAConstantShiftChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, judges := rapid.IntRange(2, 5).Draw(t, "plates"), rapid.IntRange(1, 5).Draw(t, "judges")
		rows, shifted := make([][]float64, judges), make([][]float64, judges)
		for j := range rows {
			shift := float64(rapid.IntRange(0, 8).Draw(t, "shift")) / 2
			for range n {
				x := float64(rapid.IntRange(-1, 12).Draw(t, "half points")) / 2
				rows[j] = append(rows[j], x)
				if x >= 0 {
					x += shift
				}
				shifted[j] = append(shifted[j], x)
			}
		}
		kind := rapid.SampledFrom([]tasting.Kind{tasting.Standardised, tasting.Borda, tasting.Additive}).Draw(t, "kind")
		before := mustTally(t, rule(kind), taste, plates(n), one(rows...))
		after := mustTally(t, rule(kind), taste, plates(n), one(shifted...))
		require.Equal(t, before.Outcome, after.Outcome)
		for k, p := range before.Places {
			require.Equal(t, []int64{p.Plate, int64(p.Rank)}, []int64{after.Places[k].Plate, int64(after.Places[k].Rank)}, kind)
		}
	})
}

// Where all judges put the plates in one order, on every criterion, every rule
// gives that order.
func TestEveryRuleAgreesWithAPanelThatAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, judges := rapid.IntRange(2, 5).Draw(t, "plates"), rapid.IntRange(1, 7).Draw(t, "judges")
		order := rapid.Permutation(plates(n)).Draw(t, "order")
		var sheets []tasting.Sheet
		for j := range judges {
			tasteScores, lookScores := falling(t, n, 20, 50), falling(t, n, 8, 100)
			for k, p := range order {
				sheets = append(sheets, tasting.Sheet{Judge: int64(j), Plate: p, Scores: map[string]tasting.Points{
					"taste": tasteScores[k], "look": lookScores[k] + 100}})
			}
		}
		for _, kind := range tasting.Kinds() {
			v := mustTally(t, rule(kind), twoCriteria, plates(n), sheets)
			require.Equal(t, order, v.Order(), kind)
			require.Equal(t, judges, v.Places[0].Firsts)
			for k, p := range v.Places {
				require.Equal(t, k+1, p.Rank)
			}
		}
	})
}

// falling draws n different scores of 0..steps, the highest first.
func falling(t *rapid.T, n, steps int, step tasting.Points) []tasting.Points {
	all := make([]tasting.Points, steps+1)
	for k := range all {
		all[k] = tasting.Points(k) * step
	}
	some := slices.Clone(rapid.Permutation(all).Draw(t, "scores")[:n])
	slices.Sort(some)
	slices.Reverse(some)
	return some
}

// A judge who gives every plate the same score breaks no rule, and alone leaves
// all plates level.
func TestAJudgeWithoutPreference(t *testing.T) {
	flat := []float64{7, 7, 7}
	for _, kind := range tasting.Kinds() {
		alone := mustTally(t, rule(kind), taste, plates(3), one(flat))
		for _, p := range alone.Places {
			require.Equal(t, 1, p.Rank, kind)
			require.True(t, p.Tied)
		}
		with := mustTally(t, rule(kind), taste, plates(3), one([]float64{5, 8, 6}, flat, []float64{4, 9, 6}))
		require.Equal(t, []int64{102, 103, 101}, with.Order(), kind)
	}
}

// For complete data the additive model and the plain mean are the same.
func TestAdditiveIsTheMeanOfACompletePanel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "plates")
		rows := make([][]float64, rapid.IntRange(1, 6).Draw(t, "judges"))
		for j := range rows {
			for range n {
				rows[j] = append(rows[j], float64(rapid.IntRange(0, 20).Draw(t, "v"))/2)
			}
		}
		mean := mustTally(t, rule(tasting.WeightedMean), taste, plates(n), one(rows...))
		additive := mustTally(t, rule(tasting.Additive), taste, plates(n), one(rows...))
		require.Equal(t, mean.Order(), additive.Order())
		for k := range mean.Places {
			require.Equal(t, mean.Places[k].Rank, additive.Places[k].Rank)
			require.InDelta(t, mean.Places[k].Score, additive.Places[k].Score, 1e-9)
		}
	})
}

// A tie that needs a draw is one that no rung parts, and a draw settles it.
func TestDrawsSettleEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ids, sheets := somePanel(t)
		r := someRule(t)
		r.TieBreaks = append(slices.DeleteFunc(slices.Clone(r.TieBreaks), func(b tasting.TieBreak) bool { return b == tasting.Draw }), tasting.Draw)
		v := mustTally(t, r, twoCriteria, ids, sheets)
		for len(v.NeedsDraw) > 0 {
			var err error
			v, err = v.Drawn(rapid.Permutation(v.NeedsDraw[0]).Draw(t, "drawn"))
			require.NoError(t, err)
		}
		for n, p := range v.Places {
			require.False(t, p.Tied)
			if p.Rank > 0 {
				require.Equal(t, n+1, p.Rank)
			}
		}
	})
}

// The example of the capital of Tennessee (Wikipedia) by the Borda count: 100
// voters as judges, four cities as plates, 3, 2, 1 and 0 points.
func TestTennesseeBorda(t *testing.T) {
	cities := "MNCK"
	var rows [][]float64
	for _, block := range []struct {
		voters int
		order  string
	}{{42, "MNCK"}, {26, "NCKM"}, {15, "CKNM"}, {17, "KCNM"}} {
		row := make([]float64, 4)
		for place, city := range block.order {
			for k, c := range cities {
				if c == city {
					row[k] = float64(9 - 2*place)
				}
			}
		}
		for range block.voters {
			rows = append(rows, row)
		}
	}
	v := mustTally(t, rule(tasting.Borda), taste, plates(4), one(rows...))
	require.Equal(t, []int64{102, 103, 101, 104}, v.Order())
	for k, points := range []float64{194, 173, 126, 107} {
		require.InDelta(t, points/300, v.Places[k].Score, 1e-15)
	}
}

// What is said to have broken a tie did: the criterion named differs, and where
// a later rung is named the criterion does not.
func TestTieBreaksAreTold(t *testing.T) {
	broken := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 5).Draw(t, "plates")
		var sheets []tasting.Sheet
		for j := range rapid.IntRange(1, 4).Draw(t, "judges") {
			for p := range n {
				a := rapid.IntRange(0, 2).Draw(t, "taste")
				sheets = append(sheets, tasting.Sheet{Judge: int64(j), Plate: int64(101 + p), Scores: map[string]tasting.Points{
					"taste": tasting.Points(100 * a), "look": tasting.Points(100 * rapid.IntRange(2-a, 3-a).Draw(t, "look"))}})
			}
		}
		criteria := []tasting.Criterion{{Key: "taste", Name: "Taste", Weight: 1, Scale: tasting.Halves()}, {Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()}}
		v := mustTally(t, rule(tasting.WeightedMean, tasting.OnCriterion("look"), tasting.HeadToHead, tasting.LowestVariance), criteria, plates(n), sheets)
		for k := 1; k < n; k++ {
			above, p := v.Places[k-1], v.Places[k]
			if above.Exact.Cmp(p.Exact) != 0 {
				require.Equal(t, 1, above.Exact.Cmp(p.Exact))
				continue
			}
			look := above.Criteria[1].Exact.Cmp(p.Criteria[1].Exact)
			switch {
			case p.Rank == above.Rank:
				require.Zero(t, look)
			case p.TieBrokenBy == tasting.OnCriterion("look"):
				require.Equal(t, 1, look)
				broken++
			default:
				require.NotEmpty(t, p.TieBrokenBy)
				require.Zero(t, look)
				broken++
			}
		}
	})
	require.Positive(t, broken)
}

func TestSomebodyWhoOnlySawPictures(t *testing.T) {
	criteria := []tasting.Criterion{
		{Key: "taste", Name: "Taste", Weight: 1, Scale: tasting.Halves(), NeedsTasting: true},
		{Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()},
	}
	pictures := tasting.FromPictures(criteria)
	require.Equal(t, []tasting.Criterion{criteria[1]}, pictures)
	s := tasting.Sheet{Judge: 1, Plate: 1, Scores: map[string]tasting.Points{"look": 800}}
	require.NoError(t, s.Check(pictures))
	require.Equal(t, []string{"taste"}, s.Missing(criteria))
	s.Scores["taste"] = 500
	require.ErrorIs(t, s.Check(pictures), tasting.ErrUnknownCriterion)
}
