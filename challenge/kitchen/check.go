package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Check goes through a run sheet as a suspicious cook would, without the planner
// and the scheduler, and lists in words what is wrong with it: somebody does two
// things at once, works at night, or on a task that nobody needs to do; more is
// on a machine than it takes; an oven has two temperatures, or no time to change
// them; a task begins before what it waits for; something ends after serving.
// since is when the sheet was made, for one that was replanned while cooking:
// what had begun by then is not judged. The zero time judges everything.
func Check(s Service, sheet RunSheet, since time.Time) []string {
	c := checker{s: s, since: since, rows: map[string]Row{}}
	c.collect(sheet)
	c.complete(sheet)
	for _, t := range c.tasks {
		c.order(t)
	}
	for _, r := range sheet.Rows {
		c.hours(r, sheet.Serve)
		c.hands(r, sheet.Rows)
		c.load(r, sheet.Rows)
	}
	c.temperatures(sheet.Rows)
	return c.faults
}

type checker struct {
	s      Service
	since  time.Time
	rows   map[string]Row
	tasks  []placed
	byID   map[string]placed
	faults []string
}

func (c *checker) fault(format string, args ...any) {
	c.faults = append(c.faults, fmt.Sprintf(format, args...))
}

// collect lists the tasks of the service and the rows of the sheet by number.
func (c *checker) collect(sheet RunSheet) {
	for _, r := range sheet.Rows {
		if r.ID != "" {
			c.rows[r.ID] = r
		}
	}
	for d, dish := range c.s.Dishes {
		dish.Kitchen = c.s.Kitchen
		for _, t := range dish.Derive(c.s.Portions) {
			c.tasks = append(c.tasks, placed{t, d, fmt.Sprintf("%d:%s", d, t.ID)})
		}
	}
	for _, t := range c.s.Extras {
		c.tasks = append(c.tasks, placed{t, -1, "x:" + t.ID})
	}
	c.byID = map[string]placed{}
	for _, t := range c.tasks {
		c.byID[t.full] = t
	}
}

// complete wants a row for every task.
func (c *checker) complete(sheet RunSheet) {
	for _, t := range c.tasks {
		r, ok := c.rows[t.full]
		if !ok {
			c.fault("%s is not on the sheet", t.full)
			continue
		}
		if (r.Who != "") != (t.hands()) && r.Minutes > 0 && !c.before(r) {
			c.fault("%s: the sheet says %q, hands needed: %v", t.full, r.Who, t.hands())
		}
	}
	for _, r := range sheet.Rows {
		if r.Who != "" && !slices.Contains(c.s.cooks(), r.Who) {
			c.fault("%q is no cook of this service", r.Who)
		}
	}
}

// before tells whether a row had begun when the sheet was made.
func (c *checker) before(r Row) bool { return r.Start.Before(c.since) }

// order looks at what a task waits for, and for how long at most.
func (c *checker) order(t placed) {
	r, ok := c.rows[t.full]
	if !ok || c.before(r) || r.Minutes == 0 && !c.since.IsZero() {
		return
	}
	for _, l := range t.After {
		id := l.ID
		if !strings.Contains(id, ":") {
			id = strings.TrimSuffix(t.full, t.ID) + id
		}
		o, ok := c.rows[id]
		if !ok {
			c.fault("%s waits for %s, which is not on the sheet", t.full, id)
			continue
		}
		gap := int(r.Start.Sub(o.End()).Minutes())
		if gap < l.Min {
			c.fault("%s begins %d minutes after %s, wanted %d", t.full, gap, id, l.Min)
		}
		if l.Max != NoLimit && gap > l.Max && c.since.IsZero() {
			c.fault("%s begins %d minutes after %s, at most %d", t.full, gap, id, l.Max)
		}
	}
	if o, ok := c.rows[t.Cue]; ok && t.Cue != "" && r.End().After(o.Start) && !c.before(o) {
		c.fault("%s should be done when %s begins", t.full, t.Cue)
	}
}

// hours wants nobody at work at night or after serving.
func (c *checker) hours(r Row, serve time.Time) {
	if r.End().After(serve) {
		c.fault("%q ends at %s, after serving", r.What, r.End().Format("15:04"))
	}
	from, to := c.s.NightFrom, c.s.NightTo
	if from == 0 && to == 0 {
		from, to = nightFrom, nightTo
	}
	if r.Who == "" || c.before(r) {
		return
	}
	for m := range r.Minutes {
		at := r.Start.Add(time.Duration(m) * time.Minute)
		minute := at.Hour()*60 + at.Minute()
		if from > to && (minute >= from || minute < to) || from < to && minute >= from && minute < to {
			c.fault("%s works at %s", r.Who, at.Format("2 15:04"))
			return
		}
	}
}

// hands wants everybody at one thing at a time.
func (c *checker) hands(r Row, rows []Row) {
	for _, o := range rows {
		if r.Who != "" && o.Who == r.Who && o.ID != r.ID && r.Minutes > 0 && o.Minutes > 0 && c.during(o, r) && !c.crowded(o, rows, sameCook) {
			c.fault("%s does %q and %q at %s", r.Who, o.What, r.What, r.Start.Format("15:04"))
		}
	}
}

// during tells whether row o is under way when r begins, and not both had begun
// when the sheet was made.
func (c *checker) during(o, r Row) bool {
	return !o.Start.After(r.Start) && o.End().After(r.Start) && !c.before(r)
}

// crowded tells whether a cook had begun something else on top of a row when the
// sheet was made, so that the plan of the rest cannot count it.
func (c *checker) crowded(o Row, rows []Row, clash func(a, b Row) bool) bool {
	return c.before(o) && slices.ContainsFunc(rows, func(x Row) bool {
		return x.ID != o.ID && c.before(x) && x.End().After(c.since) && !x.Start.Before(o.Start) && clash(o, x)
	})
}

func sameCook(a, b Row) bool { return a.Who == b.Who }

func (c *checker) otherHeat(a, b Row) bool {
	return piece(a) == piece(b) && c.byID[a.ID].OvenC != c.byID[b.ID].OvenC
}

// load adds up what is on r's machine when r begins: the load of a machine only
// grows when a task begins.
func (c *checker) load(r Row, rows []Row) {
	t, ok := c.byID[r.ID]
	if !ok || c.before(r) || r.Minutes == 0 {
		return
	}
	machine, room := c.room(t)
	if room < 0 {
		return
	}
	sum, pans, begun := 0, 0, 0
	for _, o := range rows {
		u, ok := c.byID[o.ID]
		if !ok || o.Minutes == 0 || !c.during(o, r) {
			continue
		}
		name, _ := c.room(u)
		switch {
		case name != machine || machine == oven && piece(o) != piece(r):
		case c.before(o):
			begun += c.share(u)
		default:
			sum += c.share(u)
		}
		if machine == burner && name == burner && inBatches(u.Task) {
			pans++
		}
	}
	if c.crammed(machine, room, rows) { // which is no fault of the plan
		begun = 0
	}
	if sum+begun > room {
		c.fault("%d on %s at %s, room for %d", sum+begun, machine, r.Start.Format("15:04"), room)
	}
	if n := c.s.Kitchen.Others[pan]; n > 0 && pans > n && inBatches(t.Task) {
		c.fault("%d in frying pans at %s, of %d", pans, r.Start.Format("15:04"), n)
	}
}

// crammed tells whether more was under way on a machine when the sheet was made
// than it has room for.
func (c *checker) crammed(machine string, room int, rows []Row) bool {
	sum := map[string]int{}
	for _, o := range rows {
		u, ok := c.byID[o.ID]
		if name, _ := c.room(u); ok && name == machine && c.before(o) && o.End().After(c.since) {
			sum[piece(o)] += c.share(u)
		}
	}
	for _, n := range sum {
		if n > room {
			return true
		}
	}
	return false
}

// room is the machine of a task and how much there is of it; -1: not counted.
func (c *checker) room(t placed) (string, int) {
	k := c.s.Kitchen
	machine := t.Machine
	if machine == fryer && k.Others[fryer] == 0 {
		machine = burner
	}
	switch {
	case machine == "":
		return "", -1
	case machine == burner:
		return machine, k.Burners
	case machine == oven && k.Shelves > 0:
		return machine, k.Shelves
	case machine == oven:
		return machine, 2
	case inTheCold(machine) && k.Others[machine]*k.Sizes[machine] == 0:
		return machine, -1
	case inTheCold(machine):
		return machine, k.Others[machine] * k.Sizes[machine]
	}
	n, listed := k.Others[machine]
	switch {
	case !listed:
		return machine, 1
	case n == 0 && slices.Contains(byHand, machine):
		return machine, -1
	}
	return machine, n
}

func (c *checker) share(t placed) int {
	switch {
	case t.Machine == oven:
		_, room := c.room(t)
		return min(max(1, t.Loads), room)
	case inTheCold(t.Machine):
		return c.s.Portions
	}
	return 1
}

func piece(r Row) string { name, _, _ := strings.Cut(r.Where, ","); return name }

// temperatures wants each oven at one temperature at a time, and a quarter of an
// hour between two of them.
func (c *checker) temperatures(rows []Row) {
	for i, r := range rows {
		for _, o := range rows[:i] {
			a, b := c.byID[r.ID], c.byID[o.ID]
			if a.Machine != oven || b.Machine != oven || a.OvenC == b.OvenC || piece(r) != piece(o) || c.before(r) && c.before(o) || r.Minutes*o.Minutes == 0 {
				continue
			}
			if c.crowded(o, rows, c.otherHeat) || c.crowded(r, rows, c.otherHeat) {
				continue
			}
			first, second := o, r
			if r.Start.Before(o.Start) {
				first, second = r, o
			}
			if gap := second.Start.Sub(first.End()); gap < preheat*time.Minute {
				c.fault("%s is at %d and %d °C within %v", piece(r), a.OvenC, b.OvenC, gap)
			}
		}
	}
}
