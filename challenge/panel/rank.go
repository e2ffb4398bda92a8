package panel

import (
	"cmp"
	"math"
	"slices"
)

// Ranks are mid-ranks, 1 for the smallest value; equal values share the mean of
// the ranks they take up.
func Ranks(x []float64) []float64 {
	order := make([]int, len(x))
	for n := range order {
		order[n] = n
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	ranks := make([]float64, len(x))
	for lo := 0; lo < len(order); {
		hi := lo + 1
		for hi < len(order) && x[order[hi]] == x[order[lo]] {
			hi++
		}
		for _, n := range order[lo:hi] {
			ranks[n] = float64(lo+hi+1) / 2
		}
		lo = hi
	}
	return ranks
}

// ties is the sum of t^3 - t over groups of t equal values.
func ties(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	sum := 0.
	for lo := 0; lo < len(s); {
		hi := lo + 1
		for hi < len(s) && s[hi] == s[lo] {
			hi++
		}
		t := float64(hi - lo)
		sum += t*t*t - t
		lo = hi
	}
	return sum
}

// Spearman is the rank correlation: Pearson's of the mid-ranks. NaN where one
// side has no spread.
func Spearman(x, y []float64) float64 {
	a, b := Ranks(x), Ranks(y)
	ma, mb := Mean(a), Mean(b)
	var ab, aa, bb float64
	for n := range a {
		ab += (a[n] - ma) * (b[n] - mb)
		aa += (a[n] - ma) * (a[n] - ma)
		bb += (b[n] - mb) * (b[n] - mb)
	}
	return ab / math.Sqrt(aa*bb)
}

// Tau is Kendall's tau-b; s is the number of concordant less discordant pairs.
// NaN where one side has no spread. The cost is quadratic.
func Tau(x, y []float64) (tau float64, s int) {
	var untiedX, untiedY int
	for i := range x {
		for j := range i {
			dx, dy := cmp.Compare(x[i], x[j]), cmp.Compare(y[i], y[j])
			s += dx * dy
			untiedX += dx * dx
			untiedY += dy * dy
		}
	}
	return float64(s) / math.Sqrt(float64(untiedX)*float64(untiedY)), s
}

// Footrule is Spearman's: the sum of the differences in rank, 0 for the same
// order and at most floor(n^2/2).
func Footrule(x, y []float64) float64 {
	a, b := Ranks(x), Ranks(y)
	sum := 0.
	for n := range a {
		sum += math.Abs(a[n] - b[n])
	}
	return sum
}
