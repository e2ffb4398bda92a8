package schedule

import (
	"context"
	"math"
)

// Options bound and steer the search. The zero value means: until proved.
type Options struct {
	Seed     uint64
	MaxSteps int   // decisions and dead ends in all; 0 means no limit
	Hint     *Plan // a plan to start from; ignored where it is not feasible
}

// Result is what a search has found out.
type Result struct {
	// Plan is the best plan found; nil where there is none.
	Plan *Plan
	// Costs holds the plan's cost on every level.
	Costs []int
	// Bounds holds for every level a value that no plan can be below which does
	// as well as Plan on the levels before it.
	Bounds []int
	// Proved is true where Plan is best, or where Plan is nil and no plan exists.
	Proved bool
	Steps  int
}

// Solve looks for the plan whose list of costs is smallest, the first level
// counting most. It stops when that is proved, when the context ends, or at the
// step limit, and returns what it has. A context that ends is no error.
func Solve(ctx context.Context, p *Problem, opt Options) (Result, error) {
	if err := p.Validate(); err != nil {
		return Result{}, err
	}
	s := &search{ctx: ctx, p: p, opt: opt, limit: opt.MaxSteps}
	if s.limit <= 0 {
		s.limit = math.MaxInt
	}
	s.m = build(p, opt.Seed)
	res := Result{Bounds: make([]int, len(p.Levels))}
	if s.m.bad {
		res.Proved = true
		return res, nil
	}
	if !s.plausible(nil) {
		res.Proved = true
		return res, nil
	}
	s.late = wantsLate(p)
	s.stopAt = s.limit
	if opt.Hint != nil && len(Check(p, *opt.Hint)) == 0 {
		s.offer(*opt.Hint)
	}
	s.seed()
	res.Proved = s.levels(res.Bounds)
	if s.best != nil {
		res.Plan, res.Costs = s.best, s.costs
	}
	res.Steps = s.steps
	return res, nil
}

// wantsLate tells whether most limits gain from starting later (a serving time
// at the end) rather than earlier (a makespan).
func wantsLate(p *Problem) bool {
	balance := 0
	for _, l := range p.Levels {
		for _, k := range l.Limits {
			if k.From == Origin {
				balance--
			} else {
				balance++
			}
		}
	}
	return balance > 0
}

// search is the state of one Solve.
type search struct {
	ctx    context.Context
	p      *Problem
	m      *model
	opt    Options
	steps  int
	limit  int
	late   bool
	now    int // level that is being lowered
	best   *Plan
	costs  []int
	stopAt int     // step at which the present level yields to the next
	serial *serial // nil where serial generation found no plan
	// nextWander is the step at which local search has its next turn.
	nextWander int
}

// offer takes a feasible plan as the best one if it is.
func (s *search) offer(plan Plan) {
	costs := s.p.Costs(plan)
	if s.best == nil || less(costs, s.costs) {
		s.best, s.costs = &plan, costs
	}
}

// levels works through the levels and tells whether all is proved. A level
// gives up half of the steps that are left to those that follow.
func (s *search) levels(bounds []int) bool {
	if len(s.p.Levels) == 0 && s.best == nil {
		return s.run(nil, 0, math.MaxInt) == refuted || s.best != nil
	}
	proved := true
	var kept []atom
	for k, x := range s.m.cost {
		s.stopAt = s.limit
		if k+1 < len(s.m.cost) && s.limit < math.MaxInt {
			s.stopAt = s.steps + (s.limit-s.steps)/2
		}
		verdict := s.minimise(x, k, kept, &bounds[k])
		if verdict == refuted {
			return true
		}
		if s.best == nil {
			return false
		}
		proved = proved && verdict == found
		kept = append(kept, atMost(x, int32(s.costs[k])))
	}
	return proved
}

// minimise lowers the cost of level k as far as it goes while the atoms of the
// levels before it hold; it returns found where the result is proved best.
func (s *search) minimise(x int32, k int, kept []atom, bound *int) verdict {
	s.m.e.backTo(0)
	*bound = s.energyBound(k, kept)
	if k == 0 {
		s.m.e.enqueue(atLeast(x, int32(*bound)), reason{})
	}
	if s.best != nil && s.costs[k] > *bound && k > 0 {
		s.polish(s.costs[:k])
	}
	for try := 0; ; {
		wish, target, deadEnds := kept, 0, math.MaxInt
		if s.best != nil {
			if s.costs[k] <= *bound {
				return found
			}
			target, deadEnds = aim(*bound, s.costs[k], try)
			wish = append(kept[:len(kept):len(kept)], atMost(x, int32(target)))
		}
		switch s.run(wish, k, deadEnds) {
		case refuted:
			if s.best == nil {
				return refuted
			}
			*bound = target + 1
		case found:
			try = min(try, 1)
		case stopped:
			if try++; s.over() {
				return stopped
			}
		}
	}
}

// aim chooses the next cost to ask for: the least there may be, then half way,
// both with little patience, then one less than there is.
func aim(bound, cost, try int) (target, deadEnds int) {
	switch {
	case try == 0:
		return bound, 4 * restartUnit
	case try == 1 && cost-bound > 8:
		return bound + (cost-bound)/2, 4 * restartUnit
	}
	return cost - 1, math.MaxInt
}
