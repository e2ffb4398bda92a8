package schedule

import (
	"fmt"
	"slices"
)

// Check returns every way in which the plan breaks the problem's rules, in
// words; none means that the plan is feasible. It goes through every moment
// literally and shares nothing with the search, so that the two can be held
// against each other.
func Check(p *Problem, plan Plan) []string {
	if len(plan.Start) != len(p.Tasks) || len(plan.Unit) != len(p.Tasks) {
		return []string{"the plan does not cover the tasks"}
	}
	var faults []string
	faults = append(faults, checkWindows(p, plan)...)
	faults = append(faults, checkArcs(p, plan)...)
	for r := range p.Resources {
		faults = append(faults, checkCapacity(p, plan, r)...)
		faults = append(faults, checkClosed(p, plan, r)...)
		faults = append(faults, checkStates(p, plan, r)...)
	}
	return faults
}

func checkWindows(p *Problem, plan Plan) []string {
	var faults []string
	for i, t := range p.Tasks {
		end := plan.Start[i] + t.Duration
		if plan.Start[i] < t.Earliest || plan.Start[i] < 0 {
			faults = append(faults, fmt.Sprintf("task %d starts too early at %d", i, plan.Start[i]))
		}
		if end > p.Horizon || (t.Deadline > 0 && end > t.Deadline) {
			faults = append(faults, fmt.Sprintf("task %d ends too late at %d", i, end))
		}
	}
	return faults
}

func checkArcs(p *Problem, plan Plan) []string {
	var faults []string
	for _, a := range p.Arcs {
		if gap := plan.Start[a.To] - plan.Start[a.From]; gap < a.Wait {
			faults = append(faults, fmt.Sprintf("task %d starts %d after task %d, wanted %d", a.To, gap, a.From, a.Wait))
		}
	}
	return faults
}

// checkCapacity adds up the demand at each minute on each unit.
func checkCapacity(p *Problem, plan Plan, r int) []string {
	type place struct{ unit, minute int }
	load := map[place]int{}
	for i, t := range p.Tasks {
		for _, n := range t.Needs {
			if n.Resource != r {
				continue
			}
			if n.Amount > 0 && (plan.Unit[i] < 0 || plan.Unit[i] >= max(1, p.Resources[r].Units)) && p.Resources[r].Setup != nil {
				return []string{fmt.Sprintf("task %d uses unit %d of resource %d", i, plan.Unit[i], r)}
			}
			for m := range t.Duration {
				at := place{minute: plan.Start[i] + m}
				if p.Resources[r].Setup != nil {
					at.unit = plan.Unit[i]
				}
				load[at] += n.Amount
			}
		}
	}
	var over []int
	for at, sum := range load {
		if sum > p.Resources[r].Capacity {
			over = append(over, at.minute)
		}
	}
	if len(over) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("resource %d is overloaded, first at %d", r, slices.Min(over))}
}

func checkClosed(p *Problem, plan Plan, r int) []string {
	var faults []string
	for i, t := range p.Tasks {
		for _, n := range t.Needs {
			for _, c := range p.Resources[r].Closed {
				if n.Resource == r && plan.Start[i] < c.To && c.From < plan.Start[i]+t.Duration && c.From < c.To && t.Duration > 0 {
					faults = append(faults, fmt.Sprintf("task %d runs while resource %d is closed", i, r))
				}
			}
		}
	}
	return faults
}

// checkStates compares every pair of tasks on one unit that want different
// states: one must end its set-up time before the other starts.
func checkStates(p *Problem, plan Plan, r int) []string {
	setup := p.Resources[r].Setup
	if setup == nil {
		return nil
	}
	type use struct{ task, state, from, to int }
	var uses []use
	for i, t := range p.Tasks {
		for _, n := range t.Needs {
			if n.Resource == r {
				uses = append(uses, use{i, n.State, plan.Start[i], plan.Start[i] + t.Duration})
			}
		}
	}
	var faults []string
	for k, a := range uses {
		for _, b := range uses[:k] {
			if a.state == b.state || plan.Unit[a.task] != plan.Unit[b.task] {
				continue
			}
			aFirst := b.from >= a.to+setup[a.state][b.state]
			bFirst := a.from >= b.to+setup[b.state][a.state]
			if !aFirst && !bFirst {
				faults = append(faults, fmt.Sprintf("tasks %d and %d want resource %d in different states", b.task, a.task, r))
			}
		}
	}
	return faults
}
