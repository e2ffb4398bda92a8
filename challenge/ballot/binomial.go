package ballot

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// AtLeast is the chance of x or more successes in n trials that succeed with
// probability p each, by the incomplete beta function.
func AtLeast(x, n int, p float64) float64 {
	switch {
	case x <= 0:
		return 1
	case x > n:
		return 0
	}
	return mathext.RegIncBeta(float64(x), float64(n-x+1), p)
}

// TwoSided is the exact two-sided binomial test for two dishes: the chance of a
// split at least as uneven as a to b if every voter had thrown a fair coin. It
// treats the voters as a random sample, which an audience is not. 1 for no votes.
func TwoSided(a, b int) float64 {
	return math.Min(1, 2*AtLeast(max(a, b), a+b, .5))
}

// Fewest is the smallest number of successes out of n whose chance, or that of
// more, is at most alpha; 0 where even n successes are likelier than that.
// With p = 1/2 it is Table A.1 of ISO 5495:2005 (paired comparison, one-sided)
// and of ISO 10399 (duo-trio); with p = 1/3 the table of the triangle test. For
// a two-sided question halve alpha.
func Fewest(n int, p, alpha float64) int {
	lo, hi := 0, n+1 // AtLeast(hi) <= alpha < AtLeast(lo)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; AtLeast(mid, n, p) <= alpha {
			hi = mid
		} else {
			lo = mid
		}
	}
	if hi > n {
		return 0
	}
	return hi
}
