package ballot

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"fairladle/challenge/wording"
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

// Preference is the interval for the excess 2x/n - 1 of one side's share over
// the other's (0 = no preference, 1 = everybody), by the normal approximation
// of ISO 5495:2005/Amd 1:2016, Annex B.5.2; z is the standard normal quantile
// (1.96 for two-sided 95 per cent).
func Preference(x, n int, z float64) (low, high float64) {
	fx, fn := float64(x), float64(n)
	excess := 2*fx/fn - 1
	s := 2 * math.Sqrt((fn*fx-fx*fx)/(fn*fn*fn))
	return excess - z*s, excess + z*s
}

// Chance says in plain words what TwoSided tells about two dishes.
func Chance(a, b int) wording.Sentence {
	if a+b == 0 {
		return wording.Of("Nobody voted for either dish.")
	}
	p := TwoSided(a, b)
	if p > .05 {
		return wording.Of("%v voted for the one dish and %v for the other. As if the voters were a random sample: if nobody really preferred either, a split at least this uneven would come up in about %v, so the difference could well be chance.",
			max(a, b), min(a, b), inHundred(p))
	}
	return wording.Of("%v voted for the one dish and %v for the other. As if the voters were a random sample: if nobody really preferred either, a split this uneven would come up in only about %v, so it is probably no accident.",
		max(a, b), min(a, b), inHundred(p))
}

func inHundred(p float64) wording.Sentence {
	switch {
	case p >= .095:
		return wording.Of("%v of 100 votes", int(math.Round(100*p)))
	case p >= .0095:
		return wording.Of("%v of 1000 votes", int(math.Round(1000*p)))
	case p >= 1e-6:
		return wording.Of("1 of %v votes", int(math.Round(1/p)))
	}
	return wording.Of("1 of more than a million votes")
}
