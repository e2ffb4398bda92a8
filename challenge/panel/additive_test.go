package panel_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"fairladle/challenge/panel"
)

const missing = -1 // no published example here has a negative value

// marksOf turns a table with one row per item and one column per rater into
// marks; items and raters count from 1.
func marksOf(rows [][]float64) []panel.Mark {
	var marks []panel.Mark
	for i, row := range rows {
		for j, v := range row {
			if v != missing {
				marks = append(marks, panel.Mark{Item: int64(i + 1), Rater: int64(j + 1), Value: v})
			}
		}
	}
	return marks
}

func mustTable(t require.TestingT, marks []panel.Mark) *panel.Table {
	table, err := panel.NewTable(marks)
	require.NoError(t, err)
	return table
}

func mustFit(t require.TestingT, marks []panel.Mark) *panel.Fit {
	fit, err := panel.Additive(mustTable(t, marks))
	require.NoError(t, err)
	return fit
}

// Montgomery, Design and Analysis of Experiments, 5th ed. 2001, section 4-4
// (section number from memory): reaction time, catalyst (item) by batch (rater).
var catalyst = [][]float64{
	{73, 74, missing, 71},
	{missing, 75, 67, 72},
	{73, 75, 68, missing},
	{75, missing, 72, 75},
}

func TestMontgomeryCatalyst(t *testing.T) {
	fit := mustFit(t, marksOf(catalyst))
	require.Equal(t, 1, fit.Groups.Count)
	require.InDelta(t, 72.5, fit.Mean, 1e-12)
	require.InDeltaSlice(t, []float64{-9. / 8, -7. / 8, -4. / 8, 20. / 8}, fit.Item, 1e-12)
	require.InDeltaSlice(t, []float64{71.375, 71.625, 72, 75}, fit.Adjusted, 1e-12)
	require.InDeltaSlice(t, []float64{.875, 3, -3.875, 0}, fit.Rater, 1e-12)
	require.InDeltaSlice(t, []float64{.75, -.375, -.375, .375, -.75, .375, .125, 0, -.125, -.875, .875, 0},
		fit.Residuals(), 1e-12)

	v := fit.Variance()
	require.InDelta(t, 81, v.Total, 1e-10)
	require.InDelta(t, 91./4, v.ItemsAdjusted, 1e-10)
	require.InDelta(t, 55, v.RatersFirst, 1e-10)
	require.InDelta(t, 3.25, v.Error, 1e-10)
	require.InDelta(t, 11.6667, v.ItemsFirst, 1e-4)
	require.InDelta(t, 66.0833, v.RatersAdjusted, 1e-4)
	require.InDelta(t, 11.666667, v.Items.Statistic, 1e-6)
	require.InDelta(t, 0.01073866, v.Items.P, 1e-8)
	require.InDelta(t, 33.88889, v.Raters.Statistic, 1e-5)
	require.Equal(t, []int{3, 3, 5}, []int{v.DFItems, v.DFRaters, v.DFError})
	require.InDelta(t, 0.698212, fit.SEDifference(0, 3), 1e-6)

	plain := fit.Table.ItemMeans()
	require.Greater(t, plain[0], plain[2], "plain means put catalyst 1 above 3")
	require.Less(t, fit.Adjusted[0], fit.Adjusted[2], "the model reverses it")
}

var unbalanced = [][]float64{ // rows A..F, columns J1..J5
	{7, 6, missing, 8, missing},
	{5, 4, missing, missing, 3},
	{8, missing, 9, 9, missing},
	{6, missing, 8, missing, 5},
	{missing, 7, 9, missing, 6},
	{missing, missing, 7, 6, 4},
}

// Values of R 4.2.2, lm with sum contrasts and emmeans.
func TestUnbalancedAgainstR(t *testing.T) {
	fit := mustFit(t, marksOf(unbalanced))
	require.InDelta(t, 6.506944444, fit.Mean, 1e-9)
	require.InDeltaSlice(t, []float64{.4513888889, -1.72624269, 1.379020468, -.1319444444, 1.132309942, -1.104532164}, fit.Item, 1e-9)
	require.InDeltaSlice(t, []float64{0, -.7927631579, 1.424342105, .9177631579, -1.549342105}, fit.Rater, 1e-9)
	require.InDeltaSlice(t, []float64{6.95833333, 4.78070175, 7.88596491, 6.375, 7.63925439, 5.40241228}, fit.Adjusted, 1e-8)
	require.InDelta(t, .6951754386, fit.RSS, 1e-9)
	require.Equal(t, 8, fit.DF)
	require.InDelta(t, 49.22650, fit.Variance().Items.Statistic, 1e-5)
	require.InDeltaSlice(t, []float64{7, 4, 8.6667, 6.3333, 7.3333, 5.6667}, fit.Table.ItemMeans(), 1e-4)
}

// The standard error of an adjusted mean in the balanced incomplete block
// design, by the textbook formula sigma^2 (1/(ra) + k(a-1)/(lambda a^2)).
func TestStandardErrorOfAnAdjustedMean(t *testing.T) {
	fit := mustFit(t, marksOf(catalyst))
	want := math.Sqrt(.65 * (1/(3.*4) + 3*3/(2.*16)))
	for i := range catalyst {
		require.InDelta(t, want, fit.SE(i), 1e-12)
	}
}

func TestCompleteDataGivePlainMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items, raters := rapid.IntRange(1, 8).Draw(t, "items"), rapid.IntRange(1, 6).Draw(t, "raters")
		rows := make([][]float64, items)
		for i := range rows {
			for range raters {
				rows[i] = append(rows[i], float64(rapid.IntRange(0, 20).Draw(t, "half points"))/2)
			}
		}
		fit := mustFit(t, marksOf(rows))
		require.InDeltaSlice(t, fit.Table.ItemMeans(), fit.Adjusted, 1e-9)
	})
}

// sparse draws a panel in which everybody marked only some items.
func sparse(t *rapid.T) []panel.Mark {
	items, raters := rapid.IntRange(2, 9).Draw(t, "items"), rapid.IntRange(2, 6).Draw(t, "raters")
	var marks []panel.Mark
	for i := range items {
		for j := range raters {
			if rapid.Bool().Draw(t, "marked") {
				marks = append(marks, panel.Mark{Item: int64(10 + i), Rater: int64(50 + j), Value: float64(rapid.IntRange(0, 20).Draw(t, "v"))})
			}
		}
	}
	if len(marks) == 0 {
		marks = append(marks, panel.Mark{Item: 1, Rater: 1, Value: 3})
	}
	return marks
}

func TestAStricterRaterChangesNoItem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		marks := sparse(t)
		before := mustFit(t, marks)
		rater := marks[rapid.IntRange(0, len(marks)-1).Draw(t, "who")].Rater
		shift := float64(rapid.IntRange(-9, 9).Draw(t, "shift"))
		shifted := append([]panel.Mark(nil), marks...)
		for n := range shifted {
			if shifted[n].Rater == rater {
				shifted[n].Value += shift
			}
		}
		after := mustFit(t, shifted)
		require.InDeltaSlice(t, before.Item, after.Item, 1e-9)
		require.InDelta(t, before.RSS, after.RSS, 1e-7)
	})
}

// Least squares residuals are orthogonal to every item and every rater: this
// holds for the fit and for nothing else.
func TestNormalEquations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fit := mustFit(t, sparse(t))
		byItem, byRater := map[int64]float64{}, map[int64]float64{}
		for n, m := range fit.Table.Marks() {
			byItem[m.Item] += fit.Residuals()[n]
			byRater[m.Rater] += fit.Residuals()[n]
		}
		for _, e := range byItem {
			require.InDelta(t, 0, e, 1e-9)
		}
		for _, e := range byRater {
			require.InDelta(t, 0, e, 1e-9)
		}
	})
}

func TestGroupsThatNothingLinks(t *testing.T) {
	fit := mustFit(t, []panel.Mark{{1, 1, 5}, {2, 1, 7}, {3, 2, 1}, {4, 2, 3}})
	require.Equal(t, 2, fit.Groups.Count)
	require.Equal(t, []int{0, 0, 1, 1}, fit.Groups.Item)
	require.True(t, math.IsInf(fit.SEDifference(0, 2), 1))
	require.InDeltaSlice(t, []float64{-1, 1, -1, 1}, fit.Item, 1e-12)
}

func TestBadMarks(t *testing.T) {
	_, err := panel.NewTable(nil)
	require.ErrorIs(t, err, panel.ErrNoMarks)
	_, err = panel.NewTable([]panel.Mark{{1, 1, math.NaN()}})
	require.ErrorIs(t, err, panel.ErrBadMark)
	_, err = panel.NewTable([]panel.Mark{{1, 1, 2}, {1, 1, 3}})
	require.ErrorIs(t, err, panel.ErrTwice)
}

// Standard errors against the covariance of ordinary least squares on the full
// design matrix with sum contrasts, which knows nothing of the reduction.
func TestStandardErrorsAgainstTheFullDesign(t *testing.T) {
	fit := mustFit(t, marksOf(unbalanced))
	marks := fit.Table.Marks()
	items, raters := len(fit.Table.Items), len(fit.Table.Raters)
	x := mat.NewDense(len(marks), items+raters-1, nil)
	contrast := func(row, first, level, levels int) {
		for c := range levels - 1 {
			switch {
			case level == c:
				x.Set(row, first+c, 1)
			case level == levels-1:
				x.Set(row, first+c, -1)
			}
		}
	}
	for n, m := range marks {
		x.Set(n, 0, 1)
		contrast(n, 1, int(m.Item-1), items)
		contrast(n, items, int(m.Rater-1), raters)
	}
	var xx, cov mat.Dense
	xx.Mul(x.T(), x)
	require.NoError(t, cov.Inverse(&xx))
	se := func(w []float64) float64 {
		v := mat.NewVecDense(len(w), w)
		return fit.Sigma * math.Sqrt(mat.Inner(v, &cov, v))
	}
	for i := range items {
		w := make([]float64, items+raters-1)
		w[0] = 1
		for c := range items - 1 {
			if i == c {
				w[1+c] = 1
			} else if i == items-1 {
				w[1+c] = -1
			}
		}
		require.InDelta(t, se(w), fit.SE(i), 1e-12)
	}
	for j := range raters - 1 {
		w := make([]float64, items+raters-1)
		w[items+j] = 1
		require.InDelta(t, se(w), fit.SERater(j), 1e-12)
	}
	w := make([]float64, items+raters-1)
	w[1], w[3] = 1, -1
	require.InDelta(t, se(w), fit.SEDifference(0, 2), 1e-12)
}
