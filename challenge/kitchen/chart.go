package kitchen

import (
	"slices"
	"strings"
	"time"

	"fairladle/challenge/wording"
)

// Chart is the sheet as bars, for one day: lanes for the cooks, then for the
// equipment, in a fixed order.
type Chart struct {
	From, To time.Time // whole quarters of an hour around the day's work
	Lanes    []Lane
}

// Lane is one cook or one piece of equipment. Bars that overlap (two trays in
// one oven, two of four burners) stand on rows of their own.
type Lane struct {
	Name wording.Sentence
	Rows int
	Bars []Bar
}

// Bar is one row of the sheet, with its place from 0 to 1 along the chart.
type Bar struct {
	Row
	Left, Width float64
	Level       int // from 0
}

// Charts draws each day of the sheet.
func (s RunSheet) Charts() []Chart {
	byDay := map[string][]Row{}
	var days []string
	for _, r := range s.Rows {
		d := r.Start.Format(time.DateOnly)
		if byDay[d] == nil {
			days = append(days, d)
		}
		byDay[d] = append(byDay[d], r)
	}
	var charts []Chart
	for _, d := range days {
		charts = append(charts, chartOf(byDay[d]))
	}
	return charts
}

func chartOf(rows []Row) Chart {
	const quarter = 15 * time.Minute
	c := Chart{From: rows[0].Start.Truncate(quarter), To: rows[0].End()}
	for _, r := range rows {
		if r.End().After(c.To) {
			c.To = r.End()
		}
	}
	if t := c.To.Truncate(quarter); t.Before(c.To) {
		c.To = t.Add(quarter)
	}
	var people, things []string
	add := func(list *[]string, name string) {
		if name != "" && !slices.Contains(*list, name) {
			*list = append(*list, name)
		}
	}
	for _, r := range rows {
		add(&people, r.Who)
		add(&things, r.piece())
	}
	slices.Sort(people)
	slices.Sort(things)
	for _, name := range people {
		c.lane(wording.Name(name), rows, func(r Row) bool { return r.Who == name })
	}
	for _, name := range things {
		c.lane(Machine(name), rows, func(r Row) bool { return r.piece() == name })
	}
	c.lane(wording.Of("by itself"), rows, func(r Row) bool { return r.Who == "" && r.Where == "" })
	return c
}

// piece is the equipment without its temperature.
func (r Row) piece() string {
	name, _, _ := strings.Cut(r.Where, ", ")
	return name
}

// Place says on what equipment the work is done, and how hot that is.
func (r Row) Place() wording.Sentence {
	if name, hot, ok := strings.Cut(r.Where, ", "); ok {
		return wording.Of("%v, %v", Machine(name), hot)
	}
	return Machine(r.Where)
}

// Machine says the name of a piece of equipment that a plan counts: "oven 2".
func Machine(name string) wording.Sentence {
	if n, ok := strings.CutPrefix(name, oven+" "); ok {
		return wording.Of("oven %v", n)
	}
	if name == burner {
		return wording.Of("hob burner")
	}
	return wording.Sentence{Text: name}
}

func (c *Chart) lane(name wording.Sentence, rows []Row, in func(Row) bool) {
	l := Lane{Name: name}
	var ends []time.Time
	length := float64(c.To.Sub(c.From))
	for _, r := range rows {
		if !in(r) || r.Minutes == 0 {
			continue
		}
		level := slices.IndexFunc(ends, func(e time.Time) bool { return !e.After(r.Start) })
		if level < 0 {
			level = len(ends)
			ends = append(ends, r.End())
		}
		ends[level] = r.End()
		l.Bars = append(l.Bars, Bar{Row: r, Level: level,
			Left: float64(r.Start.Sub(c.From)) / length, Width: float64(r.End().Sub(r.Start)) / length})
	}
	if l.Rows = len(ends); l.Rows > 0 {
		c.Lanes = append(c.Lanes, l)
	}
}
