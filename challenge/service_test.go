package challenge

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/kitchen"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

const soupText = "Leek soup\n\nServes 4\n\n3 leeks, sliced\n30 g butter\n1 l stock\n\n" +
	"Sweat the leeks in the butter for 10 minutes.\nAdd the stock and simmer for 20 minutes.\nBlend until smooth."

func soup() (Service, []Written) {
	recipes := []Written{{Dish: 7, Version: 1, Name: "Soup", Reading: recipe.Read(soupText)}}
	s := Service{Serve: time.Date(2026, 11, 21, 18, 0, 0, 0, time.UTC), Portions: 4, Cooks: []string{"Ana"}}
	s.Cover(recipes, DefaultKitchen())
	return s, recipes
}

// Whatever buttons are pressed in whatever order, the tasks stay a plan: every
// name is there once, and nothing waits for itself or for what is gone.
func TestTaskMovesKeepAPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, recipes := soup()
		for range rapid.IntRange(1, 12).Draw(t, "moves") {
			tasks := s.Tasks(recipes, 7)
			move := TaskMove{Do: rapid.SampledFrom([]string{"earlier", "split", "join", "add", "remove"}).Draw(t, "do"),
				ID: rapid.SampledFrom(tasks).Draw(t, "task").ID}
			err := s.EditTasks(recipes, 7, nil, move)
			after := s.Tasks(recipes, 7)
			if err != nil {
				require.Equal(t, tasks, after, "what is refused changes nothing")
			}
			requirePlan(t, after)
		}
	})
}

func requirePlan(t require.TestingT, tasks []kitchen.Task) {
	at := map[string]int{}
	for i, x := range tasks {
		require.NotContains(t, at, x.ID)
		at[x.ID] = i
	}
	seen := make([]int, len(tasks))
	var visit func(i int)
	visit = func(i int) {
		require.NotEqual(t, 1, seen[i], "a circle at %s", tasks[i].ID)
		if seen[i] == 2 {
			return
		}
		seen[i] = 1
		for _, l := range tasks[i].After {
			require.Contains(t, at, l.ID)
			visit(at[l.ID])
		}
		seen[i] = 2
	}
	for i := range tasks {
		visit(i)
	}
}

func TestAfterIsReadAsItIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		own := []kitchen.Task{{ID: "a"}, {ID: "b"}, {ID: "c"}, {ID: "d"}}
		shown := Table{Dishes: []int64{7, 9}, Tasks: [][]kitchen.Task{own, {{ID: "x"}}}}
		task := kitchen.Task{ID: "d"}
		if rapid.Bool().Draw(t, "elsewhere") {
			task.After = []kitchen.Link{{ID: "#9:x", Max: kitchen.NoLimit}}
		}
		for _, o := range own[:rapid.IntRange(0, 3).Draw(t, "links")] {
			l := kitchen.Link{ID: o.ID, Min: rapid.IntRange(0, 600).Draw(t, "min"), Max: kitchen.NoLimit}
			if rapid.Bool().Draw(t, "capped") {
				l.Max = l.Min + rapid.IntRange(0, 60).Draw(t, "more")
			}
			task.After = append(task.After, l)
		}
		links, refused := ReadAfter(WriteAfter(task, shown), shown, "d")
		require.Nil(t, refused)
		require.Equal(t, task.After, links)
	})
	shown := Table{Dishes: []int64{7}, Tasks: [][]kitchen.Task{{{ID: "a"}, {ID: "b"}, {ID: "c"}, {ID: "d"}}}}
	for _, bad := range []string{"5", "0", "4", "x", "1+", "1<-2", "1+9<3", "A", "B1", "A4"} {
		_, refused := ReadAfter(bad, shown, "d")
		require.NotNil(t, refused, bad)
	}
}

func TestTastersAreRead(t *testing.T) {
	list, err := ReadTasters("Seat 2: milk, hazelnuts\n\nSeat 4:\n")
	require.NoError(t, err)
	require.Equal(t, []kitchen.Taster{{Name: "Seat 2", Allergens: []string{"milk", "treenut"}}, {Name: "Seat 4"}}, list)
	_, err = ReadTasters("Seat 2 milk")
	require.Error(t, err)
	_, err = ReadTasters("Seat 2: moonlight")
	require.ErrorContains(t, err, "moonlight")
}

func TestNotesOfACook(t *testing.T) {
	now := time.Date(2026, 11, 21, 16, 0, 0, 0, time.UTC)
	sheet := kitchen.RunSheet{Rows: []kitchen.Row{{ID: "0:a", Start: now, Minutes: 10, What: wording.Name("Fry")}, {ID: "0:a+1", Start: now, Minutes: 10}}}
	var log kitchen.Log
	press := func(do string, minutes int) error {
		e, fresh, err := CookNote{Task: "0:a", Do: do, Minutes: minutes}.Note(sheet, log, now)
		if fresh && err == nil {
			log = append(log, e)
		}
		return err
	}
	require.Error(t, press("again", 0), "nothing to make again before the start")
	require.Error(t, press("late", 5))
	require.NoError(t, press("start", 0))
	require.NoError(t, press("start", 0))
	require.Len(t, log, 1)
	require.Error(t, press("late", 0))
	require.NoError(t, press("late", 5))
	require.NoError(t, press("late", 5))
	require.Equal(t, 10, LastNotes(log)["0:a"].Longer)
	now = now.Add(25 * time.Minute)
	require.NoError(t, press("done", 0))
	require.Equal(t, 25*time.Minute, log[len(log)-1].End.Sub(log[len(log)-1].Start))
	require.NoError(t, press("undo", 0))
	require.True(t, LastNotes(log)["0:a"].End.IsZero())
	require.NoError(t, press("again", 0))
	e, _, err := CookNote{Task: "0:a+1", Do: "again"}.Note(sheet, append(log, kitchen.LogEntry{Task: "0:a+1", Start: now}), now)
	require.NoError(t, err)
	require.Equal(t, 2, e.Again, "a copy counts on the task it repeats")
	_, _, err = CookNote{Task: "9:z", Do: "start"}.Note(sheet, log, now)
	require.Error(t, err)
}
