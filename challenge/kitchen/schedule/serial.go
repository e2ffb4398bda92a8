package schedule

import "slices"

// serial is a schedule that is built task by task: each goes to the earliest
// moment (or, from the end, the latest) at which it fits beside those already
// placed. It places no task twice, so largest time lags can leave it stuck; the
// search then finds a first plan by itself.
type serial struct {
	p     *Problem
	m     *model
	load  [][][]int32 // by resource, unit, moment
	used  [][][]span  // by resource with states and unit: what runs
	in    [][]Arc     // by task: arcs that end in it
	out   [][]Arc
	preds [][]int // by task: tasks that a forward list places first
	succs [][]int
	plan  Plan
	done  []bool
}

type span struct{ from, to, state int }

func newSerial(p *Problem, m *model) *serial {
	n := len(p.Tasks)
	b := &serial{p: p, m: m, in: make([][]Arc, n), out: make([][]Arc, n), preds: make([][]int, n), succs: make([][]int, n)}
	for _, a := range p.Arcs {
		b.in[a.To] = append(b.in[a.To], a)
		b.out[a.From] = append(b.out[a.From], a)
		if a.Wait > 0 || (a.Wait == 0 && a.From < a.To) {
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
			if !slices.ContainsFunc(waits[i], func(w int) bool { return !b.done[w] }) {
				pick = k
				break
			}
		}
		i := order[pick]
		order = slices.Delete(order, pick, pick+1)
		if !b.place(i, late) {
			return false
		}
	}
	return true
}

// place puts one task on the best unit it can use.
func (b *serial) place(i int, late bool) bool {
	lo, hi := b.window(i)
	if lo > hi {
		return false
	}
	best, unit := -1, 0
	for u := range b.choices(i) {
		at, ok := b.fit(i, u, lo, hi, late)
		if ok && (best < 0 || (late && at > best) || (!late && at < best)) {
			best, unit = at, u
		}
	}
	if best < 0 {
		return false
	}
	b.plan.Start[i], b.plan.Unit[i], b.done[i] = best, unit, true
	b.fill(i, best, unit)
	return true
}

// window narrows the task's own window by the arcs to tasks already placed.
func (b *serial) window(i int) (lo, hi int) {
	lo, hi = int(b.m.e.lb(int32(i))), int(b.m.e.ub(int32(i)))
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

// fit returns the first (or last) start from lo to hi that breaks nothing.
func (b *serial) fit(i, unit, lo, hi int, late bool) (int, bool) {
	at := lo
	if late {
		at = hi
	}
	for at >= lo && at <= hi {
		next, ok := b.obstacle(i, unit, at, late)
		if ok {
			return at, true
		}
		at = next
	}
	return 0, false
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

func (b *serial) fill(i, at, unit int) {
	dur := b.p.Tasks[i].Duration
	for _, n := range b.p.Tasks[i].Needs {
		res := &b.p.Resources[n.Resource]
		u := 0
		if res.HasStates() && res.units() > 1 {
			u = unit
		}
		load := b.load[n.Resource][u]
		for t := at; t < at+dur; t++ {
			load[t] += int32(n.Amount)
		}
		if res.HasStates() {
			b.used[n.Resource][u] = append(b.used[n.Resource][u], span{at, at + dur, n.State})
		}
	}
}
