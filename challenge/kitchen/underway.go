package kitchen

import (
	"fmt"
	"slices"

	"fairladle/challenge/kitchen/schedule"
)

// loosen takes needs away from what is under way where it takes more than there
// is: a cook who has begun two things at once has done so, and the plan of the
// rest must not fail for it. What began last keeps its hands and its place.
func (b *book) loosen(p *schedule.Problem) {
	var list []int
	for i, st := range b.state {
		switch {
		case st.stage != running:
		case p.Tasks[i].Duration == 0: // it ends this minute
			p.Tasks[i].Needs = nil
		default:
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(i, j int) int { return b.state[j].start - b.state[i].start })
	b.loose = map[int]bool{}
	taken := map[[2]int]int{} // by resource and state
	for _, i := range list {
		p.Tasks[i].Needs = slices.DeleteFunc(p.Tasks[i].Needs, func(n schedule.Need) bool {
			at := [2]int{n.Resource, n.State}
			taken[at] += n.Amount
			if units(taken, n.Resource, p.Resources[n.Resource].Capacity) > max(1, p.Resources[n.Resource].Units) {
				taken[at] -= n.Amount
				b.loose[i] = b.loose[i] || n.Resource == b.res.cooks
				return true
			}
			return false
		})
	}
}

// units is how many pieces of a resource hold what is taken of it, each in one
// state.
func units(taken map[[2]int]int, resource, capacity int) int {
	n := 0
	for at, amount := range taken {
		if at[0] == resource && amount > 0 {
			n += (amount + capacity - 1) / max(1, capacity)
		}
	}
	return n
}

// heatLeft is how long an oven task must wait for the oven: nothing where it has
// run at that temperature within the hour and at no other since, else the time
// to heat it.
func (b *book) heatLeft(i int) int {
	if b.tasks[i].Machine != oven {
		return 0
	}
	same, other := b.now-60, 0
	for j, o := range b.tasks {
		if !b.begun(j) || o.Machine != oven {
			continue
		}
		if o.OvenC == b.tasks[i].OvenC {
			same = max(same, b.state[j].end)
		} else {
			other = max(other, b.state[j].end)
		}
	}
	if same > b.now-60 && other < same {
		return 0
	}
	return preheat
}

// sameOvens names the ovens of a new plan so that what is in one stays in it:
// the scheduler takes ovens to be interchangeable.
func (b *book) sameOvens(plan *schedule.Plan) {
	to := map[int]int{}
	taken := map[int]bool{}
	for i, t := range b.tasks {
		old, ok := ovenNumber(b.was[t.full])
		if _, set := to[plan.Unit[i]]; ok && !set && !taken[old] && t.Machine == oven && b.state[i].stage == running {
			to[plan.Unit[i]], taken[old] = old, true
		}
	}
	for u := range b.s.Kitchen.Ovens {
		for old := range b.s.Kitchen.Ovens {
			if _, set := to[u]; !set && !taken[old] {
				to[u], taken[old] = old, true
			}
		}
	}
	for i, t := range b.tasks {
		if t.Machine == oven {
			plan.Unit[i] = to[plan.Unit[i]]
		}
	}
}

// ovenNumber reads which oven a row names, from 0.
func ovenNumber(r Row) (int, bool) {
	n := 0
	_, err := fmt.Sscanf(r.Where, oven+" %d,", &n)
	return n - 1, err == nil && n > 0
}
