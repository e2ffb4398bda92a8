package tasting_test

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/tasting"
)

func letters(orders [][]int) []string {
	var rows []string
	for _, order := range orders {
		row := ""
		for _, p := range order {
			row += string(rune('A' + p))
		}
		rows = append(rows, row)
	}
	return rows
}

// n = 4 as printed by the R package crossdes, williams(4); n = 3, 5 and 6 by the
// construction of Williams (1949).
func TestWilliamsSquares(t *testing.T) {
	require.Equal(t, []string{"ABDC", "BCAD", "CDBA", "DACB"}, letters(tasting.WilliamsOrders(4)))
	require.Equal(t, []string{"ABFCED", "BCADFE", "CDBEAF", "DECFBA", "EFDACB", "FAEBDC"}, letters(tasting.WilliamsOrders(6)))
	require.Equal(t, []string{"ABC", "BCA", "CAB", "CBA", "ACB", "BAC"}, letters(tasting.WilliamsOrders(3)))
	require.Equal(t, []string{"ABECD", "BCADE", "CDBEA", "DECAB", "EADBC", "DCEBA", "EDACB", "AEBDC", "BACED", "CBDAE"},
		letters(tasting.WilliamsOrders(5)))
}

// balance counts how often each plate stands in each position and how often
// each plate directly follows each other.
func balance(orders [][]int, n int) (position, follows [][]int) {
	position, follows = make([][]int, n), make([][]int, n)
	for p := range n {
		position[p], follows[p] = make([]int, n), make([]int, n)
	}
	for _, order := range orders {
		for k, p := range order {
			position[p][k]++
			if k > 0 {
				follows[order[k-1]][p]++
			}
		}
	}
	return position, follows
}

func TestWilliamsProperties(t *testing.T) {
	for n := 2; n <= 12; n++ {
		times := 1 + n%2
		orders := tasting.WilliamsOrders(n)
		require.Len(t, orders, n*times)
		position, follows := balance(orders, n)
		for p := range n {
			for k := range n {
				require.Equal(t, times, position[p][k], "n=%d plate %d position %d", n, p, k)
				if p != k {
					require.Equal(t, times, follows[p][k], "n=%d: %d then %d", n, p, k)
				}
			}
		}
	}
}

// The published pair of squares for n = 6 (R package crossdes) passes the same
// counts, and half of the design for n = 5 does not: the counts can fail.
func TestBalanceTellsSquaresApart(t *testing.T) {
	_, follows := balance(tasting.WilliamsOrders(5)[:5], 5)
	missing := 0
	for p := range 5 {
		for q := range 5 {
			if p != q && follows[p][q] == 0 {
				missing++
			}
		}
	}
	require.Equal(t, 10, missing, "a single cyclic square of five has half of the ordered pairs")
}

func TestCodes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 24).Draw(t, "plates")
		seed := rapid.Uint64().Draw(t, "seed")
		codes, err := tasting.Codes(n, rand.NewChaCha8([32]byte{byte(seed), byte(seed >> 8), byte(seed >> 16)}))
		require.NoError(t, err)
		require.Len(t, codes, n)
		for k, c := range codes {
			require.True(t, c >= 100 && c <= 999)
			require.NotContains(t, []int{100, 111, 112, 123, 321, 666, 689, 861, 911, 999}, c)
			for _, other := range codes[:k] {
				differ := 0
				for x, y := c, other; x > 0; x, y = x/10, y/10 {
					if x%10 != y%10 {
						differ++
					}
				}
				require.GreaterOrEqual(t, differ, 2, "%d and %d", c, other)
			}
		}
	})
}

func TestManyCodesAreDistinct(t *testing.T) {
	codes, err := tasting.Codes(400, rand.NewChaCha8([32]byte{1}))
	require.NoError(t, err)
	slices.Sort(codes)
	require.Len(t, slices.Compact(codes), 400)
	_, err = tasting.Codes(900, rand.NewChaCha8([32]byte{1}))
	require.ErrorIs(t, err, tasting.ErrCodes)
	_, err = tasting.Codes(4, bytes.NewReader([]byte{1, 2, 3}))
	require.Error(t, err, "a source that runs dry gives no codes")
}
