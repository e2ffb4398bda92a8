package kitchen

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
)

// readDemo reads the recipes of the demo's folder; each begins with a header
// that ends in a line of three dashes.
func readDemo(t *testing.T, pattern string) []Dish {
	t.Helper()
	files, err := filepath.Glob("../../cmd/fairladle/demo/data/" + pattern)
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skip("the demo's recipes are not where this test looks: cmd/fairladle/demo/data/" + pattern)
	}
	var dishes []Dish
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		_, body, _ := strings.Cut(string(text), "\n---\n")
		dishes = append(dishes, Dish{Breakdown: recipe.Read(body)})
	}
	return dishes
}

// A house dish of the demo beside an entry: one cook, four burners, one oven.
// The plan is proved best, within 200 ms where nothing else runs.
func TestDemoDishes(t *testing.T) {
	house, entries := readDemo(t, "house/*.txt"), readDemo(t, "entries/*/*.txt")
	pairs, proved, tasks, slowest := 0, 0, 0, time.Duration(0)
	for _, h := range house {
		for i := 0; i < len(entries); i += 5 {
			s := Service{Dishes: []Dish{h, entries[i]}, Portions: 6, Serve: six, Cooks: []string{"Ana"}, Kitchen: Kitchen{Burners: 4, Ovens: 1}}
			from := time.Now()
			sheet := mustPlan(t, s)
			slowest = max(slowest, time.Since(from))
			if len(sheet.Rows) == 0 {
				require.Contains(t, said(sheet.Blocks), "has no steps")
				continue
			}
			pairs++
			tasks = max(tasks, len(sheet.Rows))
			require.Zero(t, sheet.Late)
			if sheet.Proved {
				proved++
			}
		}
	}
	t.Logf("%d of %d pairs proved best, up to %d rows, slowest %v", proved, pairs, tasks, slowest)
	require.Greater(t, pairs, 20)
	require.GreaterOrEqual(t, float64(proved), 0.95*float64(pairs))
	require.Less(t, slowest, 10*200*time.Millisecond)
}

// Two dishes of our own with 45 tasks on two days: overnight work moved to the
// evening before, two oven temperatures, hot food plated soon after the heat.
func TestTwoDays(t *testing.T) {
	var dishes []Dish
	for _, name := range []string{"shoulder", "squash"} {
		text, err := os.ReadFile("testdata/" + name + ".txt")
		require.NoError(t, err)
		dishes = append(dishes, Dish{Breakdown: recipe.Read(string(text))})
	}
	s := Service{Dishes: dishes, Portions: 6, Serve: six, Cooks: []string{"Ana"}, Kitchen: Kitchen{Burners: 4, Ovens: 1}}
	from := time.Now()
	sheet := mustPlan(t, s)
	t.Logf("%d rows in %v, %v", len(sheet.Rows), time.Since(from), sheet.Wishes)
	require.Less(t, time.Since(from), 10*200*time.Millisecond) // 200 ms where nothing else runs
	require.GreaterOrEqual(t, len(sheet.Rows), 40)
	require.True(t, sheet.Proved)
	require.Zero(t, sheet.Late)
	soak, braise, fry := rowOf(t, sheet, "1:c0.s0"), rowOf(t, sheet, "0:c0.s2"), rowOf(t, sheet, "0:c2.s3")
	require.Less(t, soak.Start.Day(), six.Day())
	require.Equal(t, six.Day(), braise.Start.Day())
	require.LessOrEqual(t, six.Sub(fry.End()), time.Hour)
	require.Zero(t, sheet.Wishes[1].Minutes, "nothing is held too long")

	// One more cook never makes the day longer.
	s.Cooks = []string{"Ana", "Bo"}
	two := mustPlan(t, s)
	require.False(t, two.DayBegins.Before(sheet.DayBegins))
}
