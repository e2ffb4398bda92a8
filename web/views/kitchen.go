package views

import (
	"context"
	"slices"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
	"fairladle/store"
	"fairladle/web/text"
)

// A ServiceForm is what a host decides about a service, as it stands in the
// form.
type ServiceForm struct {
	Revision int
	Serve    string // wall-clock, as the field takes it
	Portions string
	Cooks    string // one a line
	Tasters  string // one a line
	Shop     string
	Camera   string
	Photo    string
	Carry    string
	Dishes   []ServiceDishForm
	// Kitchen is what there is to cook with; KitchenOwn says that it is not the
	// challenge's.
	Kitchen    []challenge.Equipment
	KitchenOwn bool
	Messages   Messages
}

func (f ServiceForm) piece(i int) challenge.Equipment {
	if i < len(f.Kitchen) {
		return f.Kitchen[i]
	}
	return challenge.Equipment{}
}

func (f ServiceForm) pieceCount(i int) string {
	if i < len(f.Kitchen) {
		return itoa(f.Kitchen[i].Count)
	}
	return ""
}

// kitchenInShort names what there is: "1 oven, 4 burner".
func (f ServiceForm) kitchenInShort() string {
	var parts []string
	for _, e := range f.Kitchen {
		if e.Count > 0 {
			parts = append(parts, itoa(e.Count)+" "+e.Name)
		}
	}
	return strings.Join(parts, ", ")
}

func holdsField(n int) string {
	if n <= 0 {
		return ""
	}
	return itoa(n)
}

type ServiceDishForm struct {
	ID     int64
	Name   string
	On     bool
	Serves string
	Says   string // how many portions the recipe says it makes
	Parts  []ServicePart
}

// A ServicePart is a component that may be bought ready-made, or bought with
// something to spare.
type ServicePart struct {
	Index         int
	Name          string
	Bought, Spare bool
}

// KitchenPage is what every page of a service has.
type KitchenPage struct {
	Frame Frame
	Base  string // of the cooking round
	Here  string // the page's place in the list of pages
	Open  bool
	X     store.Cooking
}

type ShoppingPage struct {
	KitchenPage
	List     kitchen.ShoppingList
	OrderBy  []kitchen.OrderBy
	Total    int // hundredths
	Missing  int // lines that are to be bought and have no price
	Messages Messages
}

type RunSheetPage struct {
	KitchenPage
	Days     []SheetDay
	Allergen []kitchen.Caution // against what tasters declared
	Dishes   []string
}

// A SheetDay is one day of the run sheet with its chart.
type SheetDay struct {
	Day   time.Time
	Rows  []kitchen.Row
	Chart DayChart
}

// NewSheetDays splits a run sheet by days.
func NewSheetDays(v text.Voice, s kitchen.RunSheet, dishes []string) []SheetDay {
	var days []SheetDay
	for _, r := range s.Rows {
		if n := len(days); n == 0 || !sameDay(days[n-1].Day, r.Start) {
			days = append(days, SheetDay{Day: r.Start})
		}
		days[len(days)-1].Rows = append(days[len(days)-1].Rows, r)
	}
	for _, c := range s.Charts() {
		for i := range days {
			if sameDay(days[i].Day, c.From) {
				days[i].Chart = newDayChart(v, c, dishes)
			}
		}
	}
	return days
}

func sameDay(a, b time.Time) bool { return a.Format(time.DateOnly) == b.Format(time.DateOnly) }

type TasksPage struct {
	KitchenPage
	Dishes   []TaskTable
	Machines []string
	Messages Messages
}

// A TaskTable is the tasks of one dish.
type TaskTable struct {
	Dish      int64
	Name      string
	Corrected bool
	Rows      []TaskRow
	// Stale are tasks whose minutes were typed for StaleFor portions, another
	// number than now.
	Stale    wording.List
	StaleFor int
}

// Typed shows the rows of a dish as they were sent.
func (p *TasksPage) Typed(dish int64, rows []challenge.TaskEdit) {
	for i := range p.Dishes {
		if p.Dishes[i].Dish != dish {
			continue
		}
		for k := range p.Dishes[i].Rows {
			for _, e := range rows {
				if e.ID == p.Dishes[i].Rows[k].ID {
					p.Dishes[i].Rows[k].TaskEdit = e
				}
			}
		}
	}
}

// more says what is set for a row beyond its fields.
func (r TaskRow) more(ctx context.Context) string {
	parts := []string{}
	for _, x := range []struct {
		on    bool
		words string
	}{{r.Ahead, t(ctx, "a day ahead")}, {r.Delicate, t(ctx, "delicate")}, {r.Film, t(ctx, "filmed")}, {r.Wash, t(ctx, "washed up after")}} {
		if x.on {
			parts = append(parts, x.words)
		}
	}
	if r.Runs > 1 && r.Machine == "oven" {
		parts = append(parts, t(ctx, "%v trays", r.Runs))
	} else if r.Runs > 1 {
		parts = append(parts, t(ctx, "%v batches", r.Runs))
	}
	if len(parts) == 0 {
		return t(ctx, "More")
	}
	return strings.Join(parts, ", ")
}

// A TaskRow is one task as its row shows it.
type TaskRow struct {
	challenge.TaskEdit
	Number int
	Guess  bool
	Source string
	Text   string
}

var attentions = []struct {
	value recipe.Attention
	words string
}{
	{recipe.Attended, wording.Key("needs a cook")},
	{recipe.Part, wording.Key("look in now and then")},
	{recipe.Unattended, wording.Key("by itself")},
}

// kitchenPlaces are the pages of a service in the order of work.
var kitchenPlaces = []struct{ path, name string }{
	{"", wording.Key("Overview")}, {"/sheet", wording.Key("Run sheet")}, {"/shopping", wording.Key("Shopping")}, {"/prep", wording.Key("Prep")}, {"/tasks", wording.Key("Tasks")}, {"/now", wording.Key("At the counter")}, {"/log", wording.Key("Cook's log")},
}

// wishText says how far a wish of the plan got.
func wishText(ctx context.Context, w kitchen.Wish) string {
	switch {
	case w.Minutes == 0:
		return t(ctx, "reached")
	case w.Minutes == w.Bound:
		return t(ctx, "%v in all; no plan needs less", voice(ctx).Minutes(w.Minutes))
	}
	return t(ctx, "%v in all; it cannot be less than %v", voice(ctx).Minutes(w.Minutes), voice(ctx).Minutes(w.Bound))
}

// rowDetails are the soft words under a row of the run sheet; tightest is how
// much every row may slip.
func rowDetails(ctx context.Context, r kitchen.Row, dishes []string, tightest int) string {
	var parts []string
	if l := dishLetter(dishes, r.Dish); l != "" {
		parts = append(parts, l)
	} else if r.Dish != "" {
		parts = append(parts, r.Dish)
	}
	if r.Where != "" {
		parts = append(parts, say(ctx, r.Place()))
	}
	if r.LookIn {
		parts = append(parts, t(ctx, "look in now and then"))
	}
	if r.Guess {
		parts = append(parts, t(ctx, "time guessed"))
	}
	if r.Slack > tightest+5 && r.ID != "" {
		parts = append(parts, t(ctx, "may slip %v", voice(ctx).Minutes(r.Slack)))
	}
	return strings.Join(parts, " · ")
}

// timeSource says where a task's minutes come from.
func timeSource(ctx context.Context, source string) string {
	switch source {
	case kitchen.FromRecipe:
		return t(ctx, "the recipe")
	case kitchen.FromHost:
		return t(ctx, "the host")
	case kitchen.FromLog:
		return t(ctx, "the cook's log")
	}
	return citation(source)
}

func dishLetter(dishes []string, dish string) string {
	if i := slices.Index(dishes, dish); i >= 0 && i < 26 {
		return string(rune('A' + i))
	}
	return ""
}

func cautionSource(ctx context.Context, c kitchen.Caution) string {
	s := t(ctx, "Source: %v.", c.Source)
	if len(c.Dishes) > 0 {
		s = strings.Join(c.Dishes, ", ") + ". " + s
	}
	return s
}
