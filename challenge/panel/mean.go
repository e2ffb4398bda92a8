package panel

import (
	"math"
	"slices"
)

// sum adds floating-point numbers with Neumaier's compensation, so that a long
// column of large numbers with small differences keeps its last digits.
type sum struct{ s, c float64 }

func (a *sum) add(x float64) {
	t := a.s + x
	if math.Abs(a.s) >= math.Abs(x) {
		a.c += (a.s - t) + x
	} else {
		a.c += (x - t) + a.s
	}
	a.s = t
}

func (a *sum) total() float64 { return a.s + a.c }

// Mean is the arithmetic mean; NaN for no values.
func Mean(x []float64) float64 {
	var s sum
	for _, v := range x {
		s.add(v)
	}
	return s.total() / float64(len(x))
}

// SD is the standard deviation of a sample (divisor n-1), in two passes; NaN
// for fewer than two values.
func SD(x []float64) float64 {
	if len(x) < 2 {
		return math.NaN()
	}
	mean := Mean(x)
	var squares, rest sum
	for _, v := range x {
		squares.add((v - mean) * (v - mean))
		rest.add(v - mean)
	}
	n := float64(len(x))
	// The second term takes out what rounding left in the mean (the corrected
	// two-pass formula of Chan, Golub and LeVeque, The American Statistician
	// 37, 1983; from memory).
	ss := squares.total() - rest.total()*rest.total()/n
	return math.Sqrt(ss / (n - 1))
}

// TrimmedMean leaves out floor(n*percent/100) values at each end and averages
// the rest; from 50 per cent on it is the median, as in R's mean(trim=). NaN
// for no values.
func TrimmedMean(x []float64, percent int) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := slices.Clone(x)
	slices.Sort(s)
	g := Trimmed(len(s), percent)
	return Mean(s[g : len(s)-g])
}

// Trimmed is how many of n values a trimmed mean leaves out at each end.
// At 50 per cent and more, one value (n odd) or two (n even) remain.
func Trimmed(n, percent int) int {
	if percent >= 50 {
		return (n - 1) / 2
	}
	return n * max(percent, 0) / 100
}

// ZScores are (x - mean)/SD with the sample SD. Where all values are the same,
// or there is only one, every score is 0: such a rater prefers nothing.
func ZScores(x []float64) []float64 {
	z := make([]float64, len(x))
	sd := SD(x)
	if math.IsNaN(sd) || sd <= 1e-12*math.Abs(Mean(x)) {
		return z
	}
	mean := Mean(x)
	for i, v := range x {
		z[i] = (v - mean) / sd
	}
	return z
}
