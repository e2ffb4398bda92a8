package panel_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/panel"
)

// R, help for mean: x = 0..10, 50. The second sample is used with 10 per cent in
// a public test suite.
func TestTrimmedMean(t *testing.T) {
	x := []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 50}
	require.Equal(t, 8.75, panel.Mean(x))
	require.Equal(t, 5.5, panel.TrimmedMean(x, 10))
	y := []float64{2, 4, 6, 7, 11, 21, 81, 90, 105, 121}
	require.Equal(t, 40.625, panel.TrimmedMean(y, 10))
	require.Equal(t, 36., panel.TrimmedMean(y, 20))
	require.Equal(t, 44.8, panel.TrimmedMean(y, 0))
	require.Equal(t, 16., panel.TrimmedMean(y, 50), "the median, as in R")
	require.Equal(t, 7., panel.TrimmedMean([]float64{9, 7, 1}, 80))
	require.True(t, math.IsNaN(panel.TrimmedMean(nil, 10)))
}

// SciPy documentation, scipy.stats.zscore, second example (sample SD).
func TestZScores(t *testing.T) {
	for _, row := range [][2][]float64{
		{{0.3148, 0.0478, 0.6243, 0.4608}, {-0.19264823, -1.28415119, 1.07259584, 0.40420358}},
		{{0.7149, 0.0775, 0.6072, 0.9656}, {0.33048416, -1.37380874, 0.04251374, 1.00081084}},
		{{0.6341, 0.1403, 0.9759, 0.4064}, {0.26796377, -1.12598418, 1.23283094, -0.37481053}},
		{{0.5918, 0.6948, 0.9040, 0.3721}, {-0.22095197, 0.24468594, 1.19042819, -1.21416216}},
		{{0.0921, 0.2481, 0.1188, 0.1366}, {-0.82780366, 1.44574160, -0.43867764, -0.17926030}},
	} {
		require.InDeltaSlice(t, row[1], panel.ZScores(row[0]), 5e-9)
	}
	require.Equal(t, []float64{0, 0, 0}, panel.ZScores([]float64{7.1, 7.1, 7.1}))
	require.Equal(t, []float64{0}, panel.ZScores([]float64{4}))
}

// NIST StRD univariate, certified means and standard deviations (definitions
// from memory). The numbers themselves are rounded when they are read in, which
// leaves about nine digits of the last SD.
func TestNumericallyHardMeans(t *testing.T) {
	alternate := func(middle, low, high float64) []float64 {
		x := []float64{middle}
		for range 500 {
			x = append(x, low, high)
		}
		return x
	}
	for name, c := range map[string]struct {
		x        []float64
		mean, sd float64
	}{
		"NumAcc1": {[]float64{10000001, 10000003, 10000002}, 10000002, 1},
		"NumAcc2": {alternate(1.2, 1.1, 1.3), 1.2, .1},
		"NumAcc3": {alternate(1000000.2, 1000000.1, 1000000.3), 1000000.2, .1},
		"NumAcc4": {alternate(10000000.2, 10000000.1, 10000000.3), 10000000.2, .1},
	} {
		require.InEpsilon(t, c.mean, panel.Mean(c.x), 1e-15, name)
		require.InEpsilon(t, c.sd, panel.SD(c.x), 1e-8, name)
	}
}

func TestZScoresIgnoreTheScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var x, y []float64
		shift, stretch := float64(rapid.IntRange(-50, 50).Draw(t, "shift")), float64(rapid.IntRange(1, 9).Draw(t, "stretch"))
		for range rapid.IntRange(1, 12).Draw(t, "n") {
			v := float64(rapid.IntRange(0, 20).Draw(t, "v")) / 2
			x, y = append(x, v), append(y, v*stretch+shift)
		}
		require.InDeltaSlice(t, panel.ZScores(x), panel.ZScores(y), 1e-9)
	})
}
