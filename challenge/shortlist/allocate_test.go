package shortlist_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/shortlist"
)

func readersFrom51(n int) []int64 {
	ids := make([]int64, n)
	for k := range ids {
		ids[k] = int64(51 + k)
	}
	return ids
}

func mustAllocate(t require.TestingT, r shortlist.Request) shortlist.Plan {
	p, err := shortlist.Allocate(r)
	require.NoError(t, err)
	return p
}

func loads(p shortlist.Plan) (fewest, most int) {
	fewest = p.Lists[0].Load
	for _, l := range p.Lists {
		fewest, most = min(fewest, l.Load), max(most, l.Load)
	}
	return fewest, most
}

func TestLoadsDifferByAtMostOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, readers := rapid.IntRange(0, 40).Draw(t, "entries"), rapid.IntRange(1, 9).Draw(t, "readers")
		per := rapid.IntRange(1, readers).Draw(t, "per entry")
		p := mustAllocate(t, shortlist.Request{Entries: numbers(n), Readers: readersFrom51(readers), PerEntry: per,
			Seed: [32]byte{rapid.Byte().Draw(t, "seed")}})
		fewest, most := loads(p)
		require.LessOrEqual(t, most-fewest, 1)
		require.Empty(t, p.Short)
		got := map[int64]int{}
		for _, l := range p.Lists {
			seen := map[int64]bool{}
			for _, e := range l.Entries {
				require.False(t, seen[e], "nobody gets an entry twice")
				seen[e] = true
				got[e]++
			}
		}
		for _, e := range numbers(n) {
			require.Equal(t, per, got[e])
		}
		if n >= readers && per >= 2 {
			require.True(t, p.Connected)
		}
	})
}

func TestExclusionsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, readers := rapid.IntRange(1, 30).Draw(t, "entries"), rapid.IntRange(2, 7).Draw(t, "readers")
		var excluded []shortlist.Pair
		barred := map[shortlist.Pair]bool{}
		for range rapid.IntRange(0, 20).Draw(t, "exclusions") {
			p := shortlist.Pair{Entry: int64(rapid.IntRange(1, n).Draw(t, "e")), Reader: int64(rapid.IntRange(51, 50+readers).Draw(t, "r"))}
			excluded = append(excluded, p)
			barred[p] = true
		}
		per := rapid.IntRange(1, readers).Draw(t, "per entry")
		plan := mustAllocate(t, shortlist.Request{Entries: numbers(n), Readers: readersFrom51(readers), PerEntry: per, Excluded: excluded})
		got := map[int64]int{}
		for _, l := range plan.Lists {
			for _, e := range l.Entries {
				require.False(t, barred[shortlist.Pair{Entry: e, Reader: l.Reader}])
				got[e]++
			}
		}
		short := map[int64]int{}
		for _, s := range plan.Short {
			short[s.Entry] = s.Missing
		}
		for _, e := range numbers(n) {
			free := readers
			for _, r := range readersFrom51(readers) {
				if barred[shortlist.Pair{Entry: e, Reader: r}] {
					free--
				}
			}
			require.Equal(t, min(per, free), got[e])
			require.Equal(t, per-min(per, free), short[e])
		}
	})
}

func TestNothingDoneIsLostOrAskedAgain(t *testing.T) {
	first := mustAllocate(t, shortlist.Request{Entries: numbers(30), Readers: readersFrom51(5), PerEntry: 3, Seed: [32]byte{1}})
	var done []shortlist.Pair
	for _, l := range first.Lists {
		for _, e := range l.Entries[:6] {
			done = append(done, shortlist.Pair{Entry: e, Reader: l.Reader})
		}
	}
	// Reader 55 drops out, 61 joins, three entries come late.
	second := mustAllocate(t, shortlist.Request{Entries: numbers(33), Readers: []int64{51, 52, 53, 54, 61}, PerEntry: 3, Done: done, Seed: [32]byte{2}})
	got := map[int64]int{}
	was := map[shortlist.Pair]bool{}
	for _, p := range done {
		got[p.Entry]++
		was[p] = true
	}
	for _, l := range second.Lists {
		for _, e := range l.Entries {
			got[e]++
			require.False(t, was[shortlist.Pair{Entry: e, Reader: l.Reader}])
		}
	}
	for _, e := range numbers(33) {
		require.Equal(t, 3, got[e])
	}
	fewest, most := loads(second)
	require.LessOrEqual(t, most-fewest, 1)
	require.True(t, second.Connected)
}

func TestSmallBalancedDesigns(t *testing.T) {
	for _, c := range []struct{ readers, per, entries, shared int }{
		{4, 3, 4, 2}, {7, 3, 7, 1}, {6, 3, 10, 2}, {5, 2, 10, 1}, {9, 3, 12, 1}, {5, 4, 5, 3}, {4, 2, 6, 1}, {7, 4, 7, 2},
	} {
		p := mustAllocate(t, shortlist.Request{Entries: numbers(c.entries), Readers: readersFrom51(c.readers), PerEntry: c.per})
		require.Equal(t, []int{c.shared, c.shared}, []int{p.FewestShared, p.MostShared}, "%+v", c)
	}
}

func TestBadRequests(t *testing.T) {
	_, err := shortlist.Allocate(shortlist.Request{Entries: numbers(3), PerEntry: 1})
	require.ErrorIs(t, err, shortlist.ErrNoReaders)
	_, err = shortlist.Allocate(shortlist.Request{Entries: numbers(3), Readers: readersFrom51(2), PerEntry: 3})
	require.ErrorIs(t, err, shortlist.ErrPerEntry)
	_, err = shortlist.Allocate(shortlist.Request{Entries: []int64{1, 1}, Readers: readersFrom51(2), PerEntry: 1})
	require.ErrorIs(t, err, shortlist.ErrListed)
}

// No entry waits at the end of everybody's list.
func TestPlacesAreSpread(t *testing.T) {
	p := mustAllocate(t, shortlist.Request{Entries: numbers(200), Readers: readersFrom51(6), PerEntry: 3, Seed: [32]byte{4}})
	sum, lists := map[int64]float64{}, map[string]bool{}
	for _, l := range p.Lists {
		for k, e := range l.Entries {
			sum[e] += (float64(k) + .5) / float64(len(l.Entries)) / 3
		}
		lists[fmt.Sprint(l.Entries)] = true
	}
	require.Len(t, lists, 6, "everybody has an order of his or her own")
	for e, mean := range sum {
		require.InDelta(t, .5, mean, .1, "entry %d", e)
	}
	require.Equal(t, p, mustAllocate(t, shortlist.Request{Entries: numbers(200), Readers: readersFrom51(6), PerEntry: 3, Seed: [32]byte{4}}), "the seed repeats it")
}

func TestAPlanInWords(t *testing.T) {
	p := mustAllocate(t, shortlist.Request{Entries: numbers(7), Readers: readersFrom51(7), PerEntry: 3})
	require.Equal(t, []string{"Each of the 7 readers has 3 recipes.",
		"Every two readers share one recipe, so that strict and lenient ones can be told apart."}, said(p.Words))
	p = mustAllocate(t, shortlist.Request{Entries: numbers(5), Readers: readersFrom51(2), PerEntry: 1})
	require.Equal(t, "Each of the 2 readers has 2 to 3 recipes.", p.Words[0].String())
	require.Contains(t, p.Words[1].String(), "share no recipe")
	p = mustAllocate(t, shortlist.Request{Entries: numbers(2), Readers: readersFrom51(2), PerEntry: 2,
		Excluded: []shortlist.Pair{{Entry: 1, Reader: 51}}})
	require.Contains(t, said(p.Words), "One recipe cannot get all of its readings, because no reader is left who may read it.")
	require.Equal(t, []string{"The one reader has 4 recipes."}, said(mustAllocate(t, shortlist.Request{Entries: numbers(4), Readers: readersFrom51(1), PerEntry: 1}).Words))
}

// Whoever read entries that were withdrawn since has done that work.
func TestReadingsOfWithdrawnEntriesCountForTheLoad(t *testing.T) {
	var done []shortlist.Pair
	for e := range int64(4) {
		done = append(done, shortlist.Pair{Entry: 900 + e, Reader: 51})
	}
	p := mustAllocate(t, shortlist.Request{Entries: numbers(5), Readers: readersFrom51(3), PerEntry: 1, Done: append(done, done...)})
	require.Equal(t, []int{4, 3, 2}, sortedLoads(p), "9 readings in all, 4 of them done by one reader")
	require.Empty(t, p.Lists[0].Entries)
}

func sortedLoads(p shortlist.Plan) []int {
	var l []int
	for _, list := range p.Lists {
		l = append(l, list.Load)
	}
	slices.Sort(l)
	slices.Reverse(l)
	return l
}
