package kitchen

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func minutesIn(tasks []Task) int {
	sum := 0
	for _, t := range tasks {
		sum += t.Minutes
	}
	return sum
}

func TestEdit(t *testing.T) {
	tasks := roastAndGratin().Dishes[1].Tasks // slice, bake, plate
	two, err := Split(tasks, "slice", 10)
	require.NoError(t, err)
	require.Equal(t, "slice.2", two[1].ID)
	require.Equal(t, "slice.2", two[2].After[0].ID)
	require.Equal(t, "slice", tasks[1].After[0].ID, "the old list is left alone")
	one, err := Join(two, "slice", "slice.2")
	require.NoError(t, err)
	require.Equal(t, 25, one[0].Minutes)
	require.Equal(t, tasks[0].Name, one[0].Name, "what was cut in two is itself again")
	both, err := Join(tasks, "slice", "bake")
	require.NoError(t, err)
	require.Equal(t, "slice, bake", both[0].Name.String())
	require.Equal(t, "slice", one[1].After[0].ID)
	_, err = Join(tasks, "slice", "plate")
	require.ErrorIs(t, err, ErrTask)
	_, err = Split(tasks, "slice", 25)
	require.ErrorIs(t, err, ErrTask)
	short, err := Remove(tasks, "bake")
	require.NoError(t, err)
	require.Equal(t, []Link{{ID: "slice", Max: NoLimit}}, short[1].After)
	_, err = Remove(tasks, "nothing")
	require.ErrorIs(t, err, ErrTask)
}

// No series of changes leaves a circle or a loose end, and only removal loses
// time.
func TestEditsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tasks := drawService(t).Dishes[0].Tasks
		for range rapid.IntRange(1, 6).Draw(t, "changes") {
			sum := minutesIn(tasks)
			a := tasks[rapid.IntRange(0, len(tasks)-1).Draw(t, "a")].ID
			b := tasks[rapid.IntRange(0, len(tasks)-1).Draw(t, "b")].ID
			switch rapid.IntRange(0, 2).Draw(t, "change") {
			case 0:
				tasks, _ = Split(tasks, a, rapid.IntRange(0, 40).Draw(t, "minutes"))
				require.Equal(t, sum, minutesIn(tasks))
			case 1:
				tasks, _ = Join(tasks, a, b)
				require.Equal(t, sum, minutesIn(tasks))
			case 2:
				if len(tasks) > 1 {
					tasks, _ = Remove(tasks, a)
				}
			}
			require.Empty(t, checkTasks("", tasks))
		}
	})
}

func TestCharts(t *testing.T) {
	s := roastAndGratin()
	s.Extras = []Task{ShopTask(60)}
	sheet := mustPlan(t, s)
	charts := sheet.Charts()
	require.Len(t, charts, 2)
	day := charts[1]
	require.Equal(t, "Ana", day.Lanes[0].Name.String())
	require.Zero(t, day.From.Minute()%15)
	bars := 0
	for _, l := range day.Lanes {
		last := map[int]time.Time{}
		for _, b := range l.Bars {
			bars++
			require.True(t, b.Left >= 0 && b.Left+b.Width <= 1.0001)
			require.False(t, b.Start.Before(last[b.Level]))
			last[b.Level] = b.End()
		}
	}
	require.GreaterOrEqual(t, bars, len(sheet.Rows)-1)
}
