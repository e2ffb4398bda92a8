package tasting_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/tasting"
)

func judges(n int) []int64 {
	ids := make([]int64, n)
	for k := range ids {
		ids[k] = int64(k + 1)
	}
	return ids
}

func mustServe(t require.TestingT, p, j []int64, per int, conflicts []tasting.Conflict, seed byte) tasting.Serving {
	s, err := tasting.Serve(p, j, per, conflicts, [32]byte{seed})
	require.NoError(t, err)
	return s
}

// tables turns a serving into rows of indices for the counts of balance.
func tables(s tasting.Serving) [][]int {
	var rows [][]int
	for _, seat := range s.Seats {
		var row []int
		for _, p := range seat.Plates {
			row = append(row, int(p-101))
		}
		rows = append(rows, row)
	}
	return rows
}

func TestAWholePanelIsServedByWilliams(t *testing.T) {
	for n := 2; n <= 12; n++ {
		for _, times := range []int{1, 2} {
			panel := n * (1 + n%2) * times
			s := mustServe(t, plates(n), judges(panel), 0, nil, byte(n))
			require.True(t, s.Balanced, "%d plates, %d judges", n, panel)
			position, follows := balance(tables(s), n)
			for p := range n {
				for k := range n {
					require.Equal(t, position[0][0], position[p][k])
					if p != k {
						require.Equal(t, follows[0][1], follows[p][k])
					}
				}
			}
		}
	}
}

// The usual small panels: as even as whole numbers allow, or one off that.
func TestAnIncompletePanelIsNearlyBalanced(t *testing.T) {
	for _, c := range []struct{ plates, judges, spread int }{
		{4, 3, 1}, {4, 5, 1}, {4, 6, 1}, {4, 7, 1}, {5, 5, 1}, {5, 6, 1}, {5, 7, 1}, {6, 5, 1}, {6, 8, 1}, {8, 5, 1}, {12, 7, 1}, {3, 4, 1}, {3, 5, 1},
	} {
		s := mustServe(t, plates(c.plates), judges(c.judges), 0, nil, 1)
		require.LessOrEqual(t, s.Position[1]-s.Position[0], c.spread, "%+v positions", c)
		require.LessOrEqual(t, s.Follows[1]-s.Follows[0], c.spread+1, "%+v neighbours", c)
	}
}

func TestServing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, j := rapid.IntRange(1, 8).Draw(t, "plates"), rapid.IntRange(1, 12).Draw(t, "judges")
		per := rapid.IntRange(1, n).Draw(t, "per judge")
		var conflicts []tasting.Conflict
		for range rapid.IntRange(0, 3).Draw(t, "conflicts") {
			conflicts = append(conflicts, tasting.Conflict{Judge: int64(rapid.IntRange(1, j).Draw(t, "judge")), Plate: int64(rapid.IntRange(101, 100+n).Draw(t, "plate"))})
		}
		seed := rapid.Byte().Draw(t, "seed")
		s := mustServe(t, plates(n), judges(j), per, conflicts, seed)
		require.Equal(t, s, mustServe(t, plates(n), judges(j), per, conflicts, seed))
		require.Len(t, s.Seats, j)
		served := map[int64]int{}
		for k, seat := range s.Seats {
			require.Equal(t, int64(k+1), seat.Judge)
			sorted := slices.Sorted(slices.Values(seat.Plates))
			require.Len(t, slices.Compact(sorted), len(seat.Plates), "no plate twice")
			for _, p := range seat.Plates {
				require.NotContains(t, conflicts, tasting.Conflict{Judge: seat.Judge, Plate: p})
				served[p]++
			}
			if len(seat.Plates) < per {
				require.Contains(t, s.Short, seat.Judge)
			}
		}
		if len(conflicts) == 0 {
			fewest, most := j, 0
			for _, p := range plates(n) {
				fewest, most = min(fewest, served[p]), max(most, served[p])
			}
			require.LessOrEqual(t, most-fewest, 1)
		}
	})
}

// Seven plates, seven judges, three plates each: the design of Conover's ice
// cream, every two plates with one judge.
func TestPartOfThePlatesEach(t *testing.T) {
	s := mustServe(t, plates(7), judges(7), 3, nil, 3)
	require.True(t, s.Connected)
	together := map[[2]int64]int{}
	for _, seat := range s.Seats {
		for _, p := range seat.Plates {
			for _, q := range seat.Plates {
				if p < q {
					together[[2]int64{p, q}]++
				}
			}
		}
	}
	require.Len(t, together, 21)
	require.Equal(t, [2]int{1, 1}, s.Position, "each plate once in each position")
}

func TestBadServings(t *testing.T) {
	_, err := tasting.Serve(nil, judges(1), 0, nil, [32]byte{})
	require.ErrorIs(t, err, tasting.ErrNothingToServe)
	_, err = tasting.Serve(plates(2), judges(1), 3, nil, [32]byte{})
	require.ErrorIs(t, err, tasting.ErrPerJudge)
	_, err = tasting.Serve([]int64{1, 1}, judges(1), 0, nil, [32]byte{})
	require.ErrorIs(t, err, tasting.ErrServedTwice)
}

// Who joins late gets what fewest are served, and changes nobody's order; what
// comes out is as even as a panel that was there from the start.
func TestWhoJoinsLate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, first, late := rapid.IntRange(2, 8).Draw(t, "plates"), rapid.IntRange(0, 8).Draw(t, "judges"), rapid.IntRange(0, 4).Draw(t, "late")
		per := rapid.IntRange(1, n).Draw(t, "per judge")
		var s tasting.Serving
		if first > 0 {
			s = mustServe(t, plates(n), judges(first), per, nil, 7)
		}
		more := s.Extend(plates(n), judges(first+late), per, [32]byte{7})
		require.Equal(t, more, s.Extend(plates(n), judges(first+late), per, [32]byte{7}))
		require.Len(t, more.Seats, first+late)
		for k, seat := range s.Seats {
			require.Equal(t, seat, more.Seats[k], "nobody's order changes")
		}
		served := map[int64]int{}
		for _, seat := range more.Seats {
			require.Len(t, seat.Plates, per)
			require.Len(t, slices.Compact(slices.Sorted(slices.Values(seat.Plates))), per, "no plate twice")
			for _, p := range seat.Plates {
				served[p]++
			}
		}
		fewest, most := first+late, 0
		for _, p := range plates(n) {
			fewest, most = min(fewest, served[p]), max(most, served[p])
		}
		require.LessOrEqual(t, most-fewest, 1)
	})
	s := mustServe(t, plates(6), judges(7), 0, nil, 2).Extend(plates(6), judges(8), 0, [32]byte{2})
	require.LessOrEqual(t, s.Position[1]-s.Position[0], 1)
}
