package season

import (
	"cmp"
	"slices"
)

// An Entry is what is public of one recipe in one challenge of the season.
type Entry struct {
	Challenge int // its place in the season, from 0
	Number    int // of the entry
	Title     string
	// Who holds entries of one person together; empty for an entry whose author
	// is not named, which then stands by itself.
	Who       string
	Name      string // as agreed; empty for none
	Place     int    // in the final result, 0 for none
	Finalist  bool
	Drawn     bool
	Published bool
}

// Points of an entry by the rule. Entries that share a place get its points
// each.
func (r Rule) Points(e Entry) (n int) {
	if e.Place > 0 && e.Place <= len(r.Places) {
		n += r.Places[e.Place-1]
	}
	for _, x := range []struct {
		has bool
		n   int
	}{{e.Finalist, r.Finalist}, {e.Drawn, r.Drawn}, {e.Published, r.Published}} {
		if x.has {
			n += x.n
		}
	}
	return n
}

// A Line of standings is one person, or one entry of somebody who is not
// named.
type Line struct {
	Rank    int // 1 is first; level lines share a rank
	Name    string
	Points  int
	Entries []Scored // in the order of the season
}

// A Scored is an entry with its points. One that does not count is beyond the
// best so many.
type Scored struct {
	Entry
	Points int
	Counts bool
}

// Standings orders everyone who has a point, most points first. Level points
// are parted by the better places: who has more first places, then more second
// ones, and so on (counting back, common practice, no source).
func Standings(r Rule, entries []Entry) []Line {
	var lines []Line
	at := map[string]int{}
	for _, e := range entries {
		i, known := at[e.Who]
		if !known || e.Who == "" {
			i = len(lines)
			lines = append(lines, Line{Name: e.Name})
			at[e.Who] = i
		}
		lines[i].Entries = append(lines[i].Entries, Scored{Entry: e, Points: r.Points(e)})
	}
	for i := range lines {
		lines[i].count(r)
	}
	lines = slices.DeleteFunc(lines, func(l Line) bool { return l.Points == 0 })
	slices.SortStableFunc(lines, func(a, b Line) int {
		return cmp.Or(a.ahead(b), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Entries[0].Challenge, b.Entries[0].Challenge), cmp.Compare(a.Entries[0].Number, b.Entries[0].Number))
	})
	for i := range lines {
		lines[i].Rank = i + 1
		if i > 0 && lines[i].ahead(lines[i-1]) == 0 {
			lines[i].Rank = lines[i-1].Rank
		}
	}
	return lines
}

// count adds up a line's points. A challenge counts by all of a person's
// entries in it.
func (l *Line) count(r Rule) {
	slices.SortStableFunc(l.Entries, func(a, b Scored) int {
		return cmp.Or(cmp.Compare(a.Challenge, b.Challenge), cmp.Compare(a.Number, b.Number))
	})
	sums := map[int]int{}
	for _, e := range l.Entries {
		sums[e.Challenge] += e.Points
	}
	var order []int
	for c := range sums {
		order = append(order, c)
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(sums[b], sums[a]), cmp.Compare(a, b)) })
	if r.BestOf > 0 {
		order = order[:min(len(order), r.BestOf)]
	}
	for _, c := range order {
		l.Points += sums[c]
	}
	for i := range l.Entries {
		l.Entries[i].Counts = slices.Contains(order, l.Entries[i].Challenge)
	}
}

// ahead compares two lines: negative where l stands before other.
func (l Line) ahead(other Line) int {
	if l.Points != other.Points {
		return other.Points - l.Points
	}
	a, b := l.places(), other.places()
	for place := 1; place <= MaxPlaces; place++ {
		if a[place] != b[place] {
			return b[place] - a[place]
		}
	}
	return 0
}

// places counts how often each place was reached in what counts.
func (l Line) places() map[int]int {
	n := map[int]int{}
	for _, e := range l.Entries {
		if e.Counts && e.Place > 0 {
			n[e.Place]++
		}
	}
	return n
}
