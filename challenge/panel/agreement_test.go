package panel_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/panel"
)

func transpose(rows [][]float64) [][]float64 {
	columns := make([][]float64, len(rows[0]))
	for _, row := range rows {
		for i, v := range row {
			columns[i] = append(columns[i], v)
		}
	}
	return columns
}

func mustConcord(t *testing.T, rows [][]float64) panel.Concordance {
	c, err := panel.Concord(rows)
	require.NoError(t, err)
	return c
}

// J. H. Zar, Biostatistical Analysis, 5th ed. 2010, Example 20.5, p. 450 (data
// from memory; they reproduce the printed rank sums).
func TestKendallBirds(t *testing.T) {
	c := mustConcord(t, [][]float64{
		{10.4, 10.8, 11.1, 10.2, 10.3, 10.2, 10.7, 10.5, 10.8, 11.2, 10.6, 11.4},
		{7.4, 7.6, 7.9, 7.2, 7.4, 7.1, 7.4, 7.2, 7.8, 7.7, 7.8, 8.3},
		{17, 17, 20, 14.5, 15.5, 13, 19.5, 16, 21, 20, 18, 22},
	})
	require.Equal(t, []float64{14.5, 21, 30.5, 6, 11, 3.5, 20, 11.5, 29, 28.5, 22.5, 36}, c.RankSums)
	require.Equal(t, 1175.5, c.S)
	require.InDelta(t, 0.9133644133644133, c.Uncorrected, 1e-14)
	require.InDelta(t, 0.9241352201257862, c.W, 1e-14)
	require.InDelta(t, 30.496462264150946, c.Friedman.Statistic, 1e-12)
	require.Equal(t, 11., c.Friedman.DF1)
}

// S. Siegel, Nonparametric Statistics for the Behavioral Sciences, 1956, ch. 9
// (pages from memory).
func TestKendallExecutives(t *testing.T) {
	c := mustConcord(t, [][]float64{{1, 6, 3, 2, 5, 4}, {1, 5, 6, 4, 2, 3}, {6, 3, 2, 5, 4, 1}})
	require.Equal(t, []float64{8, 14, 11, 11, 11, 8}, c.RankSums)
	require.Equal(t, 25.5, c.S)
	require.InDelta(t, 0.1619047619, c.W, 1e-10)
	require.InDelta(t, 2.428571, c.Friedman.Statistic, 1e-6)
	require.InDelta(t, 0.7872118, c.Friedman.P, 1e-7)
}

// M. G. Kendall, Rank Correlation Methods, 1948 (from memory).
func TestKendallTies(t *testing.T) {
	c := mustConcord(t, [][]float64{
		{1, 4.5, 2, 4.5, 3, 7.5, 6, 9, 7.5, 10},
		{2.5, 1, 2.5, 4.5, 4.5, 8, 9, 6.5, 10, 6.5},
		{2, 1, 4.5, 4.5, 4.5, 4.5, 8, 8, 8, 10},
	})
	require.Equal(t, 591., c.S)
	require.InDelta(t, 591/742.5, c.Uncorrected, 1e-14)
	require.InDelta(t, 591./714, c.W, 1e-14)
	require.InDelta(t, 22.348739, c.Friedman.Statistic, 1e-6)
	require.InDelta(t, 0.007837044, c.Friedman.P, 1e-9)
	require.InDelta(t, 0.7415966, c.MeanSpearman, 1e-7)
}

// M. Hollander, D. A. Wolfe, Nonparametric Statistical Methods, 1973, p. 140ff,
// as in R's help for friedman.test.
func TestFriedmanRoundingFirstBase(t *testing.T) {
	c := mustConcord(t, [][]float64{
		{5.40, 5.50, 5.55}, {5.85, 5.70, 5.75}, {5.20, 5.60, 5.50}, {5.55, 5.50, 5.40}, {5.90, 5.85, 5.70}, {5.45, 5.55, 5.60},
		{5.40, 5.40, 5.35}, {5.45, 5.50, 5.35}, {5.25, 5.15, 5.00}, {5.85, 5.80, 5.70}, {5.25, 5.20, 5.10}, {5.65, 5.55, 5.45},
		{5.60, 5.35, 5.45}, {5.05, 5.00, 4.95}, {5.50, 5.50, 5.40}, {5.45, 5.55, 5.50}, {5.55, 5.55, 5.35}, {5.45, 5.50, 5.55},
		{5.50, 5.45, 5.25}, {5.65, 5.60, 5.40}, {5.70, 5.65, 5.55}, {6.30, 6.30, 6.25},
	})
	require.Equal(t, []float64{53, 47, 32}, c.RankSums)
	require.InDelta(t, 11.142857, c.Friedman.Statistic, 1e-6)
	require.InDelta(t, 0.003805041, c.Friedman.P, 1e-9)
	require.InDelta(t, 0.2532467, c.W, 1e-7)
}

// W. J. Conover, Practical Nonparametric Statistics, 3rd ed. 1999, p. 375f, as
// in R's help for quade.test.
func TestHandLotion(t *testing.T) {
	rows := [][]float64{{5, 4, 7, 10, 12}, {1, 3, 1, 0, 2}, {16, 12, 22, 22, 35}, {5, 4, 3, 5, 4}, {10, 9, 7, 13, 10}, {19, 18, 28, 37, 58}, {10, 7, 6, 8, 7}}
	q, err := panel.Quade(rows)
	require.NoError(t, err)
	require.InDelta(t, 3.8292516, q.Statistic, 1e-7)
	require.InDelta(t, 0.01518902, q.P, 1e-8)
	require.Equal(t, []float64{4, 24}, []float64{q.DF1, q.DF2})
	c := mustConcord(t, rows)
	require.InDelta(t, 8.3283582, c.Friedman.Statistic, 1e-7)
	require.InDelta(t, 0.08026409, c.Friedman.P, 1e-8)
}

// Siegel 1956, ch. 7 (from memory; published .033).
func TestFriedmanExact(t *testing.T) {
	rows := [][]float64{{9, 4, 1, 7}, {6, 5, 2, 8}, {9, 1, 2, 6}}
	c := mustConcord(t, rows)
	require.Equal(t, []float64{11, 5, 4, 10}, c.RankSums)
	require.InDelta(t, 7.4, c.Friedman.Statistic, 1e-12)
	p, ok := panel.FriedmanExact(rows)
	require.True(t, ok)
	require.InDelta(t, 19./576, p, 1e-14)
	_, ok = panel.FriedmanExact([][]float64{{1, 2, 3, 4, 5, 6, 7}, {1, 2, 3, 4, 5, 6, 7}})
	require.False(t, ok, "seven items are too many to enumerate")
}

// The enumeration by rank sums against plain enumeration of every ranking.
func TestFriedmanExactAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := make([][]float64, rapid.IntRange(2, 3).Draw(t, "raters"))
		items := rapid.IntRange(2, 3).Draw(t, "items")
		for j := range rows {
			for range items {
				rows[j] = append(rows[j], float64(rapid.IntRange(0, 2).Draw(t, "v")))
			}
		}
		got, ok := panel.FriedmanExact(rows)
		require.True(t, ok)
		c, err := panel.Concord(rows)
		require.NoError(t, err)
		far, all := 0, 0
		var walk func(j int, table [][]float64)
		walk = func(j int, table [][]float64) {
			if j == len(rows) {
				other, err := panel.Concord(table)
				require.NoError(t, err)
				all++
				if other.S >= c.S-1e-9 {
					far++
				}
				return
			}
			for _, p := range permutations(rows[j]) {
				walk(j+1, append(slices.Clone(table), p))
			}
		}
		walk(0, nil)
		require.InDelta(t, float64(far)/float64(all), got, 1e-12)
	})
}

func permutations(x []float64) [][]float64 {
	if len(x) == 0 {
		return [][]float64{nil}
	}
	var all [][]float64
	for n := range x {
		rest := slices.Delete(slices.Clone(x), n, n+1)
		for _, tail := range permutations(rest) {
			all = append(all, append([]float64{x[n]}, tail...))
		}
	}
	return all
}

// P. E. Shrout, J. L. Fleiss, Psychological Bulletin 86(2), 1979, tables 2-4
// (table numbers from memory); limits by R's psych.
func TestShroutFleiss(t *testing.T) {
	rows := transpose([][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}})
	r, err := panel.Intraclasses(rows)
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{11.241667, 6.263889, 32.486111, 1.019444}, []float64{r.BMS, r.WMS, r.JMS, r.EMS}, 1e-6)
	require.InDelta(t, 1.79467849, r.BMS/r.WMS, 1e-8)
	require.InDelta(t, 11.02724796, r.BMS/r.EMS, 1e-8)
	require.InDelta(t, 31.86648501, r.JMS/r.EMS, 1e-8)
	for _, c := range []struct {
		name             string
		got              panel.ICC
		value, low, high float64
	}{
		{"(1,1)", r.OneSingle, 0.16574177, -0.13293233, 0.72256006},
		{"(2,1)", r.TwoSingle, 0.28976378, 0.01878651, 0.76108437},
		{"(3,1)", r.ThreeSingle, 0.71484071, 0.34246477, 0.94585826},
		{"(1,4)", r.OneMean, 0.44279713, -0.88444216, 0.91241542},
		{"(2,4)", r.TwoMean, 0.62005055, 0.07113682, 0.92723204},
		{"(3,4)", r.ThreeMean, 0.90931554, 0.67567471, 0.98589168},
	} {
		require.InDelta(t, c.value, c.got.Value, 1e-8, c.name)
		require.InDelta(t, c.low, c.got.Low, 1e-7, c.name)
		require.InDelta(t, c.high, c.got.High, 1e-7, c.name)
	}
}

// K. Krippendorff, Computing Krippendorff's Alpha-Reliability, 2011.
func TestKrippendorff(t *testing.T) {
	const x = missing
	rows := transpose([][]float64{
		{1, 2, 3, 3, 2, 1, 4, 1, 2, x, x, x},
		{1, 2, 3, 3, 2, 2, 4, 1, 2, 5, x, 3},
		{x, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, x},
		{1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, x},
	})
	table := mustTable(t, marksOf(rows))
	for metric, want := range map[panel.Metric]float64{
		panel.Nominal: 113. / 152, panel.Ordinal: 108577. / 133160, panel.Interval: 951. / 1120, panel.Ratio: 18222619. / 22852465,
	} {
		got, err := panel.Alpha(table, metric)
		require.NoError(t, err)
		require.InDelta(t, want, got, 1e-14, metric)
	}
	_, err := panel.Alpha(mustTable(t, []panel.Mark{{1, 1, 2}, {1, 2, 2}}), panel.Interval)
	require.ErrorIs(t, err, panel.ErrNoSpread)
	_, err = panel.Alpha(mustTable(t, []panel.Mark{{1, 1, 2}, {2, 2, 2}}), panel.Interval)
	require.ErrorIs(t, err, panel.ErrTooSmall)
}

// W. J. Conover, Practical Nonparametric Statistics, 3rd ed. 1999, p. 391: seven
// varieties of ice cream, seven judges, three each.
func TestDurbinIceCream(t *testing.T) {
	var marks []panel.Mark
	for j, v := range [][6]float64{{1, 2, 4, 2, 3, 1}, {2, 3, 5, 3, 1, 2}, {3, 4, 6, 2, 1, 3}, {4, 5, 7, 1, 2, 3}, {1, 5, 6, 3, 1, 2}, {2, 6, 7, 3, 1, 2}, {1, 3, 7, 3, 1, 2}} {
		for n := range 3 {
			marks = append(marks, panel.Mark{Item: int64(v[n]), Rater: int64(j), Value: v[n+3]})
		}
	}
	d, err := panel.Durbin(mustTable(t, marks))
	require.NoError(t, err)
	require.Equal(t, []float64{8, 9, 4, 3, 5, 6, 7}, d.RankSums)
	require.InDelta(t, 12, d.Chi.Statistic, 1e-12)
	require.InDelta(t, 0.0619688, d.Chi.P, 1e-7)
	require.InDelta(t, 8, d.F.Statistic, 1e-12)
	require.InDelta(t, 0.004904419, d.F.P, 1e-9)
	require.Equal(t, []float64{6, 8}, []float64{d.F.DF1, d.F.DF2})
	require.InDelta(t, 2.8242667, d.Difference, 1e-7)
	_, err = panel.Durbin(mustTable(t, marks[1:]))
	require.ErrorIs(t, err, panel.ErrUnbalanced)
}

// Siegel 1956, pp. 202-213 (from memory): authoritarianism and status striving.
func TestRankCorrelation(t *testing.T) {
	x := []float64{82, 98, 87, 40, 116, 113, 111, 83, 85, 126, 106, 117}
	y := []float64{42, 46, 39, 37, 65, 88, 86, 56, 62, 92, 54, 81}
	require.Equal(t, []float64{2, 6, 5, 1, 10, 9, 8, 3, 4, 12, 7, 11}, panel.Ranks(x))
	require.InDelta(t, 1-312./1716, panel.Spearman(x, y), 1e-14)
	tau, s := panel.Tau(x, y)
	require.Equal(t, 44, s)
	require.InDelta(t, 44./66, tau, 1e-14)
	require.Equal(t, 22., panel.Footrule(x, y))
}

// P. Diaconis, R. L. Graham, J. Royal Statistical Society B 39(2), 1977:
// I + T <= D <= 2I, max D = floor(n^2/2), mean D = (n^2-1)/3, over every
// permutation of up to six.
func TestFootruleDiaconisGraham(t *testing.T) {
	for n := 2; n <= 6; n++ {
		identity := make([]float64, n)
		for k := range identity {
			identity[k] = float64(k)
		}
		most, sum, all := 0., 0., permutations(identity)
		for _, p := range all {
			d := panel.Footrule(identity, p)
			_, s := panel.Tau(identity, p)
			inversions := float64(n*(n-1)/2-s) / 2
			require.LessOrEqual(t, inversions+float64(n-cycles(p)), d)
			require.LessOrEqual(t, d, 2*inversions)
			most, sum = math.Max(most, d), sum+d
		}
		require.Equal(t, float64(n*n/2), most)
		require.InDelta(t, float64(n*n-1)/3, sum/float64(len(all)), 1e-12)
	}
}

func cycles(p []float64) int {
	seen, n := make([]bool, len(p)), 0
	for k := range p {
		if !seen[k] {
			n++
		}
		for !seen[k] {
			seen[k] = true
			k = int(p[k])
		}
	}
	return n
}

func TestAgreementRefusesWhatItCannotTell(t *testing.T) {
	_, err := panel.Concord([][]float64{{1, 2, 3}})
	require.ErrorIs(t, err, panel.ErrTooSmall)
	_, err = panel.Concord([][]float64{{1, 2, 3}, {1, 2}})
	require.ErrorIs(t, err, panel.ErrIncomplete)
	c := mustConcord(t, [][]float64{{1, 1}, {2, 2}})
	require.True(t, math.IsNaN(c.W), "raters who tell nothing apart neither agree nor disagree")
	_, err = mustTable(t, []panel.Mark{{1, 1, 2}, {2, 2, 2}}).Matrix()
	require.ErrorIs(t, err, panel.ErrIncomplete)
}

// Panels with no spread, one rater, one item or no degrees of freedom give NaN
// or an error, never a panic: the details page shows what it can.
func TestNoPanelBreaksAStatistic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		marks := sparse(t)
		flat := rapid.Bool().Draw(t, "flat")
		for n := range marks {
			if flat {
				marks[n].Value = 7
			}
		}
		table := mustTable(t, marks)
		fit := mustFit(t, marks)
		v := fit.Variance()
		require.False(t, v.Items.P < 0 || v.Items.P > 1)
		for i := range table.Items {
			require.False(t, fit.SE(i) < 0)
		}
		for _, m := range []panel.Metric{panel.Nominal, panel.Ordinal, panel.Interval, panel.Ratio} {
			if a, err := panel.Alpha(table, m); err == nil {
				require.False(t, a > 1+1e-12)
			}
		}
		_, _ = panel.Durbin(table)
		if rows, err := table.Matrix(); err == nil {
			if c, err := panel.Concord(rows); err == nil {
				require.False(t, c.W < -1e-12 || c.W > 1+1e-12)
			}
			_, _ = panel.Intraclasses(rows)
			_, _ = panel.Quade(rows)
			if p, ok := panel.FriedmanExact(rows); ok {
				require.True(t, p > 0 && p <= 1)
			}
		}
	})
}

func TestIntervalAlphaTwoWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := mustTable(t, sparse(t))
		got, err := panel.Alpha(table, panel.Interval)
		want, n := alphaByPairs(table.Marks())
		if err != nil {
			require.True(t, n < 2 || math.IsNaN(want))
			return
		}
		require.InDelta(t, want, got, 1e-9)
	})
}

// alphaByPairs goes through every pair of marks, as the definition says.
func alphaByPairs(marks []panel.Mark) (alpha, n float64) {
	count := map[int64]float64{}
	for _, m := range marks {
		count[m.Item]++
	}
	var observed, expected float64
	for a, x := range marks {
		if count[x.Item] < 2 {
			continue
		}
		n++
		for b, y := range marks {
			if a == b || count[y.Item] < 2 {
				continue
			}
			d := (x.Value - y.Value) * (x.Value - y.Value)
			expected += d
			if x.Item == y.Item {
				observed += d / (count[x.Item] - 1)
			}
		}
	}
	return 1 - (n-1)*observed/expected, n
}
