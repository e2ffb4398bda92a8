package schedule

import "slices"

// verdict is how a run of the search ended.
type verdict int

const (
	stopped verdict = iota // out of steps or time
	found                  // a plan, taken into best
	refuted                // no plan keeps what was assumed
)

// restartUnit is the number of dead ends in one unit of the restart sequence
// (M. Luby, A. Sinclair, D. Zuckerman, Optimal speedup of Las Vegas algorithms,
// Information Processing Letters 47, 1993).
const restartUnit = 50

// run looks for one plan in which all wished atoms hold, or by local search for
// one that is better on level k. It gives up after about the given number of
// dead ends.
func (s *search) run(wish []atom, k, deadEnds int) verdict {
	s.now = k
	for round := 1; ; round++ {
		v := s.dive(wish, restartUnit*luby(round), round)
		deadEnds -= restartUnit * luby(round)
		if v != stopped || s.over() || deadEnds <= 0 {
			s.m.e.backTo(0)
			return v
		}
		s.m.e.backTo(0)
		if len(s.m.e.learnts) > 2000+s.steps/200 {
			s.m.e.forget()
		}
		if s.wandered(k) {
			return found
		}
	}
}

// wandered gives local search its turn and tells whether it has lowered the cost
// of level k (which it can only do without raising those before).
func (s *search) wandered(k int) bool {
	if s.serial == nil || s.best == nil || s.steps < s.nextWander {
		return false
	}
	had := s.costs[k]
	n := len(s.p.Tasks)
	s.wander(wanderWork / (n * n))
	s.nextWander = 4 * s.steps
	return s.costs[k] < had
}

// dive searches until the given number of dead ends.
func (s *search) dive(wish []atom, deadEnds, round int) verdict {
	e := s.m.e
	for {
		if !e.propagate() {
			s.steps++
			deadEnds--
			lits, back, lbd, ok := e.analyze()
			if !ok {
				return refuted
			}
			e.backTo(back)
			for !e.learn(lits, lbd) {
				if lits, back, lbd, ok = e.analyze(); !ok {
					return refuted
				}
				e.backTo(back)
			}
			e.age()
			continue
		}
		if deadEnds <= 0 || s.over() {
			return stopped
		}
		if n := int(e.level()); n < len(wish) {
			if e.refuted(wish[n]) {
				return refuted
			}
			e.decide(wish[n])
			continue
		}
		a, any := s.choose(round)
		if !any {
			s.offer(s.m.plan())
			return found
		}
		s.steps++
		e.decide(a)
	}
}

func (s *search) over() bool {
	return s.steps >= s.stopAt || (s.steps&15 == 0 && s.ctx.Err() != nil)
}

// choose returns the next decision. The first round takes the task that can
// start first (or, planning from the end, last); later ones settle the orders
// most involved in recent dead ends and then go through the tasks in time, and
// every eighth round mixes orders and starts.
func (s *search) choose(round int) (atom, bool) {
	e := s.m.e
	if round == 1 {
		if v, ok := s.nextInTime(); ok {
			return s.towards(v), true
		}
	}
	orders := round&7 != 7
	for len(e.heap.vars) > 0 {
		v := e.heap.pop(e.act)
		if e.fixed(v) {
			continue
		}
		if orders && int(v) < len(s.p.Tasks) {
			continue // follows from the orders
		}
		if s.otherCost(v) {
			continue // asking for the least of it would hide plans
		}
		a := s.towards(v)
		if e.ub(v)-e.lb(v) > 1 {
			e.heap.push(e.act, v) // the decision may leave it open
		}
		return a, true
	}
	if v, ok := s.nextInTime(); ok && orders {
		return s.towards(v), true
	}
	for _, v := range s.m.cost {
		if !e.fixed(v) {
			return atMost(v, e.lb(v)), true
		}
	}
	return atom{}, false
}

// otherCost tells whether v is the cost of a level that is not being lowered now.
func (s *search) otherCost(v int32) bool {
	k := slices.Index(s.m.cost, v)
	return k >= 0 && k != s.now
}

// nextInTime returns the open task with the smallest earliest start, or from
// the end the one with the largest latest end.
func (s *search) nextInTime() (int32, bool) {
	e := s.m.e
	best, bestKey, bestTie := int32(-1), int32(0), int32(0)
	for i := range s.p.Tasks {
		v := int32(i)
		if e.fixed(v) {
			continue
		}
		key, tie := e.lb(v), e.ub(v)
		if s.late {
			d := int32(s.p.Tasks[i].Duration)
			key, tie = -e.ub(v)-d, -e.lb(v)-d
		}
		if best < 0 || key < bestKey || (key == bestKey && tie < bestTie) {
			best, bestKey, bestTie = v, key, tie
		}
	}
	return best, best >= 0
}

// towards decides the variable's bound: costs low, starts early (or late).
func (s *search) towards(v int32) atom {
	e := s.m.e
	switch {
	case int(v) >= len(s.p.Tasks):
		return atMost(v, e.lb(v))
	case s.late:
		return atLeast(v, e.ub(v))
	}
	return atMost(v, e.lb(v))
}

// luby returns the i-th number (from 1) of the sequence 1 1 2 1 1 2 4 ...
func luby(i int) int {
	for k := 1; ; k++ {
		if i == 1<<k-1 {
			return 1 << (k - 1)
		}
		if i < 1<<k-1 {
			return luby(i - (1<<(k-1) - 1))
		}
	}
}
