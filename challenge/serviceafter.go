package challenge

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fairladle/challenge/kitchen"
)

// A Table is what the tables of tasks show: by dish, in the order in which the
// run sheet numbers them. Own is the dish whose table is meant; its tasks are
// named by their row alone, those of others by a letter before it ("B3").
type Table struct {
	Dishes []int64
	Tasks  [][]kitchen.Task
	Own    int
}

// Shown are the tables of all dishes that are cooked, with one of them as the
// own.
func (s Service) Shown(recipes []Written, dish int64) Table {
	t := Table{Own: -1}
	for i, d := range s.Cooked() {
		if d.Dish == dish {
			t.Own = i
		}
		t.Dishes = append(t.Dishes, d.Dish)
		t.Tasks = append(t.Tasks, s.Tasks(recipes, d.Dish))
	}
	return t
}

// A link to a task of another dish is kept by the dish's own number, "#7:c0.s1",
// so that it stays when dishes are left out; linked turns it into the place that
// the planner knows, and drops links to dishes that are not cooked.
func (s Service) linked(links []kitchen.Link) []kitchen.Link {
	var out []kitchen.Link
	cooked := s.Cooked()
	for _, l := range links {
		id, task, elsewhere := strings.Cut(l.ID, ":")
		if !elsewhere {
			out = append(out, l)
			continue
		}
		i := slices.IndexFunc(cooked, func(d ServiceDish) bool { return "#"+strconv.FormatInt(d.Dish, 10) == id })
		if i >= 0 {
			l.ID = strconv.Itoa(i) + ":" + task
			out = append(out, l)
		}
	}
	return out
}

// find gives the row of a link's task, as the table writes it: "3" or "B3".
func (t Table) find(id string) (string, bool) {
	dish, task, elsewhere := strings.Cut(id, ":")
	at, letter := t.Own, ""
	if elsewhere {
		at = slices.IndexFunc(t.Dishes, func(d int64) bool { return "#"+strconv.FormatInt(d, 10) == dish })
		if n, err := strconv.Atoi(dish); err == nil { // as the planner numbers it
			at = n
		}
		if at < 0 || at >= len(t.Tasks) || at > 25 {
			return "", false
		}
		letter = string(rune('A' + at))
	} else {
		task = id
	}
	if at < 0 {
		return "", false
	}
	k := slices.IndexFunc(t.Tasks[at], func(o kitchen.Task) bool { return o.ID == task })
	return letter + strconv.Itoa(k+1), k >= 0
}

// id is what find reads backwards.
func (t Table) id(row string) (string, bool) {
	at, elsewhere := t.Own, false
	if row != "" && (row[0] >= 'A' && row[0] <= 'Z' || row[0] >= 'a' && row[0] <= 'z') {
		at, elsewhere = int(row[0]|0x20-'a'), true
		row = row[1:]
	}
	k, err := strconv.Atoi(row)
	if err != nil || at < 0 || at >= len(t.Tasks) || k < 1 || k > len(t.Tasks[at]) {
		return "", false
	}
	id := t.Tasks[at][k-1].ID
	if elsewhere && at != t.Own {
		id = fmt.Sprintf("#%d:%s", t.Dishes[at], id)
	}
	return id, true
}

// WriteAfter writes what a task waits for by the numbers of the table's rows:
// "3", "3+120" (at least 120 minutes after it), "3<5" (within 5 minutes), "B3"
// (row 3 of the second dish).
func WriteAfter(task kitchen.Task, shown Table) string {
	var parts []string
	for _, l := range task.After {
		p, ok := shown.find(l.ID)
		if !ok {
			continue
		}
		if l.Min > 0 {
			p += "+" + strconv.Itoa(l.Min)
		}
		if l.Max != kitchen.NoLimit {
			p += "<" + strconv.Itoa(l.Max)
		}
		parts = append(parts, p)
	}
	return strings.Join(parts, ", ")
}

// ReadAfter reads what WriteAfter writes, for the task called id.
func ReadAfter(text string, shown Table, id string) ([]kitchen.Link, *Refusal) {
	wrong := Refuse(Invalid, "after-"+id, "Write the numbers of the tasks that come first, such as “2, 3”. “3+120” waits 120 minutes after it, “3<5” starts within 5, “B3” is task 3 of dish B.")
	var links []kitchen.Link
	for p := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' || r == ';' || r == ' ' }) {
		l := kitchen.Link{Max: kitchen.NoLimit}
		rest, within, capped := strings.Cut(p, "<")
		row, least, waits := strings.Cut(rest, "+")
		var ok bool
		if l.ID, ok = shown.id(row); !ok || l.ID == id {
			return links, wrong
		}
		var err error
		if waits {
			if l.Min, err = strconv.Atoi(least); err != nil || l.Min < 0 {
				return links, wrong
			}
		}
		if capped {
			if l.Max, err = strconv.Atoi(within); err != nil || l.Max < l.Min {
				return links, wrong
			}
		}
		links = append(links, l)
	}
	return links, nil
}
