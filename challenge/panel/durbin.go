package panel

import "math"

// RankTest is Durbin's test for balanced incomplete blocks: every rater ranked
// k of the items, every item was ranked r times.
type RankTest struct {
	RankSums   []float64 // in the order of Table.Items
	Chi        Test      // T1
	F          Test      // T2, the better approximation
	Difference float64   // rank sums further apart differ at the 5 per cent level
}

// Durbin follows W. J. Conover, Practical Nonparametric Statistics, 3rd ed.
// 1999, p. 391, mid-ranks for ties. It returns ErrUnbalanced unless all raters
// marked equally many items and all items got equally many marks.
func Durbin(t *Table) (RankTest, error) {
	byRater := make([][]cell, len(t.Raters))
	for _, c := range t.cells {
		byRater[c.rater] = append(byRater[c.rater], c)
	}
	k, r := len(byRater[0]), t.start[1]
	for _, row := range byRater {
		if len(row) != k {
			return RankTest{}, ErrUnbalanced
		}
	}
	for i := range t.Items {
		if len(t.of(i)) != r {
			return RankTest{}, ErrUnbalanced
		}
	}
	if k < 2 || len(t.Items) < 2 {
		return RankTest{}, ErrTooSmall
	}
	d := RankTest{RankSums: make([]float64, len(t.Items))}
	a := 0.
	for _, row := range byRater {
		values := make([]float64, k)
		for n, c := range row {
			values[n] = c.value
		}
		for n, rank := range Ranks(values) {
			d.RankSums[row[n].item] += rank
			a += rank * rank
		}
	}
	d.test(a, float64(len(t.Items)), float64(len(t.Raters)), float64(k), float64(r))
	return d, nil
}

func (d *RankTest) test(a, t, b, k, r float64) {
	c := b * k * (k + 1) * (k + 1) / 4
	sum := 0.
	for _, s := range d.RankSums {
		sum += s * s
	}
	t1 := (t - 1) * (sum - r*c) / (a - c)
	df := b*k - b - t + 1
	d.Chi = chiTest(t1, t-1)
	d.F = fTest(t1/(t-1)*df/(b*(k-1)-t1), t-1, df)
	d.Difference = tQuantile(df) * math.Sqrt((a-c)*2*r/df*(1-t1/(b*(k-1))))
}
