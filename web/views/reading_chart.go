package views

import (
	"context"
	"fmt"
	"strings"
	"time"
)

// A PaceChart is how a reader's marks came: the time along, the marks up.
// Pauses are left out, so that an evening and its second half join.
type PaceChart struct {
	Path    string // empty where there is too little to draw
	Marks   int
	Minutes int // of reading
	First   time.Duration
	Second  time.Duration // the usual time for a recipe in each half; 0 unknown
}

// longestGap is from where on the time between two marks is a pause: the same
// as for the pace.
const longestGap = 10 * time.Minute

// NewPaceChart draws the moments of marks, in their order.
func NewPaceChart(times []time.Time) PaceChart {
	c := PaceChart{Marks: len(times)}
	if len(times) < 10 {
		return c
	}
	at := make([]time.Duration, len(times))
	for i := 1; i < len(times); i++ {
		gap := times[i].Sub(times[i-1])
		if gap > longestGap {
			gap = 0
		}
		at[i] = at[i-1] + gap
	}
	total := at[len(at)-1]
	if total == 0 {
		return c
	}
	half := len(at) / 2
	c.Minutes = max(1, int(total.Round(time.Minute).Minutes()))
	c.First, c.Second = at[half]/time.Duration(half), (total-at[half])/time.Duration(len(at)-1-half)
	var b strings.Builder
	fmt.Fprint(&b, "M30 100")
	for i, x := range at {
		fmt.Fprintf(&b, " L%.1f %.1f", 30+284*x.Seconds()/total.Seconds(), 100-92*float64(i+1)/float64(len(at)))
	}
	c.Path = b.String()
	return c
}

func (c PaceChart) words(ctx context.Context) string {
	return t(ctx, "%v marks in %v of reading, pauses left out. In the first half about %v for a recipe, in the second about %v.",
		c.Marks, voice(ctx).Minutes(c.Minutes), paceText(ctx, c.First), paceText(ctx, c.Second))
}

// A CoverageChart is how many entries have how many readings.
type CoverageChart struct {
	Counts []int
	Bars   []CoverageBar
	Height float64
}

// A CoverageBar is the entries with as many readings.
type CoverageBar struct {
	Readings, Entries int
	Y, Width          float64
}

// NewCoverageChart lays out counts[n], the entries with n readings.
func NewCoverageChart(counts []int) CoverageChart {
	c := CoverageChart{Counts: counts}
	most := 1
	for _, entries := range counts {
		most = max(most, entries)
	}
	for readings, entries := range counts {
		if entries > 0 {
			c.Bars = append(c.Bars, CoverageBar{readings, entries, 4 + 24*float64(len(c.Bars)), 160 * float64(entries) / float64(most)})
		}
	}
	c.Height = 8 + 24*float64(len(c.Bars))
	return c
}
