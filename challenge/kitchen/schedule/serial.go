package schedule

import "slices"

// serial is a schedule that is built task by task: each goes to the earliest
// moment (or, from the end, the latest) at which it fits beside those already
// placed. Tasks whose distance is fixed are placed together. It places no task
// twice, so other largest time lags can leave it stuck; the search then finds a
// first plan by itself.
type serial struct {
	p      *Problem
	lo, hi []int       // by task: first and last start
	load   [][][]int32 // by resource, unit, moment
	used   [][][]span  // by resource with states and unit: what runs
	in     [][]Arc     // by task: arcs that end in it
	out    [][]Arc
	preds  [][]int // by task: tasks that a forward list places first
	succs  [][]int
	group  []int      // by task: its group
	groups [][]member // tasks at fixed distances
	plan   Plan
	done   []bool
}

type span struct{ from, to, state int }

// member is a task of a group and how much later than the group's first named
// task it starts.
type member struct{ task, offset int }

// newSerial prepares for the problem with further arcs and with windows that may
// be narrower than the tasks' own.
func newSerial(p *Problem, dist [][]int32, lo, hi []int, more []Arc) *serial {
	n := len(p.Tasks)
	b := &serial{p: p, lo: lo, hi: hi, in: make([][]Arc, n), out: make([][]Arc, n), preds: make([][]int, n), succs: make([][]int, n)}
	b.join(dist)
	for _, a := range append(p.Arcs[:len(p.Arcs):len(p.Arcs)], more...) {
		if a.From == a.To {
			continue
		}
		b.in[a.To] = append(b.in[a.To], a)
		b.out[a.From] = append(b.out[a.From], a)
		if (a.Wait > 0 || (a.Wait == 0 && a.From < a.To)) && b.group[a.From] != b.group[a.To] {
			b.preds[a.To] = append(b.preds[a.To], a.From)
			b.succs[a.From] = append(b.succs[a.From], a.To)
		}
	}
	for _, r := range p.Resources {
		units := make([][]int32, r.units())
		for k := range units {
			units[k] = make([]int32, p.Horizon+1)
		}
		b.load = append(b.load, units)
		b.used = append(b.used, make([][]span, r.units()))
	}
	b.plan = Plan{Start: make([]int, n), Unit: make([]int, n)}
	b.done = make([]bool, n)
	return b
}

// join groups tasks at fixed distances.
func (b *serial) join(dist [][]int32) {
	b.group = make([]int, len(b.p.Tasks))
	for i := range b.p.Tasks {
		b.group[i] = -1
		for g, list := range b.groups {
			o := list[0].task
			if dist != nil && dist[o][i] > farApart && dist[o][i]+dist[i][o] == 0 {
				b.group[i] = g
				b.groups[g] = append(list, member{i, int(dist[o][i])})
				break
			}
		}
		if b.group[i] < 0 {
			b.group[i] = len(b.groups)
			b.groups = append(b.groups, []member{{i, 0}})
		}
	}
}

func (b *serial) reset() {
	clear(b.done)
	for r := range b.load {
		for k := range b.load[r] {
			clear(b.load[r][k])
			b.used[r][k] = b.used[r][k][:0]
		}
	}
}

// run places all tasks in the order of the keys, smallest first, but never
// before a predecessor (from the end: successor). It returns false where a task
// fits nowhere.
func (b *serial) run(key []float64, late bool) bool {
	b.reset()
	waits := b.preds
	if late {
		waits = b.succs
	}
	order := make([]int, len(key))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch {
		case key[i] < key[j]:
			return -1
		case key[i] > key[j]:
			return 1
		}
		return 0
	})
	for len(order) > 0 {
		pick := 0
		for k, i := range order {
			if b.ready(b.group[i], waits) {
				pick = k
				break
			}
		}
		g := b.group[order[pick]]
		if !b.place(b.groups[g], late) {
			return false
		}
		order = slices.DeleteFunc(order, func(i int) bool { return b.group[i] == g })
	}
	return true
}

func (b *serial) ready(g int, waits [][]int) bool {
	for _, m := range b.groups[g] {
		for _, w := range waits[m.task] {
			if !b.done[w] {
				return false
			}
		}
	}
	return true
}

// place puts a group where all its tasks fit, each on a unit it can use.
func (b *serial) place(g []member, late bool) bool {
	lo, hi := -1<<30, 1<<30
	for _, m := range g {
		l, h := b.window(m.task)
		lo, hi = max(lo, l-m.offset), min(hi, h-m.offset)
	}
	at := pickNext(late, hi, lo)
	for at >= lo && at <= hi {
		next, ok := b.tryAt(g, at, late)
		if ok {
			return true
		}
		at = next
	}
	return false
}

// tryAt places the group there, or returns the next start worth trying.
func (b *serial) tryAt(g []member, at int, late bool) (int, bool) {
	for k, m := range g {
		unit, next, ok := b.unitAt(m.task, at+m.offset, late)
		if ok {
			b.plan.Start[m.task], b.plan.Unit[m.task], b.done[m.task] = at+m.offset, unit, true
			b.fill(m.task, 1)
			continue
		}
		for _, o := range g[:k] {
			b.fill(o.task, -1)
			b.done[o.task] = false
		}
		return next - m.offset, false
	}
	return at, true
}

// unitAt finds a unit on which the task can start there, or the nearest start
// that some unit suggests.
func (b *serial) unitAt(i, at int, late bool) (unit, next int, ok bool) {
	next = pickNext(late, -1<<30, 1<<30)
	for u := range b.choices(i) {
		n, fits := b.obstacle(i, u, at, late)
		if fits {
			return u, at, true
		}
		if late {
			next = max(next, n)
		} else {
			next = min(next, n)
		}
	}
	return 0, next, false
}

// window narrows the task's own window by the arcs to tasks already placed.
func (b *serial) window(i int) (lo, hi int) {
	lo, hi = b.lo[i], b.hi[i]
	for _, a := range b.in[i] {
		if b.done[a.From] {
			lo = max(lo, b.plan.Start[a.From]+a.Wait)
		}
	}
	for _, a := range b.out[i] {
		if b.done[a.To] {
			hi = min(hi, b.plan.Start[a.To]-a.Wait)
		}
	}
	return lo, hi
}

func (b *serial) choices(i int) int {
	units := 1
	for _, n := range b.p.Tasks[i].Needs {
		units = max(units, b.p.Resources[n.Resource].units())
	}
	return units
}

// obstacle reports that the start is fine, or the next one worth trying.
func (b *serial) obstacle(i, unit, at int, late bool) (int, bool) {
	dur := b.p.Tasks[i].Duration
	for _, n := range b.p.Tasks[i].Needs {
		res := &b.p.Resources[n.Resource]
		for _, c := range res.Closed {
			if dur > 0 && c.From < c.To && at < c.To && c.From < at+dur {
				return pickNext(late, c.From-dur, c.To), false
			}
		}
		u := 0
		if res.HasStates() && res.units() > 1 {
			u = unit
		}
		if next, ok := b.crowded(b.load[n.Resource][u], int32(res.Capacity-n.Amount), at, dur, late); !ok {
			return next, false
		}
		if !res.HasStates() {
			continue
		}
		for _, o := range b.used[n.Resource][u] {
			if o.state == n.State {
				continue
			}
			after, ahead := o.to+res.Setup[o.state][n.State], o.from-dur-res.Setup[n.State][o.state]
			if at < after && at > ahead {
				return pickNext(late, ahead, after), false
			}
		}
	}
	return at, true
}

func pickNext(late bool, ahead, after int) int {
	if late {
		return ahead
	}
	return after
}

// crowded looks for a moment of the run at which the load is above the limit.
func (b *serial) crowded(load []int32, limit int32, at, dur int, late bool) (int, bool) {
	if late {
		for t := at; t < at+dur; t++ {
			if load[t] > limit {
				return t - dur, false
			}
		}
		return at, true
	}
	for t := at + dur - 1; t >= at; t-- {
		if load[t] > limit {
			return t + 1, false
		}
	}
	return at, true
}

// fill books (sign 1) or frees (sign -1) what the task takes where it stands.
func (b *serial) fill(i int, sign int32) {
	at, dur := b.plan.Start[i], b.p.Tasks[i].Duration
	for _, n := range b.p.Tasks[i].Needs {
		res := &b.p.Resources[n.Resource]
		u := 0
		if res.HasStates() && res.units() > 1 {
			u = b.plan.Unit[i]
		}
		load := b.load[n.Resource][u]
		for t := at; t < at+dur; t++ {
			load[t] += sign * int32(n.Amount)
		}
		if !res.HasStates() {
			continue
		}
		if used := b.used[n.Resource][u]; sign > 0 {
			b.used[n.Resource][u] = append(used, span{at, at + dur, n.State})
		} else {
			b.used[n.Resource][u] = used[:len(used)-1] // the last one booked
		}
	}
}
