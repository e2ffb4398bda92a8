package schedule

import "slices"

// wanderWork bounds one stretch of local search: rounds times tasks squared.
const wanderWork = 36_000_000

// seed finds first plans by serial generation under several priority rules
// (R. Kolisch, Serial and parallel resource-constrained project scheduling
// methods revisited, European J. of Operational Research 90, 1996), pulled
// tight by going back and forth (forward-backward improvement: V. Valls, F.
// Ballestin, S. Quintanilla, Justification and RCPSP, European J. of
// Operational Research 165, 2005; both from memory), then again with disturbed
// orders of the best one.
func (s *search) seed() {
	n := len(s.p.Tasks)
	if n == 0 {
		s.offer(Plan{Start: []int{}, Unit: []int{}})
		return
	}
	if s.tooLong() {
		return
	}
	placed := false
	for kept := max(0, len(s.p.Levels)-1); kept >= 0 && !placed; kept-- {
		var least []int
		for _, x := range s.m.cost[:kept] {
			least = append(least, int(s.m.e.lb(x)))
		}
		if s.serial = s.narrowed(least); s.serial == nil {
			continue
		}
		for _, key := range s.rules() {
			for _, late := range []bool{s.late, !s.late} {
				if s.ctx.Err() != nil {
					return
				}
				if s.serial.run(keyed(key, late), late) {
					placed = true
					s.tighten(s.serial)
				}
			}
		}
	}
	if !placed {
		s.serial = nil
		return
	}
	s.nextWander = 8000
	s.wander(min(1500, wanderWork/(n*n)))
}

// mostMoments bounds the memory of serial generation, which keeps a load for
// each moment of each unit.
const mostMoments = 1 << 24

func (s *search) tooLong() bool {
	units := 1
	for _, r := range s.p.Resources {
		units += r.units()
	}
	return units*(s.p.Horizon+1) > mostMoments
}

// polish pulls the best plan tight and looks around it while the levels before
// keep what they have reached.
func (s *search) polish(reached []int) {
	n := len(s.p.Tasks)
	if n == 0 || s.tooLong() {
		return
	}
	b := s.narrowed(reached)
	if b == nil {
		return
	}
	s.serial = b
	key := make([]float64, n)
	for i, at := range s.best.Start {
		key[i] = float64(at)
		if s.late {
			key[i] = -float64(at + s.p.Tasks[i].Duration)
		}
	}
	if b.run(key, s.late) {
		s.tighten(b)
	}
	s.wander(min(1500, wanderWork/(n*n)))
}

// narrowed prepares serial generation with the first levels held at the given
// costs; nil where that is impossible.
func (s *search) narrowed(costs []int) *serial {
	e := s.m.e
	defer e.backTo(0)
	var more []Arc
	for k, cost := range costs {
		if a := atMost(s.m.cost[k], int32(cost)); !e.refuted(a) {
			e.decide(a)
		}
		if !e.propagate() {
			return nil
		}
		for _, m := range s.p.Levels[k].Limits {
			if m.From != Origin && m.To != Origin {
				more = append(more, Arc{From: m.To, To: m.From, Wait: -m.Max - cost})
			}
		}
	}
	var lo, hi []int
	for i := range s.p.Tasks {
		lo, hi = append(lo, int(e.lb(int32(i)))), append(hi, int(e.ub(int32(i))))
	}
	return newSerial(s.p, s.m.dist, lo, hi, more)
}

// wander moves a few tasks at a time within the order of a plan and keeps what
// is not worse; where that leads no further it starts anew from a disturbed
// plan, planning from either end in turn.
func (s *search) wander(rounds int) {
	b := s.serial
	n := len(s.p.Tasks)
	rng := s.m.rng
	key, try := make([]float64, n), make([]float64, n)
	var base []int
	late, stale := s.late, 0
	for range rounds {
		if s.over() || s.atBound() {
			return
		}
		s.steps++
		width, moves := float64(s.spread())*0.5, 1+rng.IntN(3)
		if base == nil {
			middle(key, s.best, s.p)
			moves = n / 3
			width *= 0.6
		}
		copy(try, key)
		for range moves {
			try[rng.IntN(n)] += width * (rng.Float64() - 0.5)
		}
		if !b.run(keyed(try, late), late) || (late != s.late && !s.back(b)) {
			continue
		}
		got := s.p.Costs(b.plan)
		switch {
		case base == nil || less(got, base):
			s.tighten(b)
			got = s.p.Costs(b.plan)
			stale = 0
		case less(base, got):
			if stale++; rng.IntN(50) == 0 {
				break
			}
			if stale > 300 {
				base, late, stale = nil, !late, 0
			}
			continue
		}
		base = got
		middle(key, &b.plan, s.p)
	}
}

// back places the tasks of a plan again, in the direction of the levels.
func (s *search) back(b *serial) bool {
	key := make([]float64, len(b.plan.Start))
	for i, at := range b.plan.Start {
		key[i] = float64(at)
		if s.late {
			key[i] = -float64(at + s.p.Tasks[i].Duration)
		}
	}
	return b.run(key, s.late)
}

// middle writes the middle of each task's run.
func middle(key []float64, plan *Plan, p *Problem) {
	for i, at := range plan.Start {
		key[i] = float64(at) + float64(p.Tasks[i].Duration)/2
	}
}

// keyed turns keys around where planning goes from the end.
func keyed(key []float64, late bool) []float64 {
	out := slices.Clone(key)
	if late {
		for i := range out {
			out[i] = -out[i]
		}
	}
	return out
}

// atBound tells whether the best plan costs no more than what is known to be
// needed at the root.
func (s *search) atBound() bool {
	for k, x := range s.m.cost {
		if s.costs[k] > int(s.m.e.lb(x)) {
			return false
		}
	}
	return true
}

func (s *search) spread() int {
	return slices.Max(s.best.Start) - slices.Min(s.best.Start) + 1
}

// rules returns keys that grow with the time at which a task should be placed.
func (s *search) rules() [][]float64 {
	n := len(s.p.Tasks)
	rules := make([][]float64, 4)
	for i := range rules {
		rules[i] = make([]float64, n)
	}
	for i, t := range s.p.Tasks {
		lo, hi := s.serial.lo[i], s.serial.hi[i]
		rules[0][i] = float64(hi + t.Duration) // latest finish
		rules[1][i] = float64(hi)              // latest start
		rules[2][i] = float64(lo + hi)         // middle of the window
		rules[3][i] = float64(lo)              // earliest start
	}
	return rules
}

// tighten offers the serial plan, and what comes of placing its tasks again
// from the other end and back.
func (s *search) tighten(b *serial) {
	s.offer(clonePlan(b.plan))
	late := !s.late
	for range 2 {
		key := make([]float64, len(b.plan.Start))
		for i, at := range b.plan.Start {
			if late {
				key[i] = -float64(at + s.p.Tasks[i].Duration)
			} else {
				key[i] = float64(at)
			}
		}
		if !b.run(key, late) {
			return
		}
		s.offer(clonePlan(b.plan))
		late = !late
	}
}

func clonePlan(p Plan) Plan {
	return Plan{Start: slices.Clone(p.Start), Unit: slices.Clone(p.Unit)}
}
