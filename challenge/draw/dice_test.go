package draw

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// Two finalists and a twenty-sided die, 1 to 10 and 11 to 20: common practice,
// no source.
func TestTableOfTwoFinalists(t *testing.T) {
	table := TableFor(Dice{Faces: []int{20}}, rosterOf(17, 42))
	require.Equal(t, []Row{{17, []int{1}, []int{10}}, {42, []int{11}, []int{20}}}, table.Rows())
}

func TestTableWithLeftOverFaces(t *testing.T) {
	table := TableFor(Dice{Faces: []int{20}}, rosterOf(3, 5, 8))
	require.Equal(t, []Row{
		{3, []int{1}, []int{6}}, {5, []int{7}, []int{12}}, {8, []int{13}, []int{18}}, {0, []int{19}, []int{20}},
	}, table.Rows())
}

func TestTableOfSeveralThrows(t *testing.T) {
	table := TableFor(Dice{Faces: []int{20}}, rosterUpTo(200))
	require.Equal(t, 2, table.Throws)
	require.Equal(t, int64(2), table.Share)
	rows := table.Rows()
	require.Equal(t, Row{1, []int{1, 1}, []int{1, 2}}, rows[0])
	require.Equal(t, Row{200, []int{20, 19}, []int{20, 20}}, rows[199])
	require.Len(t, rows, 200, "nothing is left over")
}

// Two six-sided dice for one of ten: three of the 36 throws for each, and six
// thrown again (recomputed; the idea of NIST SP 800-90A Rev. 1, A.5.1, with 36
// in place of 2^m).
func TestTwoDiceForTen(t *testing.T) {
	seen := map[int]int{}
	for a := 1; a <= 6; a++ {
		for b := 1; b <= 6; b++ {
			seen[rolled(t, rosterUpTo(10), []int{6, 6}, a, b)]++
		}
	}
	require.Equal(t, 6, seen[0])
	for n := 1; n <= 10; n++ {
		require.Equal(t, 3, seen[n], "No. %d", n)
	}
}

// NIST SP 800-90A Rev. 1, appendix A.5.1: with m bits for r values, c < r is
// taken. A coin is a die with two faces; our first die is the highest bit.
func TestSimpleDiscardAgainstNIST(t *testing.T) {
	coins := func(c, m int) []int {
		out := make([]int, m)
		for i := range out {
			out[i] = c>>(m-1-i)&1 + 1
		}
		return out
	}
	for _, r := range []struct{ r, m int }{{6, 3}, {10, 4}} {
		faces := make([]int, r.m)
		for i := range faces {
			faces[i] = 2
		}
		for c := range 1 << r.m {
			want := 0
			if c < r.r {
				want = c + 1
			}
			require.Equal(t, want, rolled(t, rosterUpTo(r.r), faces, coins(c, r.m)...), "c = %d of %d", c, r.r)
		}
	}
	// The standard's own example: bits (b0,b1,b2) = (1,0,1) give 5, (0,1,1) and
	// (1,1,1) are discarded; b0 is the lowest.
	require.Equal(t, 6, rolled(t, rosterUpTo(6), []int{2, 2, 2}, 2, 1, 2))
	require.Equal(t, 0, rolled(t, rosterUpTo(6), []int{2, 2, 2}, 2, 2, 1))
}

// NIST SP 800-90A Rev. 1, appendix A.5.2: 3^3 values in 5 bits are taken 27
// times in 32 (0.84), 3^5 values in 8 bits 243 times in 256 (0.95).
func TestComplexDiscardAgainstNIST(t *testing.T) {
	for _, c := range []struct{ values, throws, outcomes int64 }{{27, 5, 32}, {243, 8, 256}} {
		table := tableFor(Dice{Faces: []int{2}}, c.values, 0, nil)
		require.Equal(t, c.throws, int64(table.Throws))
		require.Equal(t, c.outcomes, table.Outcomes)
		require.Equal(t, c.values, table.Limit())
	}
}

// rolled returns the entry that one outcome means, or 0 for "again".
func rolled(t testing.TB, r Roster, faces []int, dice ...int) int {
	t.Helper()
	s, err := Start(dicePlan(1, faces...).Freeze(r, moment(10)), r)
	require.NoError(t, err)
	require.Equal(t, 1, s.Throws)
	require.NoError(t, s.Apply(rollEvent(1, 1, dice...)))
	if s.Done {
		return s.Result[0]
	}
	require.Zero(t, s.Steps[0].Number)
	return 0
}

// Every outcome lies in exactly one row, every ticket has the same number of
// outcomes, and the table and the draw agree.
func TestTablesAreFair(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(2, 40).Draw(rt, "entries")
		faces := rapid.SliceOfN(rapid.IntRange(2, 12), 1, 2).Draw(rt, "faces")
		r := rosterUpTo(n)
		for i := range r {
			r[i].Weight = int64(rapid.IntRange(1, 4).Draw(rt, "weight"))
		}
		table := TableFor(Dice{Faces: faces}, r)
		require.GreaterOrEqual(rt, table.Outcomes, table.Tickets)
		require.Less(rt, table.Outcomes, 2*table.Limit(), "at least every second outcome counts")
		next := int64(0)
		for _, row := range table.Rows() {
			from, to := number(table, row.From), number(table, row.To)
			require.Equal(rt, next, from)
			next = to + 1
			if row.Number > 0 {
				require.Equal(rt, table.Share*r[row.Number-1].Weight, next-from)
			}
		}
		require.Equal(rt, table.Outcomes, next)

		outcome := rapid.Int64Range(0, table.Outcomes-1).Draw(rt, "outcome")
		s, err := Start(dicePlan(1, faces...).Freeze(r, moment(10)), r)
		require.NoError(rt, err)
		shown := table.faces(outcome)
		for i := range table.Throws {
			require.NoError(rt, s.Apply(rollEvent(i+1, 1, shown[i*len(faces):(i+1)*len(faces)]...)))
		}
		for _, row := range table.Rows() {
			if number(table, row.From) <= outcome && outcome <= number(table, row.To) {
				require.Equal(rt, row.Number, s.Rolls[len(s.Rolls)-1].Number)
			}
		}
	})
}

// number reads faces as one outcome, the inverse of Table.faces.
func number(t Table, faces []int) (v int64) {
	for i, f := range faces {
		v = v*int64(t.Dice.Faces[i%len(t.Dice.Faces)]) + int64(f-1)
	}
	return v
}

func TestDiceRefused(t *testing.T) {
	for _, faces := range [][]int{nil, {1}, {0}, {-6}, {1001}, {1000, 1000, 2}, {2, 2, 2, 2, 2, 2, 2, 2, 2}} {
		require.ErrorIs(t, Dice{Faces: faces}.Check(), Refusal{Code: BadPlan}, "%v", faces)
	}
	require.ErrorIs(t, Dice{Faces: []int{6}, Reading: "red\nwhite"}.Check(), Refusal{Code: BadPlan})
}
