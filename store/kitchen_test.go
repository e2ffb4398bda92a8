package store

import (
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
)

// galley opens a cooking round with one entry and one house dish.
func (b *bench) galley() (challenge.Challenge, challenge.Round) {
	c, ctx := b.open(), b.t.Context()
	_, _, err := b.Submit(ctx, c.ID, "", submission(1), "", nil)
	require.NoError(b.t, err)
	for _, r := range c.Rounds[:3] {
		require.NoError(b.t, b.RemoveRound(ctx, b.host, c.ID, r.ID))
	}
	_, err = b.SaveHouseDish(ctx, b.host, c.ID, 0, "Hanne Osei", "House gratin\n\nServes 4\n\n800 g potatoes, sliced\n300 ml cream\n\n"+
		"Layer the potatoes with the cream.\nBake at 190 C for 50 minutes.")
	require.NoError(b.t, err)
	b.at = b.at.AddDate(0, 0, 15)
	c = b.reload(c)
	require.NoError(b.t, b.OpenRound(ctx, b.host, c.ID, c.Rounds[0].ID))
	c = b.reload(c)
	return c, c.Rounds[0]
}

func (b *bench) decide(c challenge.Challenge, r challenge.Round, revision int, serve time.Time) error {
	return b.DecideService(b.t.Context(), b.host, c.ID, r.ID, revision, func(_ Cooking, s *challenge.Service) error {
		s.Serve, s.Cooks = serve, []string{"Ana"}
		return nil
	})
}

func (b *bench) cooking(c challenge.Challenge, r challenge.Round) Cooking {
	x, err := b.Cooking(b.t.Context(), b.host, c.ID, r.ID)
	require.NoError(b.t, err)
	return x
}

func TestServiceIsKeptAndPlannedOnce(t *testing.T) {
	b := openBench(t)
	c, r := b.galley()
	serve := b.at.Truncate(24*time.Hour).AddDate(0, 0, 3).Add(18 * time.Hour)
	require.Error(t, b.decide(c, r, 0, b.at.Add(-time.Hour)))
	require.Zero(t, b.cooking(c, r).Revision)
	require.NoError(t, b.decide(c, r, 0, serve))
	require.True(t, isStale(b.decide(c, r, 0, serve)), "the page showed no plan, and there is one")
	x := b.cooking(c, r)
	require.Equal(t, serve, x.Sheet.Serve.UTC())
	require.NotEmpty(t, x.Sheet.Rows)
	b.reopen()
	require.Equal(t, x.Sheet, b.cooking(c, r).Sheet)

	reader := challenge.Actor{Role: challenge.Reader, ID: 1, Challenge: c.ID}
	_, err := b.Cooking(t.Context(), reader, c.ID, r.ID)
	require.Error(t, err)
	require.Error(t, b.NoteCooking(t.Context(), reader, c.ID, r.ID, challenge.CookNote{Do: "replan"}))
}

func TestTwoPhonesNoteAtOnce(t *testing.T) {
	b := openBench(t)
	c, r := b.galley()
	require.NoError(t, b.decide(c, r, 0, b.at.Truncate(24*time.Hour).AddDate(0, 0, 3).Add(18*time.Hour)))
	x := b.cooking(c, r)
	var wg sync.WaitGroup
	var notes []challenge.CookNote
	for _, row := range x.Sheet.Rows {
		if row.ID != "" && len(notes) < 3 {
			notes = append(notes, challenge.CookNote{Task: row.ID, Do: "start"})
		}
	}
	b.at = x.Sheet.Rows[0].Start
	errs := make([]error, 2*len(notes))
	for i := range errs {
		wg.Go(func() { errs[i] = b.NoteCooking(t.Context(), b.host, c.ID, r.ID, notes[i%len(notes)]) })
	}
	wg.Wait()
	taken := map[string]int{}
	for _, e := range b.cooking(c, r).Log {
		taken[e.Task]++
	}
	for i, err := range errs {
		if err == nil {
			require.Equal(t, 1, taken[notes[i%len(notes)].Task], "what was taken stands in the log once")
		} else {
			require.True(t, isStale(err), err)
		}
	}
	require.Equal(t, x.Sheet.Serve, b.cooking(c, r).Planned.Serve)
}

func TestCookingInTheNightKeepsARunSheet(t *testing.T) {
	b := openBench(t)
	c, r := b.galley()
	day := b.at.Truncate(24 * time.Hour)
	require.NoError(t, b.decide(c, r, 0, day.AddDate(0, 0, 3).Add(18*time.Hour)))
	x := b.cooking(c, r)
	first := x.Sheet.Rows[slices.IndexFunc(x.Sheet.Rows, func(r kitchen.Row) bool { return r.ID != "" })]
	b.at = day.AddDate(0, 0, 1).Add(2 * time.Hour) // two in the morning, long before its time
	require.NoError(t, b.NoteCooking(t.Context(), b.host, c.ID, r.ID, challenge.CookNote{Task: first.ID, Do: "start"}))
	x = b.cooking(c, r)
	require.NotEmpty(t, x.Sheet.Rows)
	require.Len(t, x.Log, 1)
	require.NotEmpty(t, x.Says)
	require.NoError(t, b.NoteCooking(t.Context(), b.host, c.ID, r.ID, challenge.CookNote{Task: first.ID, Do: "undo"}))
	require.True(t, challenge.LastNotes(b.cooking(c, r).Log)[first.ID].Start.IsZero())
}

func TestANewVersionDropsCorrections(t *testing.T) {
	b := openBench(t)
	c, r := b.galley()
	serve := b.at.Truncate(24*time.Hour).AddDate(0, 0, 3).Add(18 * time.Hour)
	require.NoError(t, b.decide(c, r, 0, serve))
	x := b.cooking(c, r)
	dish := x.Dishes[1].ID
	tasks := x.Service.Tasks(x.Recipes, dish)
	require.NoError(t, b.DecideService(t.Context(), b.host, c.ID, r.ID, x.Revision, func(x Cooking, s *challenge.Service) error {
		return s.EditTasks(x.Recipes, dish, nil, challenge.TaskMove{Do: "add", ID: tasks[0].ID})
	}))
	require.Len(t, b.cooking(c, r).Service.Tasks(x.Recipes, dish), len(tasks)+1)
	_, err := b.SaveHouseDish(t.Context(), b.host, c.ID, dish, "Hanne Osei", "House gratin\n\nServes 4\n\n800 g potatoes\n\nBake at 200 C for 40 minutes.")
	require.NoError(t, err)
	require.Nil(t, b.cooking(c, r).Service.Dishes[1].Tasks)
}
