package views

import (
	"context"
	"slices"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
)

// NowPage is the page for the counter: what is under way, what is next.
type NowPage struct {
	KitchenPage
	Now      time.Time
	Running  []NowTask
	Next     []NowTask // to be started, in order; the first few in full
	Later    []NowTask
	Finished []NowTask // newest first
	Behind   int       // minutes by which the first task is overdue
	Messages Messages
}

// A NowTask is one row of the run sheet with what the log says.
type NowTask struct {
	kitchen.Row
	Log   kitchen.LogEntry
	Until time.Time // when it should be done; only while it runs
	Over  bool      // that time has passed
}

// nextInFull is how many coming tasks have buttons without unfolding.
const nextInFull = 3

// behindFrom is from how many minutes on the page says that the plan is behind.
const behindFrom = 3

// NewNowPage sorts the rows of the run sheet by how far they have come.
func NewNowPage(p KitchenPage, now time.Time) NowPage {
	page := NowPage{KitchenPage: p, Now: now}
	last := challenge.LastNotes(p.X.Log)
	for _, r := range p.X.Sheet.Rows {
		task := NowTask{Row: r, Log: last[r.ID]}
		switch {
		case r.ID == "":
			if r.End().After(now) {
				page.coming(task)
			}
		case task.Log.Skipped, !task.Log.End.IsZero():
			page.Finished = append(page.Finished, task)
		case !task.Log.Start.IsZero():
			task.Until = task.Log.Start.Add(time.Duration(r.Minutes) * time.Minute)
			task.Over = !task.Until.After(now)
			page.Running = append(page.Running, task)
		default:
			if late := int(now.Sub(r.Start).Minutes()); late >= behindFrom {
				page.Behind = max(page.Behind, late)
			}
			page.coming(task)
		}
	}
	slices.SortStableFunc(page.Running, func(a, b NowTask) int { return a.Until.Compare(b.Until) })
	slices.SortStableFunc(page.Finished, func(a, b NowTask) int { return b.Log.End.Compare(a.Log.End) })
	return page
}

func (p *NowPage) coming(task NowTask) {
	if len(p.Next) < nextInFull {
		p.Next = append(p.Next, task)
	} else {
		p.Later = append(p.Later, task)
	}
}

// left is the time that remains, as it stands without a script: "12:30".
func (x NowTask) left(now time.Time) string {
	d := x.Until.Sub(now)
	sign := ""
	if d < 0 {
		sign, d = "−", -d
	}
	s := int(d.Seconds())
	if s >= 3600 {
		return sign + itoa(s/3600) + ":" + two(s/60%60) + ":" + two(s%60)
	}
	return sign + itoa(s/60) + ":" + two(s%60)
}

func two(n int) string {
	if n < 10 {
		return "0" + itoa(n)
	}
	return itoa(n)
}

func (x NowTask) anchor() string {
	return "t-" + strings.NewReplacer(":", "-", " ", "-", "+", "-").Replace(x.ID)
}

// LogPage holds the plan against what happened.
type LogPage struct {
	KitchenPage
	Rows     []kitchen.Compared
	Serve    string // wall-clock default for cooking again
	Messages Messages
}

// NewLogPage compares the sheet as it stood when cooking began with the log;
// what was made again stands behind it.
func NewLogPage(p KitchenPage) LogPage {
	page := LogPage{KitchenPage: p}
	sheet := p.X.Planned
	known := map[string]bool{}
	for _, r := range sheet.Rows {
		known[r.ID] = true
	}
	last := challenge.LastNotes(p.X.Log)
	for _, r := range p.X.Sheet.Rows {
		if !known[r.ID] && !last[r.ID].Start.IsZero() {
			sheet.Rows = append(sheet.Rows, r)
		}
	}
	for _, c := range p.X.Log.Compare(sheet) {
		if c.ID != "" {
			page.Rows = append(page.Rows, c)
		}
	}
	return page
}

// noted tells whether there is anything to say about a row.
func noted(c kitchen.Compared) bool { return c.Log.Task != "" }

func differenceText(ctx context.Context, c kitchen.Compared) string {
	var parts []string
	switch {
	case c.Later > 0:
		parts = append(parts, t(ctx, "begun %v later", voice(ctx).Minutes(c.Later)))
	case c.Later < 0:
		parts = append(parts, t(ctx, "begun %v earlier", voice(ctx).Minutes(-c.Later)))
	}
	switch {
	case c.Longer > 0:
		parts = append(parts, t(ctx, "%v longer", voice(ctx).Minutes(c.Longer)))
	case c.Longer < 0:
		parts = append(parts, t(ctx, "%v shorter", voice(ctx).Minutes(-c.Longer)))
	}
	return strings.Join(parts, ", ")
}
