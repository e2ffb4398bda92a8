package ballot_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ballot"
)

// ISO 5495:2005, Table A.1 (paired comparison, one-sided), alpha 0.20, 0.10,
// 0.05, 0.01 and 0.001; seen in the national edition GOST R 53161-2008.
const iso5495 = `
10: 7 8 9 10 10    11: 8 9 9 10 11    12: 8 9 10 11 12   13: 9 10 10 12 13  14: 10 10 11 12 13
15: 10 11 12 13 14 16: 11 12 12 14 15 17: 11 12 13 14 16 18: 12 13 13 15 16 19: 12 13 14 15 17
20: 13 14 15 16 18 21: 13 14 15 17 18 22: 14 15 16 17 19 36: 22 23 24 26 28 37: 22 23 24 27 29
38: 23 24 25 27 29 39: 23 24 26 28 30 40: 24 25 26 28 31 44: 26 27 28 31 33 48: 28 29 31 33 36
52: 30 32 33 35 38 56: 32 34 35 38 40 60: 34 36 37 40 43 64: 36 38 40 42 45`

func TestISO5495(t *testing.T) {
	alphas := []float64{.20, .10, .05, .01, .001}
	fields := strings.Fields(iso5495)
	require.Len(t, fields, 24*6)
	for row := range 24 {
		var n int
		_, err := fmt.Sscanf(fields[row*6], "%d:", &n)
		require.NoError(t, err)
		for k, alpha := range alphas {
			require.Equal(t, fields[row*6+1+k], fmt.Sprint(ballot.Fewest(n, .5, alpha)), "n = %d, alpha = %g", n, alpha)
		}
	}
}

// ISO 5495:2005/Amd 1:2016, Annex B.5.2. The standard rounds on its way (1.64,
// 0.167), so the printed limits hold to a hundredth only.
func TestISO5495Examples(t *testing.T) {
	require.InDelta(t, .0213870, ballot.AtLeast(21, 30, .5), 5e-8)
	require.Equal(t, 20, ballot.Fewest(30, .5, .05))
	low, _ := ballot.Preference(21, 30, 1.64)
	require.InDelta(t, .125, low, .01)
	require.InDelta(t, .12558, low, .0005)

	require.InDelta(t, .003657767, ballot.TwoSided(32, 12), 5e-10)
	require.Equal(t, 29, ballot.Fewest(44, .5, .025))
	low, high := ballot.Preference(32, 44, 1.96)
	require.InDelta(t, .19, low, .01)
	require.InDelta(t, .71, high, .01)
	require.InDelta(t, .19135, low, .0005)
	require.InDelta(t, .71774, high, .0005)
}

// ISO 10399 (duo-trio), Table A.1, and the triangle test (FAO document V7180E,
// Appendix A): rows as printed, 0 where the table has a dash.
func TestDuoTrioAndTriangle(t *testing.T) {
	for n, want := range map[int][]int{30: {18, 20, 20, 22, 24}, 88: {49, 51, 53, 56, 59}, 6: {5, 6, 6, 0, 0}} {
		for k, alpha := range []float64{.20, .10, .05, .01, .001} {
			require.Equal(t, want[k], ballot.Fewest(n, .5, alpha), "duo-trio n = %d, alpha = %g", n, alpha)
		}
	}
	for n, want := range map[int][]int{20: {10, 11, 13, 14}, 30: {14, 15, 17, 19}, 96: {39, 41, 44, 48}, 4: {4, 4, 0, 0}} {
		for k, alpha := range []float64{.10, .05, .01, .001} {
			require.Equal(t, want[k], ballot.Fewest(n, 1./3, alpha), "triangle n = %d, alpha = %g", n, alpha)
		}
	}
}

// Two-tailed minima of Roessler, Pangborn, Sidel and Stone, Journal of Food
// Science 43, 940-943, 1978 (table from memory, recomputed), and the exact
// probabilities there and one vote below.
func TestTwoTailed(t *testing.T) {
	for n, want := range map[int][]int{
		10: {9, 10, 0}, 12: {10, 11, 12}, 15: {12, 13, 14}, 20: {15, 17, 18}, 25: {18, 20, 21}, 30: {21, 23, 25},
		36: {25, 27, 29}, 40: {27, 29, 31}, 44: {29, 31, 34}, 50: {33, 35, 37}, 60: {39, 41, 44},
	} {
		for k, alpha := range []float64{.05, .01, .001} {
			require.Equal(t, want[k], ballot.Fewest(n, .5, alpha/2), "n = %d, alpha = %g", n, alpha)
		}
	}
	for _, c := range []struct {
		n, x     int
		at, less float64
	}{{20, 15, 0.0413894653, 0.1153182983}, {30, 21, 0.0427739453, 0.0987371467}, {40, 27, 0.0384773083, 0.0806904678}, {50, 33, 0.0328391376, 0.0649086471}} {
		require.InDelta(t, c.at, ballot.TwoSided(c.x, c.n-c.x), 5e-11)
		require.InDelta(t, c.less, ballot.TwoSided(c.n-c.x+1, c.x-1), 5e-11, "and it does not matter who leads")
	}
	require.Equal(t, 1., ballot.TwoSided(5, 5))
	require.Equal(t, 1., ballot.TwoSided(0, 0))
}

// The incomplete beta function against sums of exact binomial coefficients.
func TestAtLeastAgainstExactSums(t *testing.T) {
	for _, n := range []int{1, 7, 40, 301, 2000} {
		all := new(big.Int).Lsh(big.NewInt(1), uint(n))
		sum := new(big.Int)
		for x := n; x >= 0; x-- {
			sum.Add(sum, new(big.Int).Binomial(int64(n), int64(x)))
			want, _ := new(big.Rat).SetFrac(sum, all).Float64()
			if want < 1e-280 {
				continue
			}
			require.InEpsilon(t, want, ballot.AtLeast(x, n, .5), 1e-9, "%d of %d", x, n)
		}
	}
	require.Equal(t, 0., ballot.AtLeast(4, 3, .5))
}
