package panel

import (
	"math"
	"math/rand/v2"
)

// Resample asks how sure the adjusted means are: times times it gives every
// mark a residual drawn from all residuals (with replacement, enlarged for the
// degrees of freedom the fit used up), fits again and shows visit the adjusted
// means, in the order of Table.Items. visit must not keep the slice. No item
// is ever left without a mark, and the system is solved once for all.
//
// It returns false and visits nothing where there are no residual degrees of
// freedom. (Residual bootstrap: B. Efron, Annals of Statistics 7, 1-26, 1979,
// section 7; section from memory.)
func (f *Fit) Resample(times int, seed [32]byte, visit func(adjusted []float64)) bool {
	if f.DF <= 0 {
		return false
	}
	t := f.Table
	residuals := f.Residuals()
	scale := math.Sqrt(float64(len(residuals)) / float64(f.DF))
	for n := range residuals {
		residuals[n] *= scale
	}
	fitted := make([]float64, len(t.cells))
	for n, c := range t.cells {
		fitted[n] = f.Adjusted[c.item] + f.Rater[c.rater]
	}
	random := rand.New(rand.NewChaCha8(seed))
	values, s := make([]float64, len(fitted)), &solution{}
	for range times {
		for n := range values {
			values[n] = fitted[n] + residuals[random.IntN(len(residuals))]
		}
		f.solve(values, s)
		visit(s.adjusted)
	}
	return true
}

// Draws returns, times times, how often each of n raters is drawn when n are
// drawn with replacement. visit must not keep the slice.
func Draws(n, times int, seed [32]byte, visit func(count []int)) {
	random := rand.New(rand.NewChaCha8(seed))
	count := make([]int, n)
	for range times {
		clear(count)
		for range n {
			count[random.IntN(n)]++
		}
		visit(count)
	}
}

// ResamplePlain is Resample for plain means: residuals are taken about each
// item's mean, so how strict a rater is counts as chance.
func (f *Fit) ResamplePlain(times int, seed [32]byte, visit func(means []float64)) bool {
	t := f.Table
	df := len(t.cells) - len(t.Items)
	if df <= 0 {
		return false
	}
	means := t.ItemMeans()
	scale := math.Sqrt(float64(len(t.cells)) / float64(df))
	residuals := make([]float64, len(t.cells))
	for n, c := range t.cells {
		residuals[n] = (c.value - means[c.item]) * scale
	}
	random := rand.New(rand.NewChaCha8(seed))
	drawn := make([]float64, len(means))
	for range times {
		for i, m := range means {
			k := t.start[i+1] - t.start[i]
			var e float64
			for range k {
				e += residuals[random.IntN(len(residuals))]
			}
			drawn[i] = m + e/float64(k)
		}
		visit(drawn)
	}
	return true
}
