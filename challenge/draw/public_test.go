package draw

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// RFC 3797, section 6: pool of 25, three sources, all 16 rows of its table.
func TestPublicAgainstRFC3797(t *testing.T) {
	rows := []struct {
		digest   string
		divisor  int64
		selected int
	}{
		{"990DD0A5692A029A98B5E01AA28F3459", 25, 17},
		{"3691E55CB63FCC37914430B2F70B5EC6", 24, 7},
		{"FE814EDF564C190AC1D25753979990FA", 23, 2},
		{"1863CCACEB568C31D7DDBDF1D4E91387", 22, 16},
		{"F4AB33DF4889F0AF29C513905BE1D758", 21, 25},
		{"13EAEB529F61ACFB9A29D0BA3A60DE4A", 20, 23},
		{"992DB77C382CA2BDB9727001F3CDCCD9", 19, 8},
		{"63AB4258ECA922976811C7F55C383CE7", 18, 24},
		{"DFBC5AC97CED01B3A6E348E3CC63F40D", 17, 19},
		{"31CB111C4A4EBE9287CEAE16FE51B909", 16, 13},
		{"07FA46C122F164C215BBC72793B189A3", 15, 22},
		{"AC52F8D75CCBE2E61AFEB3387637D501", 14, 5},
		{"53306F73E14FC0B2FBF434218D25948E", 13, 18},
		{"B5D1403501A81F9A47318BE7893B347C", 12, 9},
		{"85B10B356AA06663EF1B1B407765100A", 11, 1},
		{"3269E6CE559ABD57E2BA6AAB495EB9BD", 10, 4},
	}
	roster := rosterUpTo(25)
	// All 16 rows need more surprise than the RFC's ten places; the sources are
	// counted with more here than anyone should.
	sources := rfc3797Sources()
	sources[0].Bits = 60
	s, err := Replay(publicPlan(16, sources...).Freeze(roster, moment(10)), roster, []Event{
		sourceEvent(1, 3, "9", "18", "26", "34", "41", "45"), // entered in any order
		sourceEvent(2, 1, "9319"),
		sourceEvent(3, 2, "2", "5", "12", "8", "10"),
	})
	require.NoError(t, err)
	require.Equal(t, "9319./2.5.8.10.12./9.18.26.34.41.45./", s.PublicKey())
	require.True(t, s.Done)
	for i, row := range rows {
		step := s.Steps[i]
		require.Equal(t, strings.ToLower(row.digest), step.Digest, "row %d", i+1)
		require.Equal(t, row.divisor, step.Tickets)
		require.Equal(t, row.selected, s.Result[i])
	}
}

// RFC 3797, section 3.3: bits needed to choose 10 from a pool, without order
// (the RFC prints them rounded up; its figures are from memory).
func TestBitsAgainstRFC3797(t *testing.T) {
	for pool, want := range map[int]float64{20: 18, 25: 22, 30: 25, 35: 28, 40: 30, 50: 34, 60: 37, 75: 40, 100: 44, 120: 47} {
		require.Equal(t, want, math.Ceil(ChoiceBits(pool, 10)), "pool of %d", pool)
	}
	require.InDelta(t, 21.64, ChoiceBits(25, 10), 0.005)
	// Ordered places need log2(10!) = 21.79 bits more.
	require.InDelta(t, ChoiceBits(25, 10)+21.791, OrderedBits(25, 10), 0.001)
}

func TestBitsNeededIsExact(t *testing.T) {
	for _, c := range []struct{ n, k, want int }{{2, 1, 1}, {2, 2, 1}, {3, 1, 2}, {4, 1, 2}, {5, 1, 3}, {65_535, 1, 16}, {65_535, 8, 128}, {65_535, 9, 129}, {100, 100, 129}} {
		require.Equal(t, c.want, BitsNeeded(c.n, c.k), "%d of %d", c.k, c.n)
		if c.want <= MaxBits {
			require.Equal(t, float64(c.want), math.Ceil(OrderedBits(c.n, c.k)-1e-9))
		}
	}
}

func TestSourceWritten(t *testing.T) {
	whole := Source{Name: "n", Form: Whole, Count: 3}
	decimal := Source{Name: "d", Form: Decimal, Count: 1}
	text := Source{Name: "t", Form: Text, Count: 1}
	for _, c := range []struct {
		source Source
		typed  []string
		want   string
	}{
		{whole, []string{"10", "9", "2"}, "2.9.10./"},
		{whole, []string{"007", "0", "00"}, "0.0.7./"},
		{decimal, []string{"1234.50"}, "1234.5/"},
		{decimal, []string{"0012.00"}, "12./"},
		{decimal, []string{"12"}, "12./"},
		{Source{Name: "d", Form: Decimal, Count: 3}, []string{"7.25", "3.0", "11"}, "3.7.2511./"},
		{text, []string{"Beacon 7F-3a"}, "beacon7f3a/"},
		{text, []string{"Österreich gegen Malta 2:1"}, "sterreichgegenmalta21/"},
	} {
		got, err := c.source.written(c.typed)
		require.NoError(t, err)
		require.Equal(t, c.want, got)
	}
	lottery := Lottery("l", moment(80), "as announced", 3, 1, 49)
	for _, typed := range [][]string{{"1", "2"}, {"1", "2", "50"}, {"0", "1", "2"}, {"1", "1", "2"}, {"1", "2", "x"}, {"1", "2", "-3"}, {"1", "2", ""}, {"1", "2", " 3"}, {"1", "01", "2"}} {
		_, err := lottery.written(typed)
		require.ErrorIs(t, err, Refusal{Code: BadNumber}, fmt.Sprint(typed))
	}
	for _, typed := range []string{"", "ÄÖ", "two\nlines", strings.Repeat("a", 301)} {
		_, err := text.written([]string{typed})
		require.ErrorIs(t, err, Refusal{Code: BadNumber}, typed)
	}
	for _, typed := range []string{"", ".5", "1,5", "1.2.3", "-1"} {
		_, err := decimal.written([]string{typed})
		require.ErrorIs(t, err, Refusal{Code: BadNumber}, typed)
	}
}

func TestSourceBits(t *testing.T) {
	// 6 of 49: 13,983,816 combinations, a common lottery; log2 is 23.7.
	require.Equal(t, 23, Lottery("l", moment(80), "h", 6, 1, 49).Bits)
	// One digit, and two digits whose order is lost: 10 and at least 10*10/2.
	require.Equal(t, 3, Source{Form: Whole, Count: 1, Low: 0, High: 9}.mostBits())
	require.Equal(t, 5, Source{Form: Whole, Count: 2, Low: 0, High: 9}.mostBits())
}
