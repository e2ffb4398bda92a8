package kitchen

import (
	"slices"

	"fairladle/challenge/wording"
)

// Rescale carries corrected tasks over to another number of portions. was and
// is are the tasks that follow from the recipe for the old and the new number:
// what the host left as it was follows it, what the host typed stays, and kept
// names the tasks whose typed minutes would otherwise have changed.
func Rescale(tasks, was, is []Task) (out []Task, kept wording.List) {
	out = cloneTasks(tasks)
	for i := range out {
		t := &out[i]
		old, fresh := byID(was, t.ID), byID(is, t.ID)
		if old == nil || fresh == nil {
			if t.Machine != "" && t.Kind != Wait {
				kept = append(kept, t.Name)
			}
			continue
		}
		switch {
		case t.Minutes == old.Minutes:
			t.Minutes = fresh.Minutes
		case old.Minutes != fresh.Minutes:
			kept = append(kept, t.Name)
		}
		if t.Machine == old.Machine && t.Batches == old.Batches && t.Loads == old.Loads {
			t.Batches, t.Loads = fresh.Batches, fresh.Loads
		}
	}
	return out, kept
}

func byID(tasks []Task, id string) *Task {
	if i := slices.IndexFunc(tasks, func(t Task) bool { return t.ID == id }); i >= 0 {
		return &tasks[i]
	}
	return nil
}
