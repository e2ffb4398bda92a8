package views

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
	"fairladle/store"
)

type CutPage struct {
	Frame       Frame
	Base        string
	Desk        string
	Round       challenge.Round
	Cut         store.Cut
	Drift       shortlist.Drift // the host's own
	Corrections []store.Correction
	Messages    Messages
}

func readerName(ctx context.Context, reader int64, name string) string {
	if reader == 0 {
		return t(ctx, "You, the host")
	}
	if name == "" {
		return t(ctx, "A reader who left")
	}
	return name
}

// charted is how many entries a chart of the field shows: as many as can be
// told apart.
const charted = 240

// The drawing area of the field chart, in the units of its view box.
const (
	fieldWidth, fieldHeight = 720.0, 260.0
	fieldLeft, fieldTop     = 66.0, 12.0
	fieldRight, fieldBottom = 712.0, 228.0
	lowScore, highScore     = -0.3, 2.3
)

// A FieldChart is the field as a picture: every entry read so far, the best at
// the left, with its standard error, and the line of the cut.
type FieldChart struct {
	Points []Point
	CutX   float64 // 0 where there is none
	Grid   []GridLine
	Left   int // entries with a reading that the picture has no room for
	Read   int
	Over   int
	Close  int // entries whose standard error reaches over the cut
}

type Point struct {
	X, Y, Low, High float64 // Low and High are equal without a standard error
	Number          int
	In, Chosen      bool
}

type GridLine struct {
	Y    float64
	Name string
}

func fieldY(score float64) float64 {
	s := min(max(score, lowScore), highScore)
	return fieldBottom - (s-lowScore)/(highScore-lowScore)*(fieldBottom-fieldTop)
}

// NewFieldChart lays out the lines of a cut.
func NewFieldChart(lines []store.CutLine) FieldChart {
	var c FieldChart
	var read []store.CutLine
	for _, l := range lines {
		if l.Readings > 0 {
			read = append(read, l)
		}
	}
	c.Read, c.Left = len(read), max(0, len(read)-charted)
	shown := read[:len(read)-c.Left]
	step := (fieldRight - fieldLeft) / float64(max(len(shown), 1))
	over, under := math.Inf(1), math.Inf(-1)
	for i, l := range read {
		if l.In {
			c.Over++
			over = min(over, l.Score)
		} else {
			under = max(under, l.Score)
		}
		if i >= len(shown) {
			continue
		}
		x := fieldLeft + step*(float64(i)+.5)
		c.Points = append(c.Points, Point{X: x, Y: fieldY(l.Score), Low: fieldY(l.Score - l.SE), High: fieldY(l.Score + l.SE),
			Number: l.Dish.Number, In: l.In, Chosen: l.Chosen})
	}
	if c.Over > 0 && c.Over < len(read) {
		line := (over + under) / 2
		for _, l := range read {
			if l.SE > 0 && math.Abs(l.Score-line) <= l.SE {
				c.Close++
			}
		}
		if c.Over < len(shown) {
			c.CutX = fieldLeft + step*float64(c.Over)
		}
	}
	for score, name := range []string{"leave out", "maybe", "keep"} {
		c.Grid = append(c.Grid, GridLine{fieldY(float64(score)), name})
	}
	return c
}

// words are the chart for those who do not see it.
func (c FieldChart) words(ctx context.Context) string {
	s := n(ctx, c.Read, "One recipe has a mark.", "%v recipes have marks; the best stand at the left.")
	if c.Over > 0 {
		s += " " + n(ctx, c.Over, "By the marks, one comes in.", "By the marks, %v come in.")
	}
	if c.Close > 0 {
		s += " " + n(ctx, c.Close, "One lies so close to the line that its marks cannot tell on which side it belongs.",
			"%v lie so close to the line that their marks cannot tell on which side they belong.")
	}
	if c.Left > 0 {
		s += " " + n(ctx, c.Left, "One further down is not drawn.", "%v further down are not drawn.")
	}
	return s
}

func px(x float64) string { return fmt.Sprintf("%.1f", x) }

// chanceText writes how often an entry would be in: a whole number of hundred.
func chanceText(ctx context.Context, share float64) string {
	switch p := int(math.Round(share * 100)); {
	case share < 0:
		return ""
	case p == 0:
		return t(ctx, "almost never")
	case p == 100:
		return t(ctx, "almost always")
	default:
		return t(ctx, "%v in 100", p)
	}
}

// strictText says how a reader marks, in the readers' own steps.
func strictText(ctx context.Context, x store.ReaderStrictness) string {
	switch {
	case x.SE > 0 && math.Abs(x.Effect) < 2*x.SE || x.Effect == 0:
		return t(ctx, "about like the others")
	case x.Effect < 0:
		return t(ctx, "stricter by %v of a step", fmt.Sprintf("%.2f", -x.Effect))
	}
	return t(ctx, "kinder by %v of a step", fmt.Sprintf("%.2f", x.Effect))
}

// strictBar is the bar of a reader around the middle of a 200 wide picture.
func strictBar(effect float64) (x, width float64) {
	w := min(math.Abs(effect), 1) * 96
	if effect < 0 {
		return 100 - w, w
	}
	return 100, w
}

// coverage says how many entries have how many readings.
func coverage(ctx context.Context, counts []int) string {
	var parts []string
	for readings, entries := range counts {
		if entries > 0 {
			parts = append(parts, t(ctx, "%v with %v", voice(ctx).Number(entries), n(ctx, readings, "one reading", "%v readings")))
		}
	}
	return t(ctx, "Recipes: %v.", strings.Join(parts, ", "))
}

func numbersOf(ds []store.Dish) string {
	var ns []string
	for _, d := range ds {
		ns = append(ns, itoa(d.Number))
	}
	return strings.Join(ns, ", ")
}

func reasonKey(l store.CutLine) string { return fmt.Sprintf("reason-%d", l.Entry) }

func onKey(l store.CutLine) string { return fmt.Sprintf("on-%d", l.Entry) }
