package panel

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Test is an F test or a chi-square test; DF2 is 0 for the latter. P is NaN
// where the data leave nothing to test: no degrees of freedom, or no spread.
type Test struct {
	Statistic float64
	DF1, DF2  float64
	P         float64
}

func fTest(f, df1, df2 float64) Test {
	t := Test{f, df1, df2, math.NaN()}
	if df1 > 0 && df2 > 0 && !math.IsNaN(f) {
		t.P = 0
		if !math.IsInf(f, 1) {
			t.P = distuv.F{D1: df1, D2: df2}.Survival(math.Max(0, f))
		}
	}
	return t
}

func chiTest(x, df float64) Test {
	t := Test{x, df, 0, math.NaN()}
	if df > 0 && !math.IsNaN(x) {
		t.P = distuv.ChiSquared{K: df}.Survival(math.Max(0, x))
	}
	return t
}

// fQuantile is the 97.5 per cent point of the F distribution.
func fQuantile(df1, df2 float64) float64 {
	if !(df1 > 0 && df2 > 0) || math.IsInf(df1+df2, 0) {
		return math.NaN()
	}
	return distuv.F{D1: df1, D2: df2}.Quantile(.975)
}

// tQuantile is the 97.5 per cent point of Student's t distribution.
func tQuantile(df float64) float64 {
	if !(df > 0) {
		return math.NaN()
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(.975)
}
