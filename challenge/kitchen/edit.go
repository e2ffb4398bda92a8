package kitchen

import (
	"errors"
	"fmt"
	"slices"

	"fairladle/challenge/wording"
)

// ErrTask is returned where a change names a task that is not there, or makes no
// sense for it.
var ErrTask = errors.New("kitchen: no such change of tasks")

func find(tasks []Task, id string) (int, error) {
	i := slices.IndexFunc(tasks, func(t Task) bool { return t.ID == id })
	if i < 0 {
		return 0, fmt.Errorf("%w: no task %s", ErrTask, id)
	}
	return i, nil
}

// secondHalf ends the identifier of what was cut off a task.
const secondHalf = ".2"

// Split cuts a task in two after a number of minutes. What waited for the task
// waits for its second part, which is called id with ".2" behind it.
func Split(tasks []Task, id string, minutes int) ([]Task, error) {
	i, err := find(tasks, id)
	if err != nil || minutes <= 0 || minutes >= tasks[i].Minutes {
		return tasks, errors.Join(err, fmt.Errorf("%w: %s cannot be cut after %d minutes", ErrTask, id, minutes))
	}
	out := cloneTasks(tasks)
	second := out[i]
	second.ID += secondHalf
	if slices.ContainsFunc(out, func(t Task) bool { return t.ID == second.ID }) {
		return tasks, fmt.Errorf("%w: there is a task %s already", ErrTask, second.ID)
	}
	second.Minutes -= minutes
	second.After = []Link{{ID: id, Max: NoLimit}}
	out[i].Minutes, out[i].Holds = minutes, NoLimit
	for k := range out {
		rename(out[k].After, id, second.ID)
	}
	return slices.Insert(out, i+1, second), nil
}

// Join makes one task of two, the second right after the first; it must not wait
// for anything that itself waits for the first.
func Join(tasks []Task, first, second string) ([]Task, error) {
	i, err := find(tasks, first)
	if err != nil {
		return tasks, err
	}
	j, err := find(tasks, second)
	if err != nil || i == j {
		return tasks, errors.Join(err, fmt.Errorf("%w: %s and %s cannot be joined", ErrTask, first, second))
	}
	out := cloneTasks(tasks)
	a, b := &out[i], out[j]
	a.Minutes += b.Minutes
	if b.ID != first+secondHalf {
		a.Name = wording.Of("%v, %v", a.Name, b.Name)
	}
	a.Holds, a.HoldGuess = b.Holds, b.HoldGuess
	a.Guess = a.Guess || b.Guess
	if a.Machine == "" {
		a.Machine, a.OvenC, a.Loads = b.Machine, b.OvenC, b.Loads
	}
	if b.hands() {
		a.Attended = b.Attended
	}
	a.After = append(a.After, b.After...)
	for k := range out {
		rename(out[k].After, second, first)
	}
	a.After = slices.DeleteFunc(a.After, func(l Link) bool { return l.ID == first })
	out = slices.Delete(out, j, j+1)
	if bad := checkTasks("", out); len(bad) > 0 {
		return tasks, fmt.Errorf("%w: something between %s and %s must come in between", ErrTask, first, second)
	}
	return out, nil
}

// Remove takes a task out; what waited for it waits for what it waited for.
func Remove(tasks []Task, id string) ([]Task, error) {
	i, err := find(tasks, id)
	if err != nil {
		return tasks, err
	}
	out := cloneTasks(tasks)
	gone := out[i]
	out = slices.Delete(out, i, i+1)
	for k := range out {
		n := len(out[k].After)
		out[k].After = slices.DeleteFunc(out[k].After, func(l Link) bool { return l.ID == id })
		if len(out[k].After) == n {
			continue
		}
		for _, l := range gone.After {
			l.Max = NoLimit
			if !slices.ContainsFunc(out[k].After, func(o Link) bool { return o.ID == l.ID }) {
				out[k].After = append(out[k].After, l)
			}
		}
	}
	return out, nil
}

func rename(links []Link, from, to string) {
	for k := range links {
		if links[k].ID == from {
			links[k].ID = to
		}
	}
}

func cloneTasks(tasks []Task) []Task {
	out := slices.Clone(tasks)
	for i := range out {
		out[i].After = slices.Clone(out[i].After)
	}
	return out
}
