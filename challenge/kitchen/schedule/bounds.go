package schedule

import "slices"

// energyBound returns a value below which the cost of level k cannot be: it
// tries costs by bisection and calls one impossible where the windows that
// follow from it leave some resource with more work in some span than it can
// do (energetic reasoning: P. Baptiste, C. Le Pape, W. Nuijten, Satisfiability
// tests and time-bound adjustments for cumulative scheduling problems, Annals
// of Operations Research 92, 1999, from memory).
func (s *search) energyBound(k int, kept []atom) int {
	x := s.m.cost[k]
	lo, hi := int(s.m.e.lb(x)), int(s.m.e.ub(x))
	if s.best != nil {
		hi = min(hi, s.costs[k])
	}
	for lo < hi {
		mid := lo + (hi-lo)/2
		if s.plausible(append(kept[:len(kept):len(kept)], atMost(x, int32(mid)))) {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// plausible tells whether the atoms survive propagation and the energy check.
func (s *search) plausible(wish []atom) bool {
	e := s.m.e
	defer e.backTo(0)
	for _, a := range wish {
		if e.refuted(a) {
			return false
		}
		e.decide(a)
		if !e.propagate() {
			return false
		}
	}
	for r, res := range s.p.Resources {
		if !s.energyFits(r, res) {
			return false
		}
	}
	return true
}

// job is the window and the demand of one task.
type job struct{ est, lct, dur, amount int }

func (s *search) jobs(r int) []job {
	var jobs []job
	for i, t := range s.p.Tasks {
		for _, n := range t.Needs {
			if n.Resource == r && n.Amount > 0 && t.Duration > 0 {
				v := int32(i)
				jobs = append(jobs, job{int(s.m.e.lb(v)), int(s.m.e.ub(v)) + t.Duration, t.Duration, n.Amount})
			}
		}
	}
	return jobs
}

// partlyInside is the number of tasks up to which work that only partly falls
// into a span is counted too (cubic instead of quadratic time).
const partlyInside = 70

func (s *search) energyFits(r int, res Resource) bool {
	jobs := s.jobs(r)
	var starts, ends []int
	for _, j := range jobs {
		starts = append(starts, j.est, j.lct-j.dur)
		ends = append(ends, j.lct, j.est+j.dur)
	}
	starts, ends = distinct(starts), distinct(ends)
	closed := joinSpans(slices.Clone(res.Closed))
	size := res.Capacity * res.units()
	if len(jobs) > partlyInside {
		return wholeFits(jobs, size, closed)
	}
	for _, a := range starts {
		for _, b := range ends {
			if b <= a {
				continue
			}
			work := 0
			for _, j := range jobs {
				work += j.amount * j.inside(a, b)
			}
			if work > size*open(a, b, closed) {
				return false
			}
		}
	}
	return true
}

// inside is the least time for which the job must run within [a, b).
func (j job) inside(a, b int) int {
	early := min(b, j.est+j.dur) - max(a, j.est)
	late := min(b, j.lct) - max(a, j.lct-j.dur)
	return max(0, min(early, late))
}

// wholeFits counts only jobs that lie wholly within a span.
func wholeFits(jobs []job, size int, closed []Interval) bool {
	slices.SortFunc(jobs, func(a, b job) int { return a.lct - b.lct })
	for _, first := range jobs {
		work := 0
		for _, j := range jobs {
			if j.est < first.est {
				continue
			}
			work += j.amount * j.dur
			if work > size*open(first.est, j.lct, closed) {
				return false
			}
		}
	}
	return true
}

// open is the length of [a, b) without the closed spans, which lie apart.
func open(a, b int, closed []Interval) int {
	length := b - a
	for _, c := range closed {
		length -= max(0, min(b, c.To)-max(a, c.From))
	}
	return length
}

func distinct(v []int) []int {
	slices.Sort(v)
	return slices.Compact(v)
}
