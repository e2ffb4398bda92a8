package shortlist_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/shortlist"
)

func mustChances(t require.TestingT, r []shortlist.Reading, entries []int64, size int, rule shortlist.Rule) []shortlist.Chance {
	c, err := shortlist.Chances(r, entries, size, rule, 500, [32]byte{3})
	require.NoError(t, err)
	return c
}

func TestChancesTellTheSureFromTheOpen(t *testing.T) {
	r := read(
		"kkmmmoook",
		"kkmmooook",
		"kkkmmoo.o",
		"kkmommoo.")
	for _, rule := range []shortlist.Rule{plain, calibrated} {
		c := mustChances(t, r, numbers(9), 3, rule)
		require.Len(t, c, 9)
		require.Greater(t, c[0].Share, .95, "all said keep")
		require.Less(t, c[6].Share, .05, "all said out")
		require.Greater(t, c[2].Share, .2, "at the cut")
		require.Less(t, c[2].Share, .95)
		require.Equal(t, c, mustChances(t, r, numbers(9), 3, rule), "the seed repeats it")
	}
}

func TestChancesShareThePlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, entries := randomReadings(t)
		size := rapid.IntRange(1, 5).Draw(t, "size")
		c, err := shortlist.Chances(r, entries, size, rapid.SampledFrom([]shortlist.Rule{plain, calibrated}).Draw(t, "rule"), 20, [32]byte{})
		require.NoError(t, err)
		if c == nil {
			return
		}
		s := mustCut(t, r, entries, size, plain)
		withReading, sum := 0, 0.
		for _, l := range s.Lines {
			if l.Readings > 0 {
				withReading++
			}
		}
		for _, x := range c {
			require.True(t, x.Share >= 0 && x.Share <= 1)
			sum += x.Share
		}
		require.InDelta(t, float64(min(size, withReading)), sum, 1e-6)
	})
}

func TestOneReaderTellsNoChances(t *testing.T) {
	require.Nil(t, mustChances(t, read("kom"), numbers(3), 1, plain))
	require.Nil(t, mustChances(t, nil, numbers(3), 1, plain))
}

// A reader's constant strictness changes no rank of the calibrated list. Marks
// end at keep and out, so the check shifts between out/maybe and maybe/keep.
func TestAStricterReaderChangesNoRank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, entries := randomReadings(t)
		strict := int64(rapid.IntRange(51, 55).Draw(t, "who"))
		var low, high []shortlist.Reading
		for _, x := range r {
			if x.Reader == strict {
				x.Mark = min(x.Mark, shortlist.Maybe)
				low = append(low, x)
				x.Mark++
				high = append(high, x)
				continue
			}
			low, high = append(low, x), append(high, x)
		}
		a, b := mustCut(t, low, entries, 3, calibrated), mustCut(t, high, entries, 3, calibrated)
		if a.Groups > 1 || a.Used == shortlist.Plain {
			return // groups are levelled, not compared
		}
		at := map[int64]float64{}
		for _, l := range b.Lines {
			at[l.Entry] = l.Score
		}
		for n, l := range a.Lines {
			if n > 0 && l.Readings > 0 {
				gap, after := a.Lines[n-1].Score-l.Score, at[a.Lines[n-1].Entry]-at[l.Entry]
				require.InDelta(t, gap, after, 1e-9)
			}
		}
	})
}

func TestDrift(t *testing.T) {
	all := read("kkmmookmokmokmokmoko")
	for k := range byte(10) {
		chosen := shortlist.Repeats(all, 6, [32]byte{k})
		require.Len(t, chosen, 6)
		byMark := map[shortlist.Mark]int{}
		for _, e := range chosen {
			require.LessOrEqual(t, e, int64(10), "from the first half")
			byMark[all[e-1].Mark]++
		}
		require.Equal(t, map[shortlist.Mark]int{shortlist.Keep: 2, shortlist.Maybe: 2, shortlist.Out: 2}, byMark)
	}
	require.Len(t, shortlist.Repeats(all[:4], 6, [32]byte{}), 2, "no more than the first half holds")
	require.Empty(t, shortlist.Repeats(nil, 6, [32]byte{}))

	d := shortlist.Compare(read("kkmmoo"), read("kmoooo"))
	require.Equal(t, []int{6, 3, 0, 3}, []int{d.Repeats, d.Same, d.Up, d.Down})
	require.InDelta(t, -.5, d.Shift, 1e-12)
	require.Equal(t, []int64{2, 3, 4}, d.Changed)
	require.Equal(t, "Recipes shown twice: 6. The same mark both times: 3.", d.Words[0].String())
	require.Contains(t, d.Words[1].String(), "stricter")
	require.Equal(t, []string{"No recipe has been read twice yet."}, said(shortlist.Compare(nil, nil).Words))
}

func TestShortlistAsJSON(t *testing.T) {
	s := mustCut(t, read("komkm", "kkmo."), numbers(6), 3, calibrated)
	b, err := json.Marshal(s)
	require.NoError(t, err)
	var back shortlist.Shortlist
	require.NoError(t, json.Unmarshal(b, &back))
	require.Equal(t, s.Words, back.Words)
	require.Equal(t, s.Chosen(), back.Chosen())

	var r shortlist.Reading
	require.NoError(t, json.Unmarshal([]byte(`{"entry":1,"reader":2,"mark":"maybe"}`), &r))
	require.Equal(t, shortlist.Maybe, r.Mark)
	require.ErrorIs(t, json.Unmarshal([]byte(`{"mark":"perhaps"}`), &r), shortlist.ErrMark)
	_, err = json.Marshal(shortlist.Reading{Mark: 7})
	require.ErrorIs(t, err, shortlist.ErrMark)
}

func TestBadRulesAndSizes(t *testing.T) {
	_, err := shortlist.Cut(nil, numbers(2), 0, plain)
	require.ErrorIs(t, err, shortlist.ErrSize)
	_, err = shortlist.Cut(nil, numbers(2), 1, shortlist.Rule{Kind: "guess", AtCut: shortlist.TakeAll})
	require.ErrorContains(t, err, "guess")
	_, err = shortlist.Cut([]shortlist.Reading{{Entry: 1, Mark: 9}}, numbers(2), 1, plain)
	require.ErrorIs(t, err, shortlist.ErrMark)
	require.ErrorIs(t, calibrated.Fits(2), shortlist.ErrCalibrate)
	require.NoError(t, calibrated.Fits(3))
	s := mustCut(t, []shortlist.Reading{{Entry: 77, Mark: shortlist.Keep}}, numbers(2), 1, plain)
	require.Empty(t, s.Chosen(), "a withdrawn entry's readings do not count")
}
