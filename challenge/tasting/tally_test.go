package tasting_test

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/tasting"
)

var taste = []tasting.Criterion{{Key: "taste", Name: "Taste", Weight: 1, Scale: tasting.Halves()}}

func rule(kind tasting.Kind, ladder ...tasting.TieBreak) tasting.Rule {
	r := tasting.Rule{Kind: kind, Missing: tasting.Renormalise, TieBreaks: ladder}
	if kind == tasting.TrimmedMean {
		r.Trim = 20
	}
	return r
}

// one makes sheets on the single criterion taste: rows are judges 1, 2, ...,
// columns plates 101, 102, ...; a negative score is a plate not tasted.
func one(rows ...[]float64) []tasting.Sheet {
	var sheets []tasting.Sheet
	for j, row := range rows {
		for p, x := range row {
			if x >= 0 {
				sheets = append(sheets, tasting.Sheet{
					Judge: int64(j + 1), Plate: int64(101 + p),
					Scores: map[string]tasting.Points{"taste": tasting.Points(x * 100)},
				})
			}
		}
	}
	return sheets
}

func plates(n int) []int64 {
	ids := make([]int64, n)
	for k := range ids {
		ids[k] = int64(101 + k)
	}
	return ids
}

func mustTally(t require.TestingT, r tasting.Rule, criteria []tasting.Criterion, plates []int64, sheets []tasting.Sheet) tasting.Verdict {
	v, err := tasting.Tally(r, criteria, plates, sheets)
	require.NoError(t, err)
	return v
}

func TestWeightedMeanIsExact(t *testing.T) {
	criteria := []tasting.Criterion{
		{Key: "taste", Name: "Taste", Weight: 3, Scale: tasting.Halves()},
		{Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()},
	}
	sheets := []tasting.Sheet{
		{Judge: 1, Plate: 7, Scores: map[string]tasting.Points{"taste": 800, "look": 550}},
		{Judge: 2, Plate: 7, Scores: map[string]tasting.Points{"taste": 650, "look": 900}},
		{Judge: 3, Plate: 7, Scores: map[string]tasting.Points{"taste": 700, "look": 700}},
	}
	v := mustTally(t, rule(tasting.WeightedMean), criteria, []int64{7}, sheets)
	// (3*8+5.5)/4 + (3*6.5+9)/4 + 7 = 7.375 + 7.125 + 7 = 21.5; a third of it.
	require.Equal(t, big.NewRat(43, 6), v.Places[0].Exact)
	require.Equal(t, tasting.UnitPoints, v.Unit)
	require.Equal(t, big.NewRat(43, 6), v.Places[0].Criteria[0].Exact)
}

func TestScalesOfDifferentLengthBecomePerCent(t *testing.T) {
	criteria := []tasting.Criterion{
		{Key: "liking", Name: "Liking", Weight: 1, Scale: tasting.Hedonic9()},
		{Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()},
	}
	sheets := []tasting.Sheet{{Judge: 1, Plate: 7, Scores: map[string]tasting.Points{"liking": 700, "look": 500}}}
	v := mustTally(t, rule(tasting.WeightedMean), criteria, []int64{7}, sheets)
	require.Equal(t, tasting.UnitPercent, v.Unit)
	require.Equal(t, big.NewRat(125, 2), v.Places[0].Exact, "6/8 of one scale and 5/10 of the other")
}

func TestMissingScores(t *testing.T) {
	criteria := []tasting.Criterion{
		{Key: "taste", Name: "Taste", Weight: 3, Scale: tasting.Halves()},
		{Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()},
	}
	sheets := []tasting.Sheet{
		{Judge: 1, Plate: 7, Scores: map[string]tasting.Points{"taste": 800, "look": 600}},
		{Judge: 2, Plate: 7, Scores: map[string]tasting.Points{"look": 200}},
	}
	for missing, want := range map[tasting.Missing]*big.Rat{
		tasting.Renormalise: big.NewRat(19, 4),                                    // (7.5 + 2) / 2
		tasting.DropSheet:   big.NewRat(15, 2),                                    // 7.5
		tasting.ByCriterion: new(big.Rat).Add(big.NewRat(6, 1), big.NewRat(1, 1)), // 3/4*8 + 1/4*4
	} {
		r := rule(tasting.WeightedMean)
		r.Missing = missing
		v := mustTally(t, r, criteria, []int64{7}, sheets)
		require.Equal(t, want.String(), v.Places[0].Exact.String(), missing)
	}
}

func TestLadder(t *testing.T) {
	both := []tasting.Criterion{
		{Key: "taste", Name: "Taste", Weight: 1, Scale: tasting.Halves()},
		{Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()},
	}
	sheet := func(judge, plate int64, taste, look tasting.Points) tasting.Sheet {
		return tasting.Sheet{Judge: judge, Plate: plate, Scores: map[string]tasting.Points{"taste": taste, "look": look}}
	}
	level := []tasting.Sheet{
		sheet(1, 1, 900, 500), sheet(1, 2, 700, 500), // judge 1: 7 above 6
		sheet(2, 1, 500, 500), sheet(2, 2, 600, 500), // judge 2: 5 below 5.5
		sheet(3, 1, 500, 600), sheet(3, 2, 600, 600), // judge 3: 5.5 below 6
	}
	ranks := func(v tasting.Verdict) []int64 { return v.Order() }

	v := mustTally(t, rule(tasting.WeightedMean), both, []int64{1, 2}, level)
	require.True(t, v.Places[0].Tied && v.Places[1].Tied)
	require.Equal(t, []int{1, 1}, []int{v.Places[0].Rank, v.Places[1].Rank})
	require.Contains(t, v.Words, "Plate 1 and plate 2 share the first place.")

	v = mustTally(t, rule(tasting.WeightedMean, tasting.OnCriterion("look"), tasting.HeadToHead), both, []int64{1, 2}, level)
	require.Equal(t, []int64{2, 1}, ranks(v), "two of three judges prefer plate 2")
	require.Equal(t, tasting.HeadToHead, v.Places[0].TieBrokenBy)
	require.Contains(t, v.Words, "Two of three judges put plate 2 first.")
	require.Contains(t, v.Words, "Plate 2 and plate 1 have the same score; plate 2 stands higher because more of the judges who tasted both preferred it.")

	v = mustTally(t, rule(tasting.WeightedMean, tasting.LowestVariance), both, []int64{1, 2}, level)
	require.Equal(t, []int64{2, 1}, ranks(v))

	v = mustTally(t, rule(tasting.WeightedMean, tasting.OnCriterion("taste"), tasting.Draw), both, []int64{1, 2}, level)
	require.Equal(t, [][]int64{{1, 2}}, v.NeedsDraw)
	_, err := v.Drawn([]int64{1, 3})
	require.ErrorIs(t, err, tasting.ErrDraw)
	v, err = v.Drawn([]int64{2, 1})
	require.NoError(t, err)
	require.Equal(t, []int64{2, 1}, ranks(v))
	require.Equal(t, []int{1, 2}, []int{v.Places[0].Rank, v.Places[1].Rank})
	require.Empty(t, v.NeedsDraw)
}

func TestBelowTheSmallestPanel(t *testing.T) {
	r := rule(tasting.WeightedMean)
	r.SmallestPanel, r.Below = 3, tasting.NotesOnly
	v := mustTally(t, r, taste, plates(2), one([]float64{8, 5}, []float64{7, 6}))
	require.Equal(t, tasting.TooFew, v.Outcome)
	require.Empty(t, v.Order())
	for _, p := range v.Places {
		require.Zero(t, p.Score, "a panel that is too small gives no score away")
		require.Empty(t, p.Criteria)
	}
	require.Equal(t, "Two judges handed in, and the rules ask for at least three, so the judges give no verdict.", v.Words[0])
}

func TestSheetsThatDoNotCount(t *testing.T) {
	sheets := one([]float64{8, 5}, []float64{7, 6})
	sheets = append(sheets,
		tasting.Sheet{Judge: 3, Plate: 101, Scores: map[string]tasting.Points{"taste": 1100}},
		tasting.Sheet{Judge: 3, Plate: 101, Scores: map[string]tasting.Points{"taste": 725}},
		tasting.Sheet{Judge: 3, Plate: 999, Scores: map[string]tasting.Points{"taste": 700}},
		tasting.Sheet{Judge: 3, Plate: 102, Scores: map[string]tasting.Points{"smell": 700}},
		tasting.Sheet{Judge: 3, Plate: 102},
	)
	v := mustTally(t, rule(tasting.WeightedMean), taste, plates(2), sheets)
	require.Equal(t, 2, v.Judges)
	require.Len(t, v.LeftOut, 5)
	require.Contains(t, v.LeftOut[0].Reason, "not on the scale")
	require.Contains(t, v.Words, "Five sheets are not counted; the list says why.")
}

func TestGroupsThatNoJudgeLinks(t *testing.T) {
	v := mustTally(t, rule(tasting.Additive), taste, plates(4), one(
		[]float64{8, 5, -1, -1}, []float64{-1, -1, 7, 6}))
	require.Equal(t, tasting.NotComparable, v.Outcome)
	require.Empty(t, v.Order())
}

// Duels count, not by how many judges they are won: 101 beats 102 and 103 by
// four judges to three, 102 beats 103 by six to one. Added up, margins would put
// 102 first.
func TestDuelsAmongThree(t *testing.T) {
	v := mustTally(t, rule(tasting.WeightedMean, tasting.HeadToHead), taste, plates(3), one(
		[]float64{5, 4, 3}, []float64{5, 4, 3}, []float64{5, 4, 3}, []float64{5, 4, 3},
		[]float64{2.5, 4, 3}, []float64{2.5, 4, 3}, []float64{1, 2, 8}))
	for _, p := range v.Places {
		require.Equal(t, big.NewRat(26, 7), p.Exact)
	}
	require.Equal(t, []int64{101, 102, 103}, v.Order())
	require.Contains(t, v.Words, "Plate 101 and plate 102 have the same score; plate 101 stands higher because it wins more of the duels among the plates with this score.")
}

// Rounding leaves these three scores a few units of the last place apart.
func TestLevelPlatesKeepTheGivenOrder(t *testing.T) {
	v := mustTally(t, rule(tasting.Additive), taste, plates(3), one(
		[]float64{0, 0, 0}, []float64{0, 0, 0}, []float64{0, 0, 0}, []float64{4, -1, 4}))
	require.Equal(t, []int64{101, 102, 103}, v.Order())
	require.True(t, v.Places[0].Tied && v.Places[2].Tied)
}

// A draw among the last two of three level plates leaves alone what parted them
// from the first.
func TestADrawKeepsEarlierRungs(t *testing.T) {
	both := []tasting.Criterion{
		{Key: "taste", Name: "Taste", Weight: 1, Scale: tasting.Halves()},
		{Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()},
	}
	var sheets []tasting.Sheet
	for plate, scores := range map[int64][2]tasting.Points{1: {400, 600}, 2: {500, 500}, 3: {500, 500}} {
		sheets = append(sheets, tasting.Sheet{Judge: 1, Plate: plate, Scores: map[string]tasting.Points{"taste": scores[0], "look": scores[1]}})
	}
	v := mustTally(t, rule(tasting.WeightedMean, tasting.OnCriterion("look"), tasting.Draw), both, []int64{1, 2, 3}, sheets)
	require.Equal(t, [][]int64{{2, 3}}, v.NeedsDraw)
	v, err := v.Drawn([]int64{3, 2})
	require.NoError(t, err)
	require.Equal(t, []int64{1, 3, 2}, v.Order())
	require.Equal(t, []tasting.TieBreak{tasting.OnCriterion("look"), tasting.OnCriterion("look"), tasting.Draw},
		[]tasting.TieBreak{v.Places[0].TieBrokenBy, v.Places[1].TieBrokenBy, v.Places[2].TieBrokenBy})
	require.Contains(t, v.Words, `Plate 1 and plate 3 have the same score; plate 1 stands higher because its mean for “Look” is higher.`)
}

// A tie on a judge's sheets counts half: of two other plates, one is level and
// one below.
func TestBordaSharesTies(t *testing.T) {
	v := mustTally(t, rule(tasting.Borda), taste, plates(3), one([]float64{5, 5, 3}))
	require.Equal(t, tasting.UnitShare, v.Unit)
	require.Equal(t, []string{"3/4", "3/4", "0/1"}, []string{v.Places[0].Exact.String(), v.Places[1].Exact.String(), v.Places[2].Exact.String()})

	v = mustTally(t, rule(tasting.Borda), taste, plates(3), one([]float64{5, 4, -1}, []float64{-1, -1, 9}))
	require.Equal(t, []int64{101, 102}, v.Order())
	require.Contains(t, v.Words, "One plate is not ranked, because nobody tasted it beside another plate.")
}
