package measure

import (
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strconv"
	"strings"
)

// Number is an exact fraction in lowest terms. The zero value is 0, and two
// numbers are equal exactly when == says so.
//
// Results that no longer fit numerator and denominator of 64 bits are rounded
// to the nearest fraction that does; sizes beyond MaxInt64 stay there. Text
// from strangers can therefore never make arithmetic panic or wrap around.
type Number struct {
	num int64
	// The denominator is kept minus one so that the zero value is a valid 0/1.
	dem uint64
}

// Whole returns n as a Number.
func Whole(n int64) Number { return Number{num: n} }

// Fraction returns num/den in lowest terms; den 0 gives 0.
func Fraction(num, den int64) Number {
	if den == 0 || num == 0 {
		return Number{}
	}
	if den == 1 {
		return Number{num: num}
	}
	if num == math.MinInt64 || den == math.MinInt64 {
		return fromRat(new(big.Rat).SetFrac(big.NewInt(num), big.NewInt(den)))
	}
	if den < 0 {
		num, den = -num, -den
	}
	g := gcd(abs(num), den)
	return Number{num: num / g, dem: uint64(den/g) - 1}
}

// Num is the numerator, which carries the sign.
func (a Number) Num() int64 { return a.num }

// Den is the denominator, at least 1.
func (a Number) Den() int64 { return int64(a.dem) + 1 }

// IsZero reports whether a is 0.
func (a Number) IsZero() bool { return a.num == 0 }

// IsWhole reports whether a has no fraction part.
func (a Number) IsWhole() bool { return a.dem == 0 }

// Float is the nearest float64.
func (a Number) Float() float64 { return float64(a.num) / float64(a.Den()) }

// Sign is -1, 0 or 1.
func (a Number) Sign() int {
	switch {
	case a.num < 0:
		return -1
	case a.num > 0:
		return 1
	}
	return 0
}

// Add returns a + b.
func (a Number) Add(b Number) Number {
	if a.dem == 0 && b.dem == 0 {
		if s := a.num + b.num; (s > a.num) == (b.num > 0) {
			return Number{num: s}
		}
	}
	return fromRat(new(big.Rat).Add(a.rat(), b.rat()))
}

// Sub returns a - b.
func (a Number) Sub(b Number) Number { return fromRat(new(big.Rat).Sub(a.rat(), b.rat())) }

// Mul returns a × b.
func (a Number) Mul(b Number) Number {
	if a.num >= 0 && b.num >= 0 {
		hi, n := bits.Mul64(uint64(a.num), uint64(b.num))
		hd, d := bits.Mul64(uint64(a.Den()), uint64(b.Den()))
		if hi == 0 && hd == 0 && n <= math.MaxInt64 && d <= math.MaxInt64 {
			return Fraction(int64(n), int64(d))
		}
	}
	return fromRat(new(big.Rat).Mul(a.rat(), b.rat()))
}

// Div returns a ÷ b, and 0 where b is 0.
func (a Number) Div(b Number) Number {
	if b.IsZero() {
		return Number{}
	}
	return fromRat(new(big.Rat).Quo(a.rat(), b.rat()))
}

// Cmp is -1, 0 or 1 as a is less than, equal to or more than b.
func (a Number) Cmp(b Number) int {
	if a == b {
		return 0
	}
	if a.dem == b.dem {
		if a.num < b.num {
			return -1
		}
		return 1
	}
	return a.rat().Cmp(b.rat())
}

// String writes the fraction exactly: "3/2", "4".
func (a Number) String() string {
	s := strconv.FormatInt(a.num, 10)
	if a.dem != 0 {
		s += "/" + strconv.FormatInt(a.Den(), 10)
	}
	return s
}

// MarshalText writes the form that ParseNumber reads, so JSON holds "3/2".
func (a Number) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (a *Number) UnmarshalText(b []byte) error {
	n, err := ParseNumber(string(b))
	if err == nil {
		*a = n
	}
	return err
}

// ParseNumber reads "3", "3/2", "1 1/2" or "1.5". It is for stored values and
// form fields; the many ways people write amounts are package recipe's subject.
func ParseNumber(s string) (Number, error) {
	s = strings.TrimSpace(s)
	if len(s) == 0 || len(s) > 40 {
		return Number{}, fmt.Errorf("measure: %q is not a number", cut(s))
	}
	whole, rest, mixed := strings.Cut(s, " ")
	if mixed {
		w, err1 := strconv.ParseInt(whole, 10, 64)
		f, err2 := parseSimple(strings.TrimSpace(rest))
		if err1 != nil || err2 != nil || w < 0 || f.num < 0 {
			return Number{}, fmt.Errorf("measure: %q is not a number", cut(s))
		}
		return Whole(w).Add(f), nil
	}
	return parseSimple(s)
}

func parseSimple(s string) (Number, error) {
	bad := func() (Number, error) { return Number{}, fmt.Errorf("measure: %q is not a number", cut(s)) }
	if strings.ContainsAny(s, "eEpPxX_+") {
		return bad()
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return bad()
	}
	return fromRat(r), nil
}

func cut(s string) string {
	if len(s) > 40 {
		return s[:40]
	}
	return s
}

func (a Number) rat() *big.Rat { return big.NewRat(a.num, a.Den()) }

// fromRat rounds r to the nearest Number.
func fromRat(r *big.Rat) Number {
	if r.Num().IsInt64() && r.Denom().IsInt64() {
		n, d := r.Num().Int64(), r.Denom().Int64()
		if n == 0 {
			return Number{}
		}
		return Number{num: n, dem: uint64(d) - 1}
	}
	f, _ := r.Float64()
	switch {
	case f >= math.MaxInt64:
		return Whole(math.MaxInt64)
	case f <= -math.MaxInt64:
		return Whole(-math.MaxInt64)
	}
	// The largest power-of-two denominator that leaves the numerator room.
	shift := uint(62)
	for shift > 0 && math.Abs(f) >= math.Ldexp(1, int(62-shift)) {
		shift--
	}
	return Fraction(int64(math.Round(math.Ldexp(f, int(shift)))), int64(1)<<shift)
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func abs(a int64) int64 {
	if a < 0 {
		return -a
	}
	return a
}
