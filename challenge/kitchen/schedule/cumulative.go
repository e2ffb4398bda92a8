package schedule

import "slices"

// cumul is one renewable resource: the demands that run at any moment add up to
// at most cap. With cond, a task counts only where its condition holds.
type cumul struct {
	cap   int32
	items []use
	dirty bool
}

type use struct {
	v, dur, amount int32
	cond           atom
}

// orderEvent is a step in the profile of what must run; its key orders by time.
type orderEvent struct{ at, step int32 }

// must returns the span in which the task certainly runs (empty if from >= to).
func (e *engine) must(u *use) (from, to int32) {
	if !e.always(u.cond) {
		return 0, 0
	}
	return e.ub(u.v), e.lb(u.v) + u.dur
}

// profile builds the profile of what must run, then moves every start that
// would not fit under it. Explanations name one moment each (the pointwise form
// of Schutt et al. 2011).
func (e *engine) profile(c *cumul) bool {
	ev := e.order[:0]
	for k := range c.items {
		if from, to := e.must(&c.items[k]); from < to {
			ev = append(ev, orderEvent{from, c.items[k].amount}, orderEvent{to, -c.items[k].amount})
		}
	}
	if len(ev) == 0 {
		return true
	}
	slices.SortFunc(ev, func(a, b orderEvent) int { return int(a.at - b.at) })
	// Join steps at one moment; afterwards step is the height from at on.
	n, height := 0, int32(0)
	for k := 0; k < len(ev); {
		at := ev[k].at
		for ; k < len(ev) && ev[k].at == at; k++ {
			height += ev[k].step
		}
		ev[n] = orderEvent{at, height}
		n++
		if height > c.cap {
			e.order = ev
			e.conflict = e.explainAt(e.conflict[:0], c, nil, at, c.cap)
			return false
		}
	}
	ev = ev[:n]
	e.order = ev
	for k := range c.items {
		u := &c.items[k]
		if u.amount == 0 || u.dur == 0 || e.fixed(u.v) || !e.always(u.cond) {
			continue
		}
		if !e.pushLater(c, u, ev) || !e.pushEarlier(c, u, ev) {
			return false
		}
	}
	return true
}

// explainAt appends atoms which say that tasks other than skip with a demand
// of more than limit run at the moment.
func (e *engine) explainAt(dst []atom, c *cumul, skip *use, at, limit int32) []atom {
	load := int32(0)
	for k := range c.items {
		u := &c.items[k]
		if u == skip || u.amount == 0 {
			continue
		}
		if from, to := e.must(u); from > at || to <= at {
			continue
		}
		dst = append(dst, atLeast(u.v, at+1-u.dur), atMost(u.v, at))
		if u.cond.row >= 0 {
			dst = append(dst, u.cond)
		}
		if load += u.amount; load > limit {
			break
		}
	}
	return dst
}

// pushLater raises the earliest start of u past moments where it does not fit.
func (e *engine) pushLater(c *cumul, u *use, ev []orderEvent) bool {
	from, to := e.must(u)
	k, _ := slices.BinarySearchFunc(ev, e.lb(u.v)+1, func(v orderEvent, t int32) int { return int(v.at - t) })
	for k = max(0, k-1); k+1 < len(ev); k++ {
		if ev[k].at >= e.lb(u.v)+u.dur {
			break
		}
		if ev[k+1].at <= e.lb(u.v) || ev[k].step+u.amount <= c.cap {
			continue
		}
		if from < to && ev[k].at >= from && ev[k].at < to {
			continue // its own demand is in the profile here
		}
		for e.lb(u.v) < ev[k+1].at {
			at := min(ev[k+1].at-1, e.lb(u.v)+u.dur-1)
			if !e.moveAt(c, u, at, atLeast(u.v, at+1-u.dur), atLeast(u.v, at+1)) {
				return false
			}
		}
	}
	return true
}

// pushEarlier lowers the latest start of u, the mirror of pushLater.
func (e *engine) pushEarlier(c *cumul, u *use, ev []orderEvent) bool {
	from, to := e.must(u)
	end := e.ub(u.v) + u.dur
	k, _ := slices.BinarySearchFunc(ev, end, func(v orderEvent, t int32) int { return int(v.at - t) })
	for k = min(k, len(ev)-1) - 1; k >= 0; k-- {
		if ev[k+1].at <= e.ub(u.v) {
			break
		}
		if ev[k].at >= e.ub(u.v)+u.dur || ev[k].step+u.amount <= c.cap {
			continue
		}
		if from < to && ev[k].at >= from && ev[k].at < to {
			continue
		}
		for e.ub(u.v)+u.dur > ev[k].at {
			at := max(ev[k].at, e.ub(u.v))
			if !e.moveAt(c, u, at, atMost(u.v, at), atMost(u.v, at-u.dur)) {
				return false
			}
		}
	}
	return true
}

// moveAt concludes that u, held by has to run at the moment, must obey then.
func (e *engine) moveAt(c *cumul, u *use, at int32, has, then atom) bool {
	id := len(e.arena)
	e.arena = append(e.arena, has)
	if u.cond.row >= 0 {
		e.arena = append(e.arena, u.cond)
	}
	e.arena = e.explainAt(e.arena, c, u, at, c.cap-u.amount)
	return e.enqueue(then, reason{kind: becauseAtoms, id: int32(id), n: int32(len(e.arena) - id)})
}
