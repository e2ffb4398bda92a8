package schedule

// Plan says when each task starts.
type Plan struct {
	Start []int
	// Unit says for each task which piece of its resource with states it uses
	// (0 for a task without such a need).
	Unit []int
}

// Cost returns how far the plan exceeds the worst kept limit of the level, and 0
// where it keeps them all.
func (l Level) Cost(p Plan) int {
	worst := 0
	for _, m := range l.Limits {
		worst = max(worst, p.at(m.To)-p.at(m.From)-m.Max)
	}
	return worst
}

func (p Plan) at(task int) int {
	if task == Origin {
		return 0
	}
	return p.Start[task]
}

// Costs returns the cost of the plan on every level, in order.
func (p *Problem) Costs(plan Plan) []int {
	costs := make([]int, len(p.Levels))
	for i, l := range p.Levels {
		costs[i] = l.Cost(plan)
	}
	return costs
}

// less compares two cost lists lexicographically.
func less(a, b []int) bool {
	for i := range a {
		if a[i] != b[i] {
			return a[i] < b[i]
		}
	}
	return false
}
