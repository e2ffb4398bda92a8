package kitchen

import (
	"strings"

	"fairladle/challenge/wording"
)

// checkTasks reports links to nothing, tasks that wait for themselves, and other
// things that make a plan impossible to compute.
func checkTasks(dish string, tasks []Task) []wording.Sentence {
	var bad []wording.Sentence
	at := map[string]int{}
	for i, t := range tasks {
		if _, twice := at[t.ID]; twice {
			bad = append(bad, wording.Of("%v: two tasks are called %v.", dish, t.ID))
		}
		at[t.ID] = i
		if t.Minutes < 0 || t.Minutes > longestTask {
			bad = append(bad, wording.Of("%v: “%v” takes %v minutes; it must be 0 to %v.", dish, t.Name, t.Minutes, longestTask))
		}
	}
	state := make([]int, len(tasks))
	var visit func(i int) bool
	visit = func(i int) bool {
		if state[i] != 0 {
			return state[i] == 1
		}
		state[i] = 1
		for _, l := range tasks[i].After {
			if strings.Contains(l.ID, ":") {
				continue // in another dish
			}
			j, ok := at[l.ID]
			if !ok {
				bad = append(bad, wording.Of("%v: “%v” waits for a task that is not there (%v).", dish, tasks[i].Name, l.ID))
			} else if visit(j) {
				return true
			}
		}
		state[i] = 2
		return false
	}
	for i := range tasks {
		if state[i] == 0 && visit(i) {
			return append(bad, wording.Of("%v: “%v” waits for itself in a circle.", dish, tasks[i].Name))
		}
	}
	return bad
}

// links reports waits from dish to dish that lead to nothing or in a circle.
// A link to another dish names its place in the service: "1:c0.s2".
func (b *book) links() {
	if len(b.blocks) > 0 {
		return
	}
	state := make([]int, len(b.tasks))
	var visit func(i int) bool
	visit = func(i int) bool {
		if state[i] != 0 {
			return state[i] == 1
		}
		state[i] = 1
		for _, l := range b.tasks[i].After {
			j, ok := b.resolve(b.tasks[i], l)
			if !ok {
				b.blocks = append(b.blocks, wording.Of("%v: “%v” waits for a task that is not there (%v).", b.title(b.tasks[i].dish), b.tasks[i].Name, l.ID))
			} else if visit(j) {
				return true
			}
		}
		state[i] = 2
		return false
	}
	for i := range b.tasks {
		if state[i] == 0 && visit(i) {
			b.blocks = append(b.blocks, wording.Of("%v: “%v” waits for itself in a circle, by way of another dish.", b.title(b.tasks[i].dish), b.tasks[i].Name))
			return
		}
	}
}
