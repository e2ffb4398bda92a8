package kitchen

import (
	"slices"
	"sort"

	"fairladle/challenge/kitchen/schedule"
	"fairladle/challenge/wording"
)

// resources numbers what a plan counts.
type resources struct {
	list  []schedule.Resource
	cooks int
	by    map[string]int // by machine
	temps []int          // states of the oven
}

// byHand are machines whose work hands can do where there is none.
var byHand = []string{"stand mixer", "hand mixer", "mixer", "food processor", "blender", "stick blender", "spice grinder",
	"pasta machine", "meat grinder", "ice-cream maker"}

func (b *book) resources() {
	b.res = resources{by: map[string]int{}}
	b.res.cooks = b.addResource(schedule.Resource{Name: "cooks", Capacity: len(b.s.cooks()), Closed: b.nights()})
	wanted := map[string]bool{}
	for i := range b.tasks {
		t := &b.tasks[i]
		if t.Machine == fryer && b.s.Kitchen.Others[fryer] == 0 {
			t.Machine = burner // oil in a deep pot
		}
		if b.inPan(*t) {
			wanted[pan] = true
		}
		wanted[t.Machine] = t.Machine != ""
		if t.Machine == oven && !slices.Contains(b.res.temps, t.OvenC) {
			b.res.temps = append(b.res.temps, t.OvenC)
		}
	}
	sort.Ints(b.res.temps)
	names := make([]string, 0, len(wanted))
	for n, ok := range wanted {
		if ok {
			names = append(names, n)
		}
	}
	sort.Strings(names)
	for _, n := range names {
		b.machine(n)
	}
}

func (b *book) addResource(r schedule.Resource) int {
	b.res.list = append(b.res.list, r)
	return len(b.res.list) - 1
}

func (b *book) machine(name string) {
	k := b.s.Kitchen
	switch name {
	case burner:
		b.piece(name, k.Burners)
	case oven:
		if k.Ovens <= 0 {
			b.lacking(name)
			return
		}
		setup := make([][]int, len(b.res.temps))
		for i := range setup {
			setup[i] = make([]int, len(b.res.temps))
			for j := range setup[i] {
				if i != j {
					setup[i][j] = preheat
				}
			}
		}
		b.res.by[name] = b.addResource(schedule.Resource{Name: name, Capacity: b.shelves(), Units: k.Ovens, Setup: setup})
	case fridge, freezer:
		b.cold(name)
	default:
		n, listed := k.Others[name]
		switch {
		case !listed:
			b.notes = append(b.notes, wording.Of("The kitchen's list does not name this, and one is taken to be there: %v.", wording.Of(name)))
			b.piece(name, 1)
		case n == 0 && slices.Contains(byHand, name):
			b.notes = append(b.notes, wording.Of("The kitchen has none of this, so the work is planned by hand and may take longer: %v.", wording.Of(name)))
		default:
			b.piece(name, n)
		}
	}
}

// cold counts room in a fridge or freezer in portions, where the kitchen says
// how much there is. A fridge that is not listed is there.
func (b *book) cold(name string) {
	n, listed := b.s.Kitchen.Others[name]
	if listed && n == 0 {
		b.lacking(name)
		return
	}
	room := n * b.s.Kitchen.Sizes[name]
	if room == 0 {
		return
	}
	if room < b.s.Portions {
		b.blocks = append(b.blocks, wording.Of("There is room for %v portions in the %v, and a dish of %v must go in.", room, wording.Of(name), b.s.Portions))
		b.helps = append(b.helps, wording.Of("Make more room in the cold, or find a second place for it."))
		return
	}
	b.res.by[name] = b.addResource(schedule.Resource{Name: name, Capacity: room})
}

// inPan tells whether a task on the hob takes one of the frying pans that the
// kitchen counts.
func (b *book) inPan(t placed) bool {
	return t.Machine == burner && b.s.Kitchen.Others[pan] > 0 && inBatches(t.Task)
}

func (b *book) shelves() int {
	if b.s.Kitchen.Shelves > 0 {
		return b.s.Kitchen.Shelves
	}
	return 2
}

// trays turns what the shelves of one oven do not hold at once into batches.
func (b *book) trays() {
	for i := range b.tasks {
		if t := &b.tasks[i]; t.Machine == oven && t.Loads > b.shelves() {
			t.Batches = max(1, t.Batches) * ((t.Loads + b.shelves() - 1) / b.shelves())
		}
	}
}

func (b *book) piece(name string, n int) {
	if n <= 0 {
		b.lacking(name)
		return
	}
	b.res.by[name] = b.addResource(schedule.Resource{Name: name, Capacity: n})
}

func (b *book) lacking(name string) {
	for _, t := range b.tasks {
		if t.Machine == name {
			b.blocks = append(b.blocks, wording.Of("%v: “%v” takes something that the kitchen has none of: %v.", b.title(t.dish), t.Name, wording.Of(name)))
			b.helps = append(b.helps, wording.Of("Add it to the kitchen, or change what the task uses: %v.", wording.Of(name)))
			return
		}
	}
}

// problem writes the service for the scheduler.
func (b *book) problem() *schedule.Problem {
	p := &schedule.Problem{Horizon: b.serve + lateAtMost, Resources: b.res.list}
	for i, t := range b.tasks {
		st := b.task(t)
		b.live(i, &st)
		p.Add(st)
	}
	b.loosen(p)
	b.served = p.Add(schedule.Task{Name: "on the table", Earliest: b.serve})
	b.arcs(p)
	b.levels(p)
	return p
}

func (b *book) task(t placed) schedule.Task {
	st := schedule.Task{Name: t.full, Duration: t.minutes()}
	if t.hands() {
		st.Needs = append(st.Needs, schedule.Need{Resource: b.res.cooks, Amount: 1, State: schedule.NoState})
	}
	if r, ok := b.res.by[t.Machine]; ok {
		n := schedule.Need{Resource: r, Amount: 1, State: schedule.NoState}
		switch {
		case t.Machine == oven:
			n.State, n.Amount = slices.Index(b.res.temps, t.OvenC), min(max(1, t.Loads), b.shelves())
			st.Earliest = preheat
		case inTheCold(t.Machine):
			n.Amount = b.s.Portions
		}
		st.Needs = append(st.Needs, n)
	}
	if b.inPan(t) {
		st.Needs = append(st.Needs, schedule.Need{Resource: b.res.by[pan], Amount: 1, State: schedule.NoState})
	}
	if !t.Ahead && t.Kind != Other {
		st.Earliest = max(st.Earliest, b.day)
	}
	return st
}

func (b *book) arcs(p *schedule.Problem) {
	for i, t := range b.tasks {
		for _, l := range t.After {
			j, ok := b.resolve(t, l)
			if !ok || b.begun(i) {
				continue
			}
			p.Before(j, i, l.Min)
			if l.Max != NoLimit && !b.missed(j, l) {
				p.Within(j, i, l.Max)
			}
		}
		p.Before(i, b.served, 0)
		if j, ok := b.at[t.Cue]; ok && t.Cue != "" {
			b.cue(p, i, j)
		} else if t.Kind == Other && len(t.After) == 0 {
			b.first(p, i)
		}
	}
}

// missed tells whether a largest wait after a finished task has passed already.
func (b *book) missed(j int, l Link) bool {
	return b.state != nil && (b.state[j].stage == skipped || (b.begun(j) && b.state[j].end+l.Max < b.now+preheat))
}

// first lets everything that waits for nothing else wait for an extra task
// (shopping, setting up the camera).
func (b *book) first(p *schedule.Problem, i int) {
	for j, t := range b.tasks {
		if t.Kind != Other && len(t.After) == 0 && !b.begun(j) && (b.tasks[i].Ahead || !t.Ahead) {
			p.Before(i, j, 0)
		}
	}
}

// cue lets a task end before another starts; a shot right before it.
func (b *book) cue(p *schedule.Problem, i, j int) {
	if b.begun(i) || b.begun(j) {
		return
	}
	p.Before(i, j, 0)
	if len(b.tasks[i].After) == 0 {
		p.Within(i, j, cueWithin)
	}
}

// What is wanted of a plan; the figures are plateWithin and slackWanted.
var (
	wishTime   = wording.Key("on the table in time")
	wishHold   = wording.Key("nothing held too long")
	wishPlates = wording.Key("all plates done within 5 minutes of serving")
	wishSlack  = wording.Key("10 minutes free before plating, and time to make delicate steps again")
	wishAhead  = wording.Key("work moved to the days before")
	wishDay    = wording.Key("a short serving day")
	wishClose  = wording.Key("early work as late as it may be")
	wishLike   = wording.Key("little moves")
)

// levels says what is wanted of the plan, most important first.
func (b *book) levels(p *schedule.Problem) {
	late := schedule.Level{Name: wishTime, Limits: []schedule.Limit{{From: schedule.Origin, To: b.served, Max: b.serve}}}
	hold := schedule.Level{Name: wishHold}
	plates := schedule.Level{Name: wishPlates}
	slack := schedule.Level{Name: wishSlack}
	moved := schedule.Level{Name: wishAhead}
	day := schedule.Level{Name: wishDay}
	close := schedule.Level{Name: wishClose}
	for i, t := range b.tasks {
		d := t.minutes()
		if b.begun(i) {
			continue
		}
		switch {
		case t.Kind == Plate:
			plates.Limits = append(plates.Limits, schedule.Limit{From: i, To: b.served, Max: d + plateWithin + b.afterPlates()})
		case t.Ahead && t.hands():
			moved.Limits = append(moved.Limits, schedule.Limit{From: schedule.Origin, To: i, Max: b.day - d})
		}
		if t.Ahead {
			close.Limits = append(close.Limits, schedule.Limit{From: i, To: b.served})
		} else {
			head := 0
			if t.Machine == oven {
				head = preheat
			}
			day.Limits = append(day.Limits, schedule.Limit{From: i, To: b.served, Max: -head})
		}
		for _, l := range t.After {
			if j, ok := b.resolve(t, l); ok {
				b.between(j, i, &hold, &slack)
			}
		}
	}
	p.Levels = []schedule.Level{late, hold, plates, slack}
	if b.state == nil { // while cooking, what counts instead is that little moves
		p.Levels = append(p.Levels, moved, day, close)
	}
}

// afterPlates is how long the work between the last plate and the table takes:
// a photograph, the way.
func (b *book) afterPlates() int {
	sum := 0
	for _, t := range b.tasks {
		if t.Kind == Other && t.dish < 0 && b.waitsForPlates(t) {
			sum += t.minutes()
		}
	}
	return sum
}

// plating is how long all plates take one after the other.
func (b *book) plating() int {
	sum := 0
	for _, t := range b.tasks {
		if t.Kind == Plate {
			sum += t.minutes()
		}
	}
	return sum
}

func (b *book) waitsForPlates(t placed) bool {
	return slices.ContainsFunc(t.After, func(l Link) bool {
		j, ok := b.resolve(t, l)
		return ok && (b.tasks[j].Kind == Plate || b.tasks[j].Kind == Other && b.waitsForPlates(b.tasks[j]))
	})
}

// atOnce tells whether one task must follow another without a break.
func (b *book) atOnce(from, to placed) bool {
	return slices.ContainsFunc(to.After, func(l Link) bool {
		j, ok := b.resolve(to, l)
		return ok && b.tasks[j].full == from.full && l.Max != NoLimit
	})
}

// between adds the limits on the wait from task j to task i.
func (b *book) between(j, i int, hold, slack *schedule.Level) {
	from, to := b.tasks[j], b.tasks[i]
	d := from.minutes()
	if from.Holds != NoLimit {
		hold.Limits = append(hold.Limits, schedule.Limit{From: j, To: i, Max: d + from.Holds})
		if to.Kind == Plate { // an early plate waits no better than the pan
			hold.Limits = append(hold.Limits, schedule.Limit{From: j, To: b.served, Max: d + from.Holds + b.plating() + plateWithin + b.afterPlates()})
		}
	}
	free := 0
	if to.Kind == Plate {
		free = slackWanted
	}
	if from.Delicate {
		free = max(free, d)
	}
	if from.Holds != NoLimit {
		free = min(free, from.Holds)
	}
	if free == 0 || b.atOnce(from, to) {
		return
	}
	slack.Limits = append(slack.Limits, schedule.Limit{From: i, To: j, Max: -d - free})
}
