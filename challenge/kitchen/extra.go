package kitchen

import (
	"fmt"
	"strings"
	"time"

	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// Further tasks that a service may need; durations are common practice, no
// source, for the host to change.

// ShopTask goes before everything; by is the last moment at which it may end in
// time for what is to be ordered, or zero.
func ShopTask(minutes int) Task {
	return extra("shop", "Shop", minutes, true)
}

// CameraTask sets the camera up before the first work of the serving day.
func CameraTask(minutes int) Task {
	return extra("camera", "Set up the camera", minutes, false)
}

// FilmTask films another task: it ends right before that task starts, with a cue
// for whoever cooks. id is the task's full number on the sheet, "0:c1.s2".
func FilmTask(id, what string) Task {
	t := extra("film "+id, "Film this: "+what, 1, false)
	t.Cue = id
	return t
}

// WashUpTask cleans what a later task needs again; before is empty where it only
// must be done by serving.
func WashUpTask(after, before string, what string, minutes int) Task {
	t := extra("wash "+after, "Wash up: "+what, minutes, false)
	t.After = []Link{{ID: after, Max: NoLimit}}
	t.Cue = before
	return t
}

func extra(id, name string, minutes int, ahead bool) Task {
	return Task{ID: id, Component: -1, Name: name, Kind: Other, Minutes: minutes, Guess: true, Source: practice,
		Attended: recipe.Attended, Holds: NoLimit, Ahead: ahead}
}

// PhotoTask photographs the plates once all of them are done; plates are their
// full numbers on the sheet.
func PhotoTask(minutes int, plates []string) Task {
	return behind(extra("photo", "Photograph the plates", minutes, false), plates)
}

// CarryTask brings the plates to the table, after what comes last before it.
func CarryTask(minutes int, last []string) Task {
	return behind(extra("carry", "Carry the plates to the table", minutes, false), last)
}

func behind(t Task, tasks []string) Task {
	for _, id := range tasks {
		t.After = append(t.After, Link{ID: id, Max: NoLimit})
	}
	return t
}

// OrderBy is a thing that is hard to get, and when it must be ordered.
type OrderBy struct {
	Name  string
	Until time.Time
}

// OrderDates says until when scarce goods must be ordered to be there when the
// first task starts: days is how long each takes to arrive.
func OrderDates(sheet RunSheet, days map[string]int) []OrderBy {
	if len(sheet.Rows) == 0 {
		return nil
	}
	var list []OrderBy
	for _, name := range sortedKeys(days) {
		list = append(list, OrderBy{name, sheet.Rows[0].Start.AddDate(0, 0, -days[name])})
	}
	return list
}

// Text writes the sheet for a message or a terminal, one line a row.
func (s RunSheet) Text() string {
	var b strings.Builder
	day := ""
	for _, r := range s.Rows {
		if d := r.Start.Format("Monday 2 January"); d != day {
			day = d
			fmt.Fprintf(&b, "%s\n", day)
		}
		b.WriteString("  " + r.Line() + "\n")
	}
	if len(s.Rows) > 0 {
		fmt.Fprintf(&b, "On the table at %s. %d minutes may go wrong before that is late.\n", s.Serve.Format("15:04"), s.Slack)
	}
	for _, list := range [][]wording.Sentence{s.Blocks, s.Helps, s.Notes} {
		for _, line := range list {
			b.WriteString(line.String() + "\n")
		}
	}
	s.wanted(&b)
	for _, c := range s.Cautions {
		for _, d := range c.Dishes {
			fmt.Fprintf(&b, "[%s] ", d)
		}
		fmt.Fprintf(&b, "Caution: %s (%s)\n", c.Text, c.Source)
	}
	return b.String()
}

// wanted says what the plan was made for and how far it got.
func (s RunSheet) wanted(b *strings.Builder) {
	if len(s.Wishes) == 0 {
		return
	}
	b.WriteString("Wanted, the most important first:\n")
	for _, w := range s.Wishes {
		switch {
		case w.Minutes == 0:
			fmt.Fprintf(b, "  %s: reached\n", w.Name)
		case w.Minutes == w.Bound:
			fmt.Fprintf(b, "  %s: %s in all; no plan needs less\n", w.Name, minutesText(w.Minutes))
		default:
			fmt.Fprintf(b, "  %s: %s in all; it cannot be less than %s\n", w.Name, minutesText(w.Minutes), minutesText(w.Bound))
		}
	}
}

// Line writes one row: "17:40 - Ana: turn the fritters, 3 min".
func (r Row) Line() string {
	line := r.Start.Format("15:04") + " - "
	if r.Who != "" {
		line += r.Who + ": "
	}
	line += r.What + ", " + minutesText(r.Minutes)
	if r.Guess {
		line += " (a guess)"
	}
	if r.Where != "" {
		line += ", " + r.Where
	}
	if r.LookIn {
		line += ", look in now and then"
	}
	if r.Dish != "" {
		line += " [" + r.Dish + "]"
	}
	return line
}

func minutesText(m int) string {
	if m >= 120 {
		return fmt.Sprintf("%d h %02d min", m/60, m%60)
	}
	return fmt.Sprintf("%d min", m)
}
