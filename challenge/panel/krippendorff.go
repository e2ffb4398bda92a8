package panel

import (
	"errors"
	"slices"
)

// Metric is how Krippendorff's alpha weighs the difference of two values.
type Metric string

// The metrics. Ratio is for values of one sign.
const (
	Nominal  Metric = "nominal"
	Ordinal  Metric = "ordinal"
	Interval Metric = "interval"
	Ratio    Metric = "ratio"
)

// ErrNoSpread is returned where every mark is the same, so that agreement
// cannot be told from chance.
var ErrNoSpread = errors.New("all marks are the same")

// Alpha is Krippendorff's alpha for any number of raters and missing marks: 1
// is agreement, 0 what chance gives, below 0 worse than that. Items with one
// mark drop out. K. Krippendorff, Computing Krippendorff's Alpha-Reliability,
// University of Pennsylvania, 2011. But for Interval, the cost is quadratic in
// the number of different values.
func Alpha(t *Table, metric Metric) (float64, error) {
	values, counts := t.pairable()
	n := 0.
	for _, c := range counts {
		n += c
	}
	if n < 2 {
		return 0, ErrTooSmall
	}
	var observed, expected float64
	if metric == Interval {
		observed, expected = t.intervals()
	} else {
		observed, expected = t.coincidences(values, counts, deltas(values, counts, metric))
	}
	if expected == 0 {
		return 0, ErrNoSpread
	}
	return 1 - (n-1)*observed/expected, nil
}

// coincidences sums the differences within items and over all marks.
func (t *Table) coincidences(values, counts []float64, delta func(c, k int) float64) (within, overall float64) {
	var observed, expected sum
	here := make([]float64, len(values))
	for i := range t.Items {
		row := t.of(i)
		if len(row) < 2 {
			continue
		}
		var used []int
		for _, c := range row {
			v, _ := slices.BinarySearch(values, c.value)
			if here[v] == 0 {
				used = append(used, v)
			}
			here[v]++
		}
		for _, c := range used {
			for _, k := range used {
				observed.add(here[c] * here[k] * delta(c, k) / float64(len(row)-1))
			}
		}
		for _, v := range used {
			here[v] = 0
		}
	}
	for c := range values {
		for k := range values {
			expected.add(counts[c] * counts[k] * delta(c, k))
		}
	}
	return observed.total(), expected.total()
}

// intervals is coincidences for squared differences: of n values they add up to
// 2n times the sum of squares about the mean.
func (t *Table) intervals() (within, overall float64) {
	var observed sum
	var all []float64
	for i := range t.Items {
		row := t.of(i)
		if len(row) < 2 {
			continue
		}
		x := make([]float64, len(row))
		for n, c := range row {
			x[n] = c.value
		}
		all = append(all, x...)
		observed.add(2 * float64(len(row)) / float64(len(row)-1) * aboutMean(x))
	}
	return observed.total(), 2 * float64(len(all)) * aboutMean(all)
}

func aboutMean(x []float64) float64 {
	mean := Mean(x)
	var s sum
	for _, v := range x {
		s.add((v - mean) * (v - mean))
	}
	return s.total()
}

// pairable are the different values of items with at least two marks,
// ascending, and how often each occurs.
func (t *Table) pairable() (values, counts []float64) {
	var all []float64
	for i := range t.Items {
		if row := t.of(i); len(row) > 1 {
			for _, c := range row {
				all = append(all, c.value)
			}
		}
	}
	slices.Sort(all)
	for n, v := range all {
		if n == 0 || v != all[n-1] {
			values = append(values, v)
			counts = append(counts, 0)
		}
		counts[len(counts)-1]++
	}
	return values, counts
}

// deltas is the squared difference of two values given by index.
func deltas(values, counts []float64, metric Metric) func(c, k int) float64 {
	below := make([]float64, len(counts)+1) // marks below value c
	for c, n := range counts {
		below[c+1] = below[c] + n
	}
	return func(c, k int) float64 {
		if c == k {
			return 0
		}
		d := values[c] - values[k]
		switch metric {
		case Nominal:
			d = 1
		case Ordinal:
			c, k = min(c, k), max(c, k)
			d = below[k+1] - below[c] - (counts[c]+counts[k])/2
		case Ratio:
			d /= values[c] + values[k]
		}
		return d * d
	}
}
