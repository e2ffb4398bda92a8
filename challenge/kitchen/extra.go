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
	return extra("shop", wording.Of("Shop"), minutes, true)
}

// CameraTask sets the camera up before the first work of the serving day.
func CameraTask(minutes int) Task {
	return extra("camera", wording.Of("Set up the camera"), minutes, false)
}

// FilmTask films another task: it ends right before that task starts, with a cue
// for whoever cooks. id is the task's full number on the sheet, "0:c1.s2".
func FilmTask(id string, what wording.Sentence) Task {
	t := extra("film "+id, wording.Of("Film this: %v", what), 1, false)
	t.Cue = id
	return t
}

// WashUpTask cleans what a later task needs again; before is empty where it only
// must be done by serving.
func WashUpTask(after, before string, what wording.Sentence, minutes int) Task {
	t := extra("wash "+after, wording.Of("Wash up: %v", what), minutes, false)
	t.After = []Link{{ID: after, Max: NoLimit}}
	t.Cue = before
	return t
}

func extra(id string, name wording.Sentence, minutes int, ahead bool) Task {
	return Task{ID: id, Component: -1, Name: name, Kind: Other, Minutes: minutes, Guess: true, Source: practice,
		Attended: recipe.Attended, Holds: NoLimit, Ahead: ahead}
}

// PhotoTask photographs the plates once all of them are done; plates are their
// full numbers on the sheet.
func PhotoTask(minutes int, plates []string) Task {
	return behind(extra("photo", wording.Of("Photograph the plates"), minutes, false), plates)
}

// CarryTask brings the plates to the table, after what comes last before it.
func CarryTask(minutes int, last []string) Task {
	return behind(extra("carry", wording.Of("Carry the plates to the table"), minutes, false), last)
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
		b.WriteString("  " + r.Line(English) + "\n")
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
			fmt.Fprintf(b, "  %s: %s in all; no plan needs less\n", w.Name, duration(w.Minutes))
		default:
			fmt.Fprintf(b, "  %s: %s in all; it cannot be less than %s\n", w.Name, duration(w.Minutes), duration(w.Bound))
		}
	}
}

// Line writes one row: "17:40 - Ana: turn the fritters, 3 min".
func (r Row) Line(say Speaker) string {
	line := r.Start.Format("15:04") + " - " + say(r.says())
	if r.Dish != "" {
		line += " [" + r.Dish + "]"
	}
	return line
}

// says is the row without its time and dish.
func (r Row) says() wording.Sentence {
	s := wording.Of("%v, %v", r.What, duration(r.Minutes))
	if r.Who != "" {
		s = wording.Of("%v: %v", r.Who, s)
	}
	if r.Guess {
		s = wording.Of("%v (a guess)", s)
	}
	if r.Where != "" {
		s = wording.Of("%v, %v", s, r.Place())
	}
	if r.LookIn {
		s = wording.Of("%v, look in now and then", s)
	}
	return s
}

// duration says minutes, from two hours on in hours too.
func duration(minutes int) wording.Sentence {
	if minutes >= 120 {
		return wording.Of("%v h %v min", minutes/60, fmt.Sprintf("%02d", minutes%60))
	}
	return wording.Of("%v min", minutes)
}
