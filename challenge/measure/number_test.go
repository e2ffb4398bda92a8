package measure

import (
	"encoding/json"
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestZeroNumber(t *testing.T) {
	var n Number
	require.Equal(t, "0", n.String())
	require.Equal(t, n, Fraction(0, 7))
	require.Equal(t, n, Fraction(3, 0))
	require.Equal(t, n, Whole(1).Div(n))
}

func TestParseNumber(t *testing.T) {
	for in, want := range map[string]string{"3": "3", "3/2": "3/2", "6/4": "3/2", "1 1/2": "3/2", "1.5": "3/2", "0.125": "1/8",
		" 2 ": "2", "-1/2": "-1/2", "4.92892159375": "157725491/32000000"} {
		n, err := ParseNumber(in)
		require.NoError(t, err, in)
		require.Equal(t, want, n.String(), in)
	}
	for _, in := range []string{"", "x", "1/0", "1e9", "0x10", "1 -1/2", "1_000", "1/2/3", "NaN", "Inf", "99999999999999999999999999999999999999999"} {
		_, err := ParseNumber(in)
		require.Error(t, err, in)
	}
}

// Where the exact result fits 64 bits it is the exact result.
func TestArithmeticIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawNumber(t, "a"), drawNumber(t, "b")
		ra, rb := big.NewRat(a.Num(), a.Den()), big.NewRat(b.Num(), b.Den())
		same := func(got Number, want *big.Rat) {
			if want.Num().IsInt64() && want.Denom().IsInt64() {
				require.Zero(t, want.Cmp(big.NewRat(got.Num(), got.Den())))
			}
		}
		same(a.Add(b), new(big.Rat).Add(ra, rb))
		same(a.Sub(b), new(big.Rat).Sub(ra, rb))
		same(a.Mul(b), new(big.Rat).Mul(ra, rb))
		if !b.IsZero() {
			same(a.Div(b), new(big.Rat).Quo(ra, rb))
		}
		require.Equal(t, ra.Cmp(rb), a.Cmp(b))
	})
}

// Whatever is multiplied, nothing panics or wraps round to another sign.
func TestArithmeticNeverWraps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Fraction(rapid.Int64().Draw(t, "n"), rapid.Int64().Draw(t, "d"))
		b := Fraction(rapid.Int64().Draw(t, "m"), rapid.Int64().Draw(t, "e"))
		for range 4 {
			sign := a.Sign() * b.Sign()
			a = a.Mul(b)
			require.Contains(t, []int{0, sign}, a.Sign())
			require.GreaterOrEqual(t, a.Den(), int64(1))
		}
		_, _, _, _ = a.Add(b), a.Sub(b), a.Div(b), a.Cook()
	})
}

func TestNumberJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawNumber(t, "a")
		b, err := json.Marshal(Exactly(a))
		require.NoError(t, err)
		var back Range
		require.NoError(t, json.Unmarshal(b, &back))
		require.Equal(t, Exactly(a), back)
	})
	b, err := json.Marshal(Fraction(3, 2))
	require.NoError(t, err)
	require.Equal(t, `"3/2"`, string(b))
}

func drawNumber(t *rapid.T, name string) Number {
	return Fraction(rapid.Int64Range(-1_000_000, 1_000_000).Draw(t, name+"n"), rapid.Int64Range(1, 10_000).Draw(t, name+"d"))
}

func TestWrite(t *testing.T) {
	half := Fraction(1, 2)
	for _, c := range []struct {
		rng  Range
		unit string
		want string
	}{
		{Exactly(Fraction(3, 2)), "cup", "1 1/2 cups"},
		{Exactly(half), "cup", "1/2 cup"},
		{Exactly(Whole(1)), "pinch", "1 pinch"},
		{Exactly(Whole(2)), "pinch", "2 pinches"},
		{Between(Whole(3), Whole(2)), "tbsp", "2-3 tbsp"},
		{Between(Whole(1), Fraction(3, 2)), "cup", "1 to 1 1/2 cups"},
		{Exactly(Whole(350)), "g", "350 g"},
		{Exactly(Fraction(5, 2)), "l", "2.5 l"},
		{Exactly(Fraction(1, 7)), "cup", "0.143 cup"},
		{Exactly(Whole(4)), "", "4"},
		{Exactly(Whole(2)), "leaf", "2 leaves"},
		{Exactly(Whole(2)), "clove", "2 cloves"},
		{Range{}, "", ""},
	} {
		require.Equal(t, c.want, Write(c.rng, c.unit))
	}
}
