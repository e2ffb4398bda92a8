package panel

import "math"

// Variance is the analysis of variance of a two-way table without interaction.
type Variance struct {
	Total                      float64 // about the grand mean
	ItemsAdjusted, RatersFirst float64 // sums of squares: raters unadjusted, then items
	RatersAdjusted, ItemsFirst float64 // the other order
	Error                      float64
	DFItems, DFRaters, DFError int
	Items, Raters              Test // F tests of the adjusted sums
}

// Variance splits the sum of squares both ways. With several groups the
// adjusted parts compare within groups.
func (f *Fit) Variance() Variance {
	t := f.Table
	items, raters := make([]sum, len(t.Items)), make([]sum, len(t.Raters))
	ni, nj := make([]float64, len(t.Items)), make([]float64, len(t.Raters))
	var all sum
	for _, c := range t.cells {
		all.add(c.value)
		items[c.item].add(c.value)
		raters[c.rater].add(c.value)
		ni[c.item]++
		nj[c.rater]++
	}
	grand := all.total() / float64(len(t.cells))
	var total, byItem, byRater sum
	for _, c := range t.cells {
		total.add((c.value - grand) * (c.value - grand))
	}
	squares(&byItem, items, ni, grand)
	squares(&byRater, raters, nj, grand)
	v := Variance{Total: total.total(), ItemsFirst: byItem.total(), RatersFirst: byRater.total(), Error: f.RSS}
	v.ItemsAdjusted = math.Max(0, v.Total-v.RatersFirst-v.Error) // rounding can leave it below 0
	v.RatersAdjusted = math.Max(0, v.Total-v.ItemsFirst-v.Error)
	v.DFItems = len(t.Items) - f.Groups.Count
	v.DFRaters = len(t.Raters) - f.Groups.Count
	v.DFError = f.DF
	ms := v.Error / float64(v.DFError)
	v.Items = fTest(v.ItemsAdjusted/float64(v.DFItems)/ms, float64(v.DFItems), float64(v.DFError))
	v.Raters = fTest(v.RatersAdjusted/float64(v.DFRaters)/ms, float64(v.DFRaters), float64(v.DFError))
	return v
}

func squares(into *sum, sums []sum, n []float64, grand float64) {
	for i := range sums {
		d := sums[i].total()/n[i] - grand
		into.add(n[i] * d * d)
	}
}
