package tasting

import (
	"errors"
	"math/big"
)

// ruler puts the criteria on one measure, in whole units. Where all criteria
// share one scale the unit is a hundredth of a point; otherwise each score
// becomes its share of its scale (0 to 100 per cent) in units that fit all.
//
// Bounds: a unit value is at most 1e9, a weighted sum of 24 criteria with
// weights up to 1000 at most 2.4e13, and 100,000 such sums fit 64 bits.
type ruler struct {
	criteria []Criterion
	shared   bool
	factor   []int64  // units per hundredth, where scales differ
	unit     *big.Rat // one unit in points or per cent
}

func newRuler(criteria []Criterion) (ruler, error) {
	r := ruler{criteria: criteria, shared: true, unit: big.NewRat(1, 100)}
	common := int64(1)
	for _, c := range criteria {
		if c.Scale.Min != criteria[0].Scale.Min || c.Scale.Max != criteria[0].Scale.Max {
			r.shared = false
		}
		common = lcm(common, int64(c.Scale.Max-c.Scale.Min))
		if common > 1e9 {
			return r, errors.New("the scales are too different to be put on one measure; use scales of the same length")
		}
	}
	if r.shared {
		return r, nil
	}
	r.unit = big.NewRat(100, common)
	for _, c := range criteria {
		r.factor = append(r.factor, common/int64(c.Scale.Max-c.Scale.Min))
	}
	return r, nil
}

// Comparable returns an error where scales are so different that scores on them
// cannot be weighed against each other exactly.
func Comparable(criteria []Criterion) error {
	_, err := newRuler(criteria)
	return err
}

// Unit says what a score of the tally is measured in.
func (r ruler) name() Unit {
	if r.shared {
		return UnitPoints
	}
	return UnitPercent
}

func (r ruler) value(criterion int, score Points) int64 {
	if r.shared {
		return int64(score)
	}
	return int64(score-r.criteria[criterion].Scale.Min) * r.factor[criterion]
}

// fraction is num/den in units of the ruler; den > 0.
type fraction struct{ num, den int64 }

func (a fraction) cmp(b fraction) int {
	if a.den == b.den {
		return compare(a.num, b.num)
	}
	return compare(a.num*b.den, b.num*a.den)
}

func (a fraction) float() float64 { return float64(a.num) / float64(a.den) }

func compare(a, b int64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// mark is the weighted mean of the scores on a sheet. The sheet has at least
// one score on a criterion.
func (r ruler) mark(s Sheet) fraction {
	var m fraction
	for c := range r.criteria {
		if score, found := s.Scores[r.criteria[c].Key]; found {
			w := int64(r.criteria[c].Weight)
			m.num += w * r.value(c, score)
			m.den += w
		}
	}
	return m
}

// total adds fractions exactly; nearly always they have one denominator.
type total []fraction

func (t *total) add(f fraction) {
	for n := range *t {
		if (*t)[n].den == f.den {
			(*t)[n].num += f.num
			return
		}
	}
	*t = append(*t, f)
}

// mean is the sum over n, times unit.
func (t total) mean(n int, unit *big.Rat) *big.Rat {
	sum := new(big.Rat)
	for _, f := range t {
		sum.Add(sum, big.NewRat(f.num, f.den))
	}
	sum.Mul(sum, big.NewRat(1, int64(n)))
	return sum.Mul(sum, unit)
}

func lcm(a, b int64) int64 {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return a / x * b
}
