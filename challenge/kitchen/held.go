package kitchen

import (
	"fmt"
	"slices"
	"time"

	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// The places where something waits.
var (
	placeFridge  = wording.Key("in the fridge")
	placeFreezer = wording.Key("in the freezer")
	placeWarm    = wording.Key("kept warm")
	placeCounter = wording.Key("on the counter")
)

// A Hold is something that waits between two tasks of a plan.
type Hold struct {
	Dish        string
	What        wording.Sentence
	Where       string // a sentence of the catalogue: "in the fridge"
	From, Until time.Time
	AtMost      int    // minutes that it keeps its quality, NoLimit where none is known
	Back        string // what the recipe says to hold back, in its own words; empty for the whole
}

// Limits of a hold; common practice, no source.
const (
	heldFrom    = 10 // minutes: less is no holding
	counterMost = 60 // minutes that prepared food stands out before it belongs in the fridge
)

// Held lists what waits where and how long by a sheet, in the order of its
// beginning.
func Held(s Service, sheet RunSheet) []Hold {
	rows := map[string]Row{}
	for _, r := range sheet.Rows {
		rows[r.ID] = r
	}
	var list []Hold
	for d, dish := range s.Dishes {
		dish.Kitchen = s.Kitchen
		tasks := dish.Derive(s.Portions)
		for i, t := range tasks {
			r, ok := rows[fmt.Sprintf("%d:%s", d, t.ID)]
			if !ok {
				continue
			}
			until := lastUse(d, tasks, i, rows)
			list = append(list, heldBack(dish.Title(), tasks, i, r, d, rows)...)
			if h, ok := held(t, r, until); ok {
				h.Dish = dish.Title()
				list = append(list, h)
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Hold) int { return a.From.Compare(b.From) })
	return list
}

// lastUse is when the last task that waits for task i begins; its own end where
// there is none.
func lastUse(d int, tasks []Task, i int, rows map[string]Row) time.Time {
	until := time.Time{}
	for _, o := range tasks {
		if !slices.ContainsFunc(o.After, func(l Link) bool { return l.ID == tasks[i].ID }) {
			continue
		}
		if r, ok := rows[fmt.Sprintf("%d:%s", d, o.ID)]; ok && r.Start.After(until) {
			until = r.Start
		}
	}
	return until
}

// held says whether and where the result of a task waits.
func held(t Task, r Row, until time.Time) (Hold, bool) {
	h := Hold{What: t.Name, From: r.End(), Until: until, AtMost: t.Holds}
	wait := int(until.Sub(h.From).Minutes())
	rests := t.Kind == Wait && t.Attended == recipe.Unattended && (t.Machine == "" || inTheCold(t.Machine))
	if rests {
		h.From, wait = r.Start, int(until.Sub(r.Start).Minutes())
	}
	if until.IsZero() || wait < heldFrom {
		return h, false
	}
	hot := slices.Contains(heating, t.Machine) && !cools(t.Text) || t.HoldGuess
	switch {
	case t.Machine == freezer:
		h.Where = placeFreezer
	case t.Machine == fridge, !rests && wait > counterMost, t.Ahead && wait > 2*counterMost:
		h.Where = placeFridge
	case hot && t.Holds != NoLimit:
		h.Where = placeWarm
	default:
		h.Where = placeCounter
	}
	return h, true
}
