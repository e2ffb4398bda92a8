package measure

import (
	"strconv"
	"strings"
)

// Range is an amount from Min to Max; a single amount has Min == Max. The zero
// value means that no amount was given.
type Range struct {
	Min Number `json:"min"`
	Max Number `json:"max"`
}

// Exactly is the range that holds only n.
func Exactly(n Number) Range { return Range{n, n} }

// Between is the range of a and b in ascending order.
func Between(a, b Number) Range {
	if a.Cmp(b) > 0 {
		a, b = b, a
	}
	return Range{a, b}
}

// IsZero reports whether no amount was given.
func (r Range) IsZero() bool { return r == Range{} }

// Single reports whether Min and Max are the same.
func (r Range) Single() bool { return r.Min == r.Max }

// Mid is the middle of the range.
func (r Range) Mid() Number { return r.Min.Add(r.Max).Mul(Fraction(1, 2)) }

// Times multiplies both ends; a negative factor turns the range round.
func (r Range) Times(f Number) Range { return Between(r.Min.Mul(f), r.Max.Mul(f)) }

// String writes the range for a cook: "1 1/2", "2-3".
func (r Range) String() string {
	switch {
	case r.IsZero():
		return ""
	case r.Single():
		return r.Min.Cook()
	}
	lo, hi := r.Min.Cook(), r.Max.Cook()
	if strings.ContainsRune(lo, ' ') || strings.ContainsRune(hi, ' ') {
		// "1-1 1/2" reads like a mixed number.
		return lo + " to " + hi
	}
	return lo + "-" + hi
}

// Cook writes a number the way a cook does: fractions with a denominator that
// spoons and cups have ("1 1/2", "2/3"), else decimals with three significant
// figures.
func (a Number) Cook() string {
	if a.num < 0 {
		return "-" + Number{-a.num, a.dem}.Cook()
	}
	if a.IsWhole() {
		return strconv.FormatInt(a.num, 10)
	}
	switch d := a.Den(); d {
	case 2, 3, 4, 6, 8, 16:
		whole, rest := a.num/d, a.num%d
		frac := strconv.FormatInt(rest, 10) + "/" + strconv.FormatInt(d, 10)
		if whole == 0 {
			return frac
		}
		return strconv.FormatInt(whole, 10) + " " + frac
	}
	return a.Decimal()
}

// Decimal writes a number with at most three significant figures and no
// trailing zeros: "0.333", "1.25", "1230".
func (a Number) Decimal() string {
	f := a.Float()
	digits := 2
	switch {
	case f >= 100 || f <= -100:
		digits = 0
	case f >= 10 || f <= -10:
		digits = 1
	case f < 1 && f > -1:
		digits = 3
	}
	s := strconv.FormatFloat(f, 'f', digits, 64)
	if strings.ContainsRune(s, '.') {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
