package challenge

import (
	"fmt"
	"slices"

	"fairladle/challenge/kitchen"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// longestTask is two days; longer waits belong to no plan.
const longestTask = 2 * 24 * 60

// A TaskEdit is one row of the table of tasks as the host sent it. After lists
// the rows that must be done first (see ReadAfter); NameWas and AfterWas are what
// the table showed, so that what was not touched stays as it is.
type TaskEdit struct {
	ID              string
	Name, NameWas   string
	Minutes         int
	Attended        recipe.Attention
	Machine         string
	OvenC           int
	After, AfterWas string
	Ahead, Delicate bool
	Film, Wash      bool
	Runs            int // batches, or trays in an oven; 0 leaves them
}

// A TaskMove is what a button of the table does to one task.
type TaskMove struct {
	Do string // "", earlier, split, join, add, remove, derive
	ID string
}

// Tasks are the tasks of a dish as the table shows them, without those of
// bought components.
func (s Service) Tasks(recipes []Written, dish int64) []kitchen.Task {
	i := s.dish(dish)
	if i < 0 {
		return nil
	}
	return s.planned(s.Dishes[i], recipes).Derive(s.Portions)
}

// allTasks are the tasks that corrections are laid over: those of bought
// components too.
func (s Service) allTasks(d ServiceDish, recipes []Written) []kitchen.Task {
	if d.Tasks != nil {
		tasks, _ := s.rescaled(d, recipes)
		return tasks
	}
	dish := d.written(recipes)
	dish.Kitchen = kitchenOf(s.Equipment())
	return dish.Derive(s.Portions)
}

// EditTasks takes the rows of a dish's table over, then makes the move.
func (s *Service) EditTasks(recipes []Written, dish int64, rows []TaskEdit, move TaskMove) error {
	i := s.dish(dish)
	if i < 0 {
		return NotFound("There is no such dish in this service.")
	}
	s.Dishes = slices.Clone(s.Dishes)
	d := &s.Dishes[i]
	if move.Do == "derive" {
		d.Tasks, d.Film, d.Wash = nil, nil, nil
		return nil
	}
	shown := s.Shown(recipes, dish)
	tasks := s.allTasks(*d, recipes)
	changed := false
	var film, wash []string
	var bad Refusals
	for _, e := range rows {
		k := slices.IndexFunc(tasks, func(t kitchen.Task) bool { return t.ID == e.ID })
		if k < 0 {
			return Refuse(Stale, "", "This table was changed elsewhere. Look at it again; nothing was saved.")
		}
		if e.Film {
			film = append(film, e.ID)
		}
		if e.Wash {
			wash = append(wash, e.ID)
		}
		changed = e.apply(&tasks[k], shown, &bad) || changed
	}
	if err := bad.Err(); err != nil {
		return err
	}
	if move.Do != "" {
		var err error
		if tasks, err = move.apply(tasks); err != nil {
			return err
		}
		changed = true
	}
	d.Film, d.Wash = film, wash
	if changed {
		d.Tasks, d.For = tasks, s.Portions
	}
	return nil
}

// apply writes a row over its task and tells whether anything is different.
func (e TaskEdit) apply(t *kitchen.Task, shown Table, bad *Refusals) bool {
	was := fmt.Sprint(*t)
	if e.Name == "" || len(e.Name) > 200 {
		bad.Add("name-"+e.ID, "Give the task a short name.")
	}
	if e.Minutes < 0 || e.Minutes > longestTask {
		bad.Add("minutes-"+e.ID, "Say how many minutes it takes: 0 to %v.", longestTask)
	}
	if e.Machine == "oven" && (e.OvenC < 30 || e.OvenC > 350) {
		bad.Add("oven-"+e.ID, "Say how hot the oven is: 30 to 350 °C.")
	}
	if e.Attended != recipe.Attended && e.Attended != recipe.Part && e.Attended != recipe.Unattended {
		bad.Add("attended-"+e.ID, "Choose from the list.")
	}
	if e.Minutes != t.Minutes {
		t.Minutes, t.Guess, t.Source = e.Minutes, false, kitchen.FromHost
	}
	if e.Name != e.NameWas {
		t.Name = wording.Name(e.Name)
	}
	t.Attended, t.Ahead, t.Delicate = e.Attended, e.Ahead, e.Delicate
	if e.Machine != t.Machine {
		t.Machine, t.Loads, t.Batches = e.Machine, 0, 0
	}
	e.runs(t, bad)
	if t.OvenC = 0; t.Machine == "oven" {
		t.OvenC = e.OvenC
	}
	if e.After != e.AfterWas {
		after, err := ReadAfter(e.After, shown, e.ID)
		if err != nil {
			*bad = append(*bad, err)
		}
		t.After = after
	}
	return fmt.Sprint(*t) != was
}

// runs sets the batches, or in an oven the trays.
func (e TaskEdit) runs(t *kitchen.Task, bad *Refusals) {
	if e.Runs == 0 {
		return // not said
	}
	if e.Runs < 0 || e.Runs > 100 {
		bad.Add("runs-"+e.ID, "Say in how many batches or on how many trays: 1 to 100.")
		return
	}
	is := &t.Batches
	if t.Machine == "oven" {
		is = &t.Loads
	}
	if max(1, *is) != max(1, e.Runs) {
		*is = e.Runs
	}
}

func (m TaskMove) apply(tasks []kitchen.Task) ([]kitchen.Task, error) {
	k := slices.IndexFunc(tasks, func(t kitchen.Task) bool { return t.ID == m.ID })
	if k < 0 {
		return tasks, Refuse(Stale, "", "This table was changed elsewhere. Look at it again; nothing was saved.")
	}
	switch m.Do {
	case "earlier":
		return earlier(tasks, k)
	case "add":
		return added(tasks, k), nil
	case "remove":
		if len(tasks) == 1 {
			return tasks, Refuse(Invalid, "", "A dish needs at least one task.")
		}
		return kitchen.Remove(tasks, m.ID)
	case "split":
		out, err := kitchen.Split(tasks, m.ID, tasks[k].Minutes/2)
		if err != nil {
			return tasks, Refuse(Invalid, "minutes-"+m.ID, "This task cannot be cut in two: it is too short, or was cut before.")
		}
		out[k+1].Name = wording.Of("%v (second part)", out[k+1].Name)
		return out, nil
	case "join":
		if k+1 == len(tasks) {
			return tasks, Refuse(Invalid, "name-"+m.ID, "There is no task below this one.")
		}
		out, err := kitchen.Join(tasks, m.ID, tasks[k+1].ID)
		if err != nil {
			return tasks, Refuse(Invalid, "name-"+m.ID, "These two cannot be joined: something else must come between them.")
		}
		return out, nil
	}
	return tasks, Refuse(Invalid, "", "There is no such button on this page.")
}

// earlier moves a task one row up. Where it waited for the row above, the two
// change places in the order of work: the other one now waits for it.
func earlier(tasks []kitchen.Task, k int) ([]kitchen.Task, error) {
	if k == 0 {
		return tasks, Refuse(Invalid, "name-"+tasks[k].ID, "This is the first task already.")
	}
	out := slices.Clone(tasks)
	for i := range out {
		out[i].After = slices.Clone(out[i].After)
	}
	up, down := &out[k], &out[k-1]
	if i := slices.IndexFunc(up.After, func(l kitchen.Link) bool { return l.ID == down.ID }); i >= 0 {
		others := slices.Delete(slices.Clone(up.After), i, i+1)
		for j := range out {
			for n := range out[j].After {
				if out[j].ID != up.ID && out[j].After[n].ID == up.ID {
					out[j].After[n] = kitchen.Link{ID: down.ID, Max: kitchen.NoLimit}
				}
			}
		}
		up.After, down.After = append(down.After, others...), []kitchen.Link{{ID: up.ID, Max: kitchen.NoLimit}}
	}
	*up, *down = *down, *up
	return out, nil
}

// added puts a new task behind another; what waited for that one waits for the
// new one.
func added(tasks []kitchen.Task, k int) []kitchen.Task {
	id := newID(tasks)
	t := kitchen.Task{ID: id, Component: tasks[k].Component, Name: wording.Of("New task"), Kind: kitchen.Cook, Minutes: 5, Source: kitchen.FromHost,
		Attended: recipe.Attended, Holds: kitchen.NoLimit, After: []kitchen.Link{{ID: tasks[k].ID, Max: kitchen.NoLimit}}}
	out := slices.Clone(tasks)
	for i := range out {
		out[i].After = slices.Clone(out[i].After)
		for n := range out[i].After {
			if out[i].After[n].ID == tasks[k].ID {
				out[i].After[n].ID = id
			}
		}
	}
	if tasks[k].Kind == kitchen.Plate {
		t.Kind = kitchen.Plate
	}
	return slices.Insert(out, k+1, t)
}

func newID(tasks []kitchen.Task) string {
	for n := 1; ; n++ {
		id := fmt.Sprintf("h%d", n)
		if !slices.ContainsFunc(tasks, func(t kitchen.Task) bool { return t.ID == id }) {
			return id
		}
	}
}
