package web

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/challenge/recipe"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showTasks is the table of tasks that the plan is made of.
func (s *Server) showTasks(w http.ResponseWriter, r *http.Request) error {
	_, p, r, err := s.plannedCooking(r, "/tasks", "Tasks")
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Tasks(tasksPage(r.Context(), p)))
}

func tasksPage(ctx context.Context, p views.KitchenPage) views.TasksPage {
	p.Frame.Wide = true
	page := views.TasksPage{KitchenPage: p}
	for _, d := range p.X.Service.Cooked() {
		page.Dishes = append(page.Dishes, taskTable(ctx, p.X, d))
	}
	page.Machines = machines(p.X, page.Dishes)
	return page
}

func taskTable(ctx context.Context, x store.Cooking, d challenge.ServiceDish) views.TaskTable {
	t := views.TaskTable{Dish: d.Dish, Name: writtenOf(x, d.Dish).Name, Corrected: d.Tasks != nil || len(d.Film) > 0}
	shown := x.Service.Shown(x.Recipes, d.Dish)
	t.Stale, t.StaleFor = x.Service.Unscaled(x.Recipes, d.Dish)
	for i, task := range shown.Tasks[shown.Own] {
		after := challenge.WriteAfter(task, shown)
		name := text.From(ctx).Say(task.Name)
		t.Rows = append(t.Rows, views.TaskRow{Number: i + 1, Guess: task.Guess, Source: task.Known(), Text: task.Text,
			TaskEdit: challenge.TaskEdit{ID: task.ID, Name: name, NameWas: name, Minutes: task.Minutes, Attended: task.Attended, Machine: task.Machine,
				OvenC: task.OvenC, After: after, AfterWas: after, Ahead: task.Ahead, Delicate: task.Delicate, Film: slices.Contains(d.Film, task.ID),
				Wash: slices.Contains(d.Wash, task.ID), Runs: runsOf(task)}})
	}
	return t
}

// runsOf is in how many batches, or on how many trays, a task is done.
func runsOf(t kitchen.Task) int {
	if t.Machine == "oven" {
		return max(1, t.Loads)
	}
	return max(1, t.Batches)
}

// saveTasks takes one dish's table over, does what the button says, and plans
// again.
func (s *Server) saveTasks(w http.ResponseWriter, r *http.Request) error {
	d, p, r, err := s.plannedCooking(r, "/tasks", "Tasks")
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	dish, rows := id(r, "dish"), taskRows(r)
	move := taskMove(field(r, "do"))
	err = s.db.DecideService(r.Context(), d.actor, d.challenge.ID, p.X.Round.ID, number(r, "revision"), func(x store.Cooking, v *challenge.Service) error {
		return v.EditTasks(x.Recipes, dish, rows, move)
	})
	if m, ok := refusals(err); ok {
		page := tasksPage(r.Context(), p)
		page.Messages = m
		page.Typed(dish, rows)
		s.show(w, r, formStatus(err), views.Tasks(page))
		return nil
	}
	if err != nil {
		return err
	}
	at := ""
	if move.Do != "" && move.Do != "remove" && move.Do != "derive" {
		at = "#task-" + strconv.FormatInt(dish, 10) + "-" + move.ID
	}
	return to(w, r, p.Base+"/tasks?said=planned"+at)
}

// taskMove reads a button: "split:c0.s1".
func taskMove(do string) challenge.TaskMove {
	name, task, _ := strings.Cut(do, ":")
	if name == "save" {
		name = ""
	}
	return challenge.TaskMove{Do: name, ID: task}
}

func taskRows(r *http.Request) (rows []challenge.TaskEdit) {
	for _, key := range r.PostForm["task"] {
		rows = append(rows, challenge.TaskEdit{ID: key, Name: field(r, "name-"+key), NameWas: field(r, "namewas-"+key), Minutes: number(r, "minutes-"+key),
			Attended: recipe.Attention(field(r, "attended-"+key)), Machine: field(r, "machine-"+key), OvenC: minutesOr0(r, "oven-"+key),
			After: field(r, "after-"+key), AfterWas: field(r, "afterwas-"+key),
			Ahead: ticked(r, "ahead-"+key), Delicate: ticked(r, "delicate-"+key), Film: ticked(r, "film-"+key),
			Wash: ticked(r, "wash-"+key), Runs: minutesOr0(r, "runs-"+key)})
	}
	return rows
}
