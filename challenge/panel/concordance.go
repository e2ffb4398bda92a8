package panel

import "math"

// Concordance is how far raters who all ranked all items agree.
type Concordance struct {
	Raters, Items int
	RankSums      []float64
	S             float64 // sum of squares of the rank sums about their mean
	Uncorrected   float64 // W as if there were no ties
	W             float64 // Kendall's W with the correction for ties: 0 none, 1 perfect; NaN where no rater tells items apart
	Friedman      Test    // chi-square raters*(items-1)*W: could so much agreement be chance
	MeanSpearman  float64 // mean correlation of two raters, from W
}

// Concord works out Kendall's W and Friedman's test from a complete table, one
// row per rater (Table.Matrix). M. G. Kendall, Rank Correlation Methods, 1948.
func Concord(rows [][]float64) (Concordance, error) {
	m, n, err := shape(rows)
	if err != nil {
		return Concordance{}, err
	}
	c := Concordance{Raters: m, Items: n, RankSums: make([]float64, n)}
	t := 0.
	for _, row := range rows {
		for i, r := range Ranks(row) {
			c.RankSums[i] += r
		}
		t += ties(row)
	}
	mean := float64(m) * float64(n+1) / 2
	for _, r := range c.RankSums {
		c.S += (r - mean) * (r - mean)
	}
	fm, fn := float64(m), float64(n)
	c.Uncorrected = 12 * c.S / (fm * fm * (fn*fn*fn - fn))
	c.W = 12 * c.S / (fm*fm*(fn*fn*fn-fn) - fm*t)
	c.Friedman = chiTest(fm*(fn-1)*c.W, fn-1)
	c.MeanSpearman = (fm*c.W - 1) / (fm - 1)
	return c, nil
}

// shape checks that rows form a rectangle of at least two by two.
func shape(rows [][]float64) (raters, items int, err error) {
	if len(rows) < 2 || len(rows[0]) < 2 {
		return 0, 0, ErrTooSmall
	}
	for _, row := range rows {
		if len(row) != len(rows[0]) {
			return 0, 0, ErrIncomplete
		}
	}
	return len(rows), len(rows[0]), nil
}

// Quade tests a complete table like Friedman's test, but raters who tell the
// items apart more widely weigh more. (W. J. Conover, Practical Nonparametric
// Statistics, 3rd ed. 1999, section 5.8; section from memory.)
func Quade(rows [][]float64) (Test, error) {
	b, k, err := shape(rows)
	if err != nil {
		return Test{}, err
	}
	ranges := make([]float64, b)
	for j, row := range rows {
		lo, hi := row[0], row[0]
		for _, v := range row {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		ranges[j] = hi - lo
	}
	sums, a2 := make([]float64, k), 0.
	for j, q := range Ranks(ranges) {
		for i, r := range Ranks(rows[j]) {
			s := q * (r - float64(k+1)/2)
			sums[i] += s
			a2 += s * s
		}
	}
	between := 0.
	for _, s := range sums {
		between += s * s / float64(b)
	}
	df1, df2 := float64(k-1), float64((b-1)*(k-1))
	return fTest(float64(b-1)*between/(a2-between), df1, df2), nil
}
