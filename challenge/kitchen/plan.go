package kitchen

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"fairladle/challenge/kitchen/schedule"
	"fairladle/challenge/wording"
)

// Defaults of a plan; common practice, no source.
const (
	preheat     = 15           // minutes until an oven has a new temperature
	plateWithin = 5            // minutes within which all hot plates should be done
	cueWithin   = 2            // minutes between a shot's set-up and what is filmed
	slackWanted = 10           // minutes kept free before plating
	lateAtMost  = 24 * 60      // how far a plan looks past the serving time
	daysAhead   = 3            // how early work may begin where the service does not say
	planSteps   = 60_000       // search steps where the service does not say
	usualTasks  = 100          // up to so many tasks get all steps
	nightFrom   = 22 * 60      // minutes after midnight
	nightTo     = 7 * 60       // minutes after midnight
	mostTasks   = 2_000        // more than any kitchen does
	mostAhead   = 30 * 24 * 60 // minutes
)

// RunSheet is the plan for a service: who does what when.
type RunSheet struct {
	Rows  []Row
	Serve time.Time // when the plates are on the table; later than wanted where Late > 0
	// Late is by how many minutes the wanted serving time is missed.
	Late int
	// Slack is how many minutes may go wrong anywhere on the serving day before
	// the plates are late; SlackTask is where that is tightest.
	Slack     int
	SlackTask wording.Sentence
	DayBegins time.Time // first work on the serving day
	// Wishes says what was optimised, most important first, and how far it got.
	Wishes []Wish
	Proved bool // no plan is better on these wishes
	// Blocks says which limits are in the way, and Helps what would help. With
	// no rows there is no plan at all.
	Blocks   []wording.Sentence
	Helps    []wording.Sentence
	Notes    []wording.Sentence // assumptions about the kitchen
	Cautions []Caution
}

// Wish is one level of what is wanted: its cost in minutes and the least that
// is possible, given the wishes before it.
type Wish struct {
	Name    wording.Sentence
	Minutes int
	Bound   int
}

// Row is one line of the run sheet.
type Row struct {
	ID      string // of the task: "0:c1.s2"; empty for heating an oven
	Start   time.Time
	Minutes int
	Who     string // empty where nobody is needed
	Dish    string
	What    wording.Sentence
	Text    string // the recipe's own words
	Where   string // "oven 1, 180 C", "hob burner"
	Kind    Kind
	Guess   bool
	Source  string // of the duration
	LookIn  bool   // somebody should look in on it now and then
	Slack   int    // minutes it may start or run late; -1 on an earlier day
}

// End is when the row's work is done.
func (r Row) End() time.Time { return r.Start.Add(time.Duration(r.Minutes) * time.Minute) }

// Plan computes the run sheet of a service. It returns what it has when the
// context ends. A service that cannot be cooked is no error: the sheet says what
// is in the way.
func Plan(ctx context.Context, s Service) (RunSheet, error) {
	b := newBook(s)
	if len(b.blocks) > 0 {
		return RunSheet{Serve: s.Serve, Blocks: b.blocks, Helps: b.helps, Notes: b.notes, Cautions: Cautions(s.Dishes)}, nil
	}
	p := b.problem()
	res, err := schedule.Solve(ctx, p, schedule.Options{Seed: s.Seed, MaxSteps: b.steps()})
	if err != nil {
		return RunSheet{}, fmt.Errorf("kitchen: plan: %w", err)
	}
	sheet := b.sheet(p, res)
	sheet.Cautions = Cautions(s.Dishes)
	switch {
	case res.Plan == nil || sheet.Late > 0:
		b.trouble(ctx, &sheet, res.Proved)
	case res.Costs[1] > 0:
		b.tooLong(ctx, &sheet, res.Costs[1], *res.Plan, p)
	}
	coldRoom(s, &sheet)
	return sheet, nil
}

// book is the service with all its tasks numbered.
type book struct {
	s      Service
	begin  time.Time
	serve  int // minutes after begin
	day    int // start of the serving day, minutes after begin
	tasks  []placed
	at     map[string]int
	blocks []wording.Sentence
	helps  []wording.Sentence
	notes  []wording.Sentence
	served int // number of the "on the table" task
	res    resources
	now    int            // minutes after begin; only while cooking
	state  []state        // by task; nil before cooking
	loose  map[int]bool   // what is under way beside more than one cook can do
	was    map[string]Row // the sheet followed so far, by number; nil before cooking
}

// placed is a task with the dish it belongs to; dish -1 for extras.
type placed struct {
	Task
	dish int
	full string
}

// minutes is how long the task takes with its batches.
func (t placed) minutes() int { return t.Minutes * max(1, t.Batches) }

func newBook(s Service) *book {
	s.Dishes = slices.Clone(s.Dishes)
	for d := range s.Dishes {
		s.Dishes[d].Kitchen = s.Kitchen
	}
	b := &book{s: s, at: map[string]int{}}
	b.times()
	for d, dish := range s.Dishes {
		tasks := dish.Derive(s.Portions)
		b.blocks = append(b.blocks, checkTasks(dish.Title(), tasks)...)
		for _, t := range tasks {
			b.add(t, d, fmt.Sprintf("%d:%s", d, t.ID))
		}
		if len(dish.Breakdown.Steps()) == 0 && dish.Tasks == nil {
			b.blocks = append(b.blocks, wording.Of("%v has no steps: write its tasks down first.", dish.Title()))
		}
	}
	for _, t := range s.Extras {
		b.add(t, -1, "x:"+t.ID)
	}
	if len(b.tasks) > mostTasks {
		b.blocks = append(b.blocks, wording.Of("There are %v tasks; a plan takes up to %v.", len(b.tasks), mostTasks))
	}
	b.links()
	b.resources()
	b.trays()
	return b
}

func (b *book) add(t Task, dish int, full string) {
	b.at[full] = len(b.tasks)
	b.tasks = append(b.tasks, placed{t, dish, full})
}

func (b *book) times() {
	s := b.s
	b.begin = s.Begin
	if b.begin.IsZero() {
		b.begin = s.Serve.AddDate(0, 0, -daysAhead)
	}
	if s.Serve.IsZero() {
		b.blocks = append(b.blocks, wording.Of("Say when to serve."))
		return
	}
	b.serve = int(s.Serve.Sub(b.begin).Minutes())
	if b.serve <= 0 || b.serve > mostAhead {
		b.blocks = append(b.blocks, wording.Of("Work must begin before the serving time, and at most 30 days before."))
	}
	y, m, d := s.Serve.Date()
	b.day = max(0, int(time.Date(y, m, d, 0, 0, 0, 0, s.Serve.Location()).Sub(b.begin).Minutes()))
}

func (b *book) steps() int {
	if b.s.Steps > 0 {
		return b.s.Steps
	}
	return b.fewer(planSteps)
}

// fewer cuts the steps of a search where each takes longer, so that a large
// service does not keep its host waiting.
func (b *book) fewer(steps int) int { return steps * usualTasks / max(usualTasks, len(b.tasks)) }

// nights lists the spans in which nobody works.
func (b *book) nights() []schedule.Interval {
	from, to := b.s.NightFrom, b.s.NightTo
	if from == 0 && to == 0 {
		from, to = nightFrom, nightTo
	}
	var spans []schedule.Interval
	y, m, d := b.begin.Date()
	for k := -1; ; k++ {
		start := time.Date(y, m, d+k, 0, from, 0, 0, b.begin.Location())
		end := time.Date(y, m, d+k+1, 0, to, 0, 0, b.begin.Location())
		if to > from {
			end = time.Date(y, m, d+k, 0, to, 0, 0, b.begin.Location())
		}
		lo, hi := int(start.Sub(b.begin).Minutes()), int(end.Sub(b.begin).Minutes())
		if lo > b.serve+lateAtMost {
			return spans
		}
		if hi > 0 {
			spans = append(spans, schedule.Interval{From: max(0, lo), To: hi})
		}
	}
}

// title is the name of the dish that a task belongs to.
func (b *book) title(dish int) string {
	if dish < 0 {
		return ""
	}
	return b.s.Dishes[dish].Title()
}

// resolve turns a task's link into the number of the task it names.
func (b *book) resolve(t placed, l Link) (int, bool) {
	if !strings.Contains(l.ID, ":") {
		prefix := "x:"
		if t.dish >= 0 {
			prefix = fmt.Sprintf("%d:", t.dish)
		}
		i, ok := b.at[prefix+l.ID]
		return i, ok
	}
	i, ok := b.at[l.ID]
	return i, ok
}
