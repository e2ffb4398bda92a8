package draw

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The figures to stay under, on slow hardware too: freezing a roster of 100,000
// within 2 s, verifying its record within 2 s, an inclusion proof within 1 ms.

func BenchmarkFreeze100000(b *testing.B) {
	roster := rosterUpTo(MaxEntries)
	for b.Loop() {
		require.NoError(b, roster.Check())
		p := dicePlan(3, 20, 20).Freeze(roster, moment(10))
		require.NoError(b, p.Check())
	}
}

func BenchmarkBuild100000(b *testing.B) {
	p, roster, events := largeDraw()
	pins := pinsFor(b, p, roster, events)
	for b.Loop() {
		_, err := Build(p, roster, events, pins)
		require.NoError(b, err)
	}
}

func BenchmarkVerify100000(b *testing.B) {
	p, roster, events := largeDraw()
	doc := build(b, p, roster, events...)
	b.ReportMetric(float64(len(doc))/1e6, "MB")
	for b.Loop() {
		report := Verify(doc, Options{})
		require.True(b, report.Holds(), report.First())
	}
}

func BenchmarkRosterInclusion100000(b *testing.B) {
	roster := rosterUpTo(MaxEntries)
	tree, extent := roster.Tree(), roster.Extent()
	for b.Loop() {
		p, err := tree.Inclusion(77_777)
		require.NoError(b, err)
		require.NoError(b, VerifyTicket(roster[77_777], 77_777, p, extent))
	}
}

func BenchmarkWholeOrder100000(b *testing.B) {
	roster := rosterUpTo(MaxEntries)
	p := seedsPlan(MaxEntries, "host", "judge").Freeze(roster, moment(10))
	events := []Event{
		commitEvent(p, 1, "host", "a"), commitEvent(p, 2, "judge", "b"),
		revealEvent(3, "host", "a"), revealEvent(4, "judge", "b"),
	}
	for b.Loop() {
		s, err := Replay(p, roster, events)
		require.NoError(b, err)
		require.Len(b, s.Result, MaxEntries)
	}
}

// largeDraw fills three places from 100,000 entries with four throws of a
// twenty-sided die for each.
func largeDraw() (Plan, Roster, []Event) {
	roster := rosterUpTo(MaxEntries)
	p := dicePlan(3, 20).Freeze(roster, moment(10))
	var events []Event
	for i := range 12 {
		events = append(events, rollEvent(i+1, 1+i/4, 1+(i*7)%12))
	}
	return p, roster, events
}
