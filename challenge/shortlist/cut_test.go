package shortlist_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/shortlist"
	"fairladle/challenge/wording"
)

var (
	plain      = shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeDraw}
	calibrated = shortlist.Rule{Kind: shortlist.Calibrated, AtCut: shortlist.TakeDraw}
)

// read makes readings from one string per reader: k, m, o, and a dot for an
// entry not read. Entries count from 1, readers from 51.
func read(readers ...string) []shortlist.Reading {
	var all []shortlist.Reading
	for j, marks := range readers {
		for e, m := range marks {
			if m != '.' {
				mark := map[rune]shortlist.Mark{'k': shortlist.Keep, 'm': shortlist.Maybe, 'o': shortlist.Out}[m]
				all = append(all, shortlist.Reading{Entry: int64(e + 1), Reader: int64(51 + j), Mark: mark})
			}
		}
	}
	return all
}

func numbers(n int) []int64 {
	ids := make([]int64, n)
	for k := range ids {
		ids[k] = int64(k + 1)
	}
	return ids
}

func mustCut(t require.TestingT, r []shortlist.Reading, entries []int64, size int, rule shortlist.Rule) shortlist.Shortlist {
	s, err := shortlist.Cut(r, entries, size, rule)
	require.NoError(t, err)
	return s
}

func TestOneReader(t *testing.T) {
	s := mustCut(t, read("komkm"), numbers(6), 3, plain)
	require.Equal(t, []int64{1, 4}, s.Chosen())
	require.Equal(t, []int64{3, 5}, s.Undecided, "two maybes for one place")
	require.Equal(t, 1, s.Places)
	require.Equal(t, []int64{3, 5}, s.Near)
	require.Empty(t, s.Readers, "no statistics before three readers")
	require.Equal(t, "By the marks, 2 of 6 recipes are on the shortlist.", s.Words[0].String())
	require.Equal(t, "Level where the places end: 2; places left: 1. A recorded draw decides.", s.Words[1].String())
	require.Equal(t, "One recipe has no reading yet and cannot be in by its marks.", s.Words[2].String())
	require.Equal(t, "The one reader said keep.", s.Lines[0].Reason.String())

	require.Equal(t, []int64{1, 4, 5}, s.Drawn([]int64{5, 3}).Chosen())
	require.Equal(t, []int64{1, 4, 3}, s.Drawn([]int64{9, 3}).Chosen(), "who left is passed over")
	require.Equal(t, []int64{1, 4}, s.Drawn(nil).Chosen())
	require.Empty(t, s.Drawn(nil).Undecided)

	all := mustCut(t, read("komkm"), numbers(6), 3, shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeAll})
	require.Equal(t, []int64{1, 4, 3, 5}, all.Chosen())
	none := mustCut(t, read("komkm"), numbers(6), 3, shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeNone})
	require.Equal(t, []int64{1, 4}, none.Chosen())
}

func TestCalibrationUndoesAStrictReader(t *testing.T) {
	// Reader 53 says out where the others say maybe and maybe where they say
	// keep. Entry 5 met readers 51 and 53, entry 6 readers 51 and 52.
	r := read(
		"kkmmmk",
		"kkmm.m",
		"mmoom.")
	s := mustCut(t, r, numbers(6), 3, calibrated)
	byEntry := map[int64]shortlist.Line{}
	for _, l := range s.Lines {
		byEntry[l.Entry] = l
	}
	require.Less(t, byEntry[5].Plain, byEntry[6].Plain)
	require.Greater(t, byEntry[5].Score, byEntry[5].Plain)
	require.Contains(t, byEntry[5].Reason.String(), "stricter")
	require.Less(t, s.Readers[2].Effect, -.3)
	require.Equal(t, 1, s.Groups)
}

func TestGroupsAreNamed(t *testing.T) {
	s := mustCut(t, read("kom...", "kom...", "kom...", "...kom", "...kom"), numbers(6), 2, calibrated)
	require.Equal(t, 2, s.Groups)
	require.Contains(t, s.Words[1].String(), "cannot be compared")
	require.Equal(t, []int64{1, 4}, s.Chosen())
}

func randomReadings(t *rapid.T) (r []shortlist.Reading, entries []int64) {
	n, readers := rapid.IntRange(1, 12).Draw(t, "entries"), rapid.IntRange(1, 5).Draw(t, "readers")
	for e := range n {
		for j := range readers {
			if rapid.Bool().Draw(t, "read") {
				r = append(r, shortlist.Reading{Entry: int64(e + 1), Reader: int64(51 + j), Mark: shortlist.Mark(rapid.IntRange(0, 2).Draw(t, "mark"))})
			}
		}
	}
	return r, numbers(n)
}

func TestCutAlwaysAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, entries := randomReadings(t)
		size := rapid.IntRange(1, 13).Draw(t, "size")
		rule := rapid.SampledFrom([]shortlist.Rule{plain, calibrated}).Draw(t, "rule")
		s := mustCut(t, r, entries, size, rule)
		require.Len(t, s.Lines, len(entries))
		withReading := 0
		for _, l := range s.Lines {
			require.Equal(t, l.Readings, l.Keep+l.Maybe+l.Out)
			if l.Readings > 0 {
				withReading++
			} else {
				require.False(t, l.In)
			}
			require.False(t, l.Reason.IsZero())
			require.False(t, math.IsNaN(l.Score) || math.IsNaN(l.SE))
		}
		require.Equal(t, min(size, withReading), len(s.Chosen())+s.Places)
		shuffled := mustCut(t, rapid.Permutation(r).Draw(t, "shuffled"), entries, size, rule)
		require.Equal(t, s, shuffled, "the order in which readings come in changes nothing")
	})
}

func TestTwoReadersGetPlainMeans(t *testing.T) {
	s := mustCut(t, read("kommk", "kmoo."), numbers(5), 2, calibrated)
	require.Equal(t, shortlist.Plain, s.Used)
	require.Empty(t, s.Readers)
	require.Contains(t, s.Words[1].String(), "Fewer than three readers share recipes")
	for _, l := range s.Lines {
		require.Equal(t, l.Plain, l.Score)
		require.Zero(t, l.SE)
	}
	three := mustCut(t, read("kommk", "kmoo.", "kkooo"), numbers(5), 2, calibrated)
	require.Equal(t, shortlist.Calibrated, three.Used)
	require.Len(t, three.Readers, 3)
}

// Groups that nothing links are levelled: lenient readers lift nobody.
func TestGroupsAreLevelled(t *testing.T) {
	s := mustCut(t, read("mmo...", "moo...", "mmo...", "...kkm", "...kmm", "...kkm"), numbers(6), 2, calibrated)
	require.Equal(t, 2, s.Groups)
	byEntry := map[int64]shortlist.Line{}
	for _, l := range s.Lines {
		byEntry[l.Entry] = l
	}
	for e := range int64(3) {
		require.InDelta(t, byEntry[e+1].Score, byEntry[e+4].Score, 1e-9, "one step above is the same entry for other readers")
	}
	require.ElementsMatch(t, []int64{1, 4}, s.Chosen())
}

func TestNearTheCut(t *testing.T) {
	s := mustCut(t, read("kkkkkoo", "kkkmmmo", "kkm.mko"), numbers(7), 3, plain)
	require.NotContains(t, s.Near, int64(1), "sure")
	require.NotContains(t, s.Near, int64(7), "sure")
	require.Contains(t, s.Near, int64(3))
	require.Contains(t, s.Near, int64(4))
	require.Equal(t, int64(4), s.Near[0], "the fewest readings first")
	byEntry := map[int64]shortlist.Line{}
	for _, l := range s.Lines {
		byEntry[l.Entry] = l
	}
	border, reach, byError := (s.Lines[2].Score+s.Lines[3].Score)/2, (s.Lines[2].Score-s.Lines[3].Score)/2, 0
	for _, e := range numbers(7) {
		distance := math.Abs(byEntry[e].Score - border)
		near := distance <= max(byEntry[e].SE, reach)+1e-9
		require.Equal(t, near, slices.Contains(s.Near, e), "entry %d", e)
		if near && distance > reach+1e-9 {
			byError++
		}
	}
	require.Positive(t, byError, "an entry further off than the last one in, but not sure either")
	require.Empty(t, mustCut(t, read("kkm"), numbers(3), 3, plain).Near, "all are in")
}

// What the other score would change is what the other shortlist holds, but for
// entries that wait for a draw on either.
func TestWhatTheOtherScoreWouldChange(t *testing.T) {
	differ := 0
	rapid.Check(t, func(t *rapid.T) {
		r, entries := randomReadings(t)
		size := rapid.IntRange(1, 6).Draw(t, "size")
		s, other := mustCut(t, r, entries, size, calibrated), mustCut(t, r, entries, size, plain)
		if s.Instead == nil {
			require.Nil(t, other.Instead)
			require.Equal(t, shortlist.Plain, s.Used)
			return
		}
		require.Equal(t, shortlist.Plain, s.Instead.Kind)
		require.Equal(t, shortlist.Calibrated, other.Instead.Kind)
		var in, out []int64
		for _, e := range entries {
			a, b := slices.Contains(s.Chosen(), e), slices.Contains(other.Chosen(), e)
			switch {
			case slices.Contains(s.Undecided, e) || slices.Contains(other.Undecided, e):
			case b && !a:
				in = append(in, e)
			case a && !b:
				out = append(out, e)
			}
		}
		require.ElementsMatch(t, in, s.Instead.In)
		require.ElementsMatch(t, out, s.Instead.Out)
		require.ElementsMatch(t, in, other.Instead.Out)
		require.ElementsMatch(t, out, other.Instead.In)
		differ += len(in) + len(out)
	})
	require.Positive(t, differ)
}

func TestARuleInWords(t *testing.T) {
	require.Equal(t, []string{"Leave out counts 0, maybe 1, keep 2. A recipe's score is the mean of its marks.",
		"Of recipes with the same score, more keeps come first, then fewer marks to leave out.",
		"For those still level where the places end a recorded draw decides."}, said(plain.Words()))
	require.Contains(t, calibrated.Words()[0].String(), "least squares")
	require.Contains(t, shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeAll}.Words()[2].String(), "all come in.")
	require.Contains(t, weighted.Words()[0].String(), "(taste ×3 and idea ×1)")
}

func said(words []wording.Sentence) []string {
	var out []string
	for _, w := range words {
		out = append(out, w.String())
	}
	return out
}

var weighted = shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeNone,
	Criteria: []shortlist.Criterion{{Name: "taste", Weight: 3}, {Name: "idea", Weight: 1}}}

func TestCriteriaMakeTheMark(t *testing.T) {
	for _, c := range []struct {
		answers []int
		mark    shortlist.Mark
		score   float64
	}{
		{[]int{0, 0}, shortlist.Out, 0}, {[]int{0, 2}, shortlist.Out, .5}, {[]int{1, 0}, shortlist.Maybe, .75},
		{[]int{1, 2}, shortlist.Maybe, 1.25}, {[]int{2, 0}, shortlist.Keep, 1.5}, {[]int{2, 2}, shortlist.Keep, 2},
	} {
		mark, score, err := weighted.Score(c.answers)
		require.NoError(t, err)
		require.Equal(t, c.mark, mark, "%v", c.answers)
		require.InDelta(t, c.score, score, 1e-12)
	}
	for _, bad := range [][]int{nil, {1}, {1, 2, 0}, {3, 0}, {-1, 0}} {
		_, _, err := weighted.Score(bad)
		require.ErrorIs(t, err, shortlist.ErrCriteria)
	}
	_, _, err := plain.Score(nil)
	require.ErrorIs(t, err, shortlist.ErrCriteria)
	require.ErrorIs(t, shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeAll, Criteria: []shortlist.Criterion{{Name: "x"}}}.Check(), shortlist.ErrCriteria)
	require.NoError(t, weighted.Check())
}

// Two entries with the same mark are parted by their criteria.
func TestScoresOfCriteriaRank(t *testing.T) {
	r := read("kkm")
	r[0].Score, r[1].Score = new(1.5), new(1.75)
	s := mustCut(t, r, numbers(3), 1, plain)
	require.Equal(t, []int64{2}, s.Chosen())
	require.Equal(t, 1.75, s.Lines[0].Score)
	require.Equal(t, 1.0, s.Lines[2].Score, "without criteria the mark is the score")
}
