package views

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fairladle/challenge/kitchen"
	"fairladle/web/text"
)

// A DayChart is one day's work drawn with time running down, because a phone
// and a sheet of paper are taller than wide: a column for each cook and each
// piece of equipment. Units are those of the drawing's view box.
type DayChart struct {
	Width, Height int
	Columns       []ChartColumn
	Hours         []ChartHour
	Boxes         []ChartBox
}

type ChartColumn struct {
	X, Width int
	Lines    []string
}

type ChartHour struct {
	Y    int
	Text string
}

type ChartBox struct {
	X, Y, Width, Height int
	Class               string
	Lines               []string
	Title               string
}

// Measures of the drawing.
const (
	chartLeft   = 40   // for the hours
	chartTop    = 34   // for the names of columns
	chartLeast  = 360  // a phone
	chartColumn = 66   // least width of a column
	chartTall   = 1150 // most height for a day
	chartMinute = 3.2  // height of a minute, where the day is short enough
	chartLine   = 12
	chartGlyph  = 5.9 // width of a letter
)

func newDayChart(v text.Voice, c kitchen.Chart, dishes []string) DayChart {
	columns := 0
	for _, l := range c.Lanes {
		columns += l.Rows
	}
	d := DayChart{Width: max(chartLeast, chartLeft+columns*chartColumn)}
	minutes := c.To.Sub(c.From).Minutes()
	scale := min(chartMinute, chartTall/max(1, minutes))
	d.Height = chartTop + int(minutes*scale) + 8
	if columns == 0 {
		return d
	}
	wide := (d.Width - chartLeft) / columns
	at := chartLeft
	for _, l := range c.Lanes {
		d.Columns = append(d.Columns, ChartColumn{X: at, Width: wide * l.Rows, Lines: chartLines(v.Say(l.Name), wide*l.Rows, 2)})
		for _, b := range l.Bars {
			d.Boxes = append(d.Boxes, chartBox(v, b, c, at+b.Level*wide, wide, dishes))
		}
		at += wide * l.Rows
	}
	step := time.Hour
	if minutes <= 150 {
		step = 30 * time.Minute
	}
	for h := c.From.Truncate(step); !h.After(c.To); h = h.Add(step) {
		if !h.Before(c.From) {
			d.Hours = append(d.Hours, ChartHour{Y: chartTop + int(h.Sub(c.From).Minutes()*scale), Text: h.Format("15:04")})
		}
	}
	return d
}

func chartBox(v text.Voice, b kitchen.Bar, c kitchen.Chart, x, wide int, dishes []string) ChartBox {
	minutes := c.To.Sub(c.From).Minutes()
	tall := min(chartMinute, chartTall/max(1, minutes)) * minutes
	box := ChartBox{X: x + 1, Y: chartTop + int(b.Left*tall), Width: wide - 3, Height: max(3, int(b.Width*tall)-1), Title: v.Clock(b.Start) + " " + v.Say(b.What)}
	classes := []string{"box", string(b.Kind)}
	label := v.Say(b.What)
	if l := dishLetter(dishes, b.Dish); l != "" {
		classes = append(classes, "dish-"+strings.ToLower(l))
		label = l + " " + label
	}
	if b.LookIn || b.Who == "" {
		classes = append(classes, "alone")
	}
	box.Class = strings.Join(classes, " ")
	box.Lines = chartLines(label, box.Width-6, (box.Height+2)/chartLine)
	return box
}

// chartLines breaks a name into lines that fit.
func chartLines(name string, wide, most int) []string {
	letters := int(float64(wide) / chartGlyph)
	var lines []string
	for _, w := range strings.Fields(name) {
		if n := len(lines); n > 0 && runes(lines[n-1])+1+runes(w) <= letters {
			lines[n-1] += " " + w
			continue
		}
		lines = append(lines, w)
	}
	if len(lines) > most {
		lines = lines[:max(0, most)]
	}
	for i, l := range lines {
		if r := []rune(l); len(r) > letters {
			lines[i] = string(r[:max(1, letters-1)]) + "…"
		}
	}
	return slices.Clip(lines)
}

func runes(s string) int { return len([]rune(s)) }

func (d DayChart) viewBox() string { return fmt.Sprintf("0 0 %d %d", d.Width, d.Height) }
