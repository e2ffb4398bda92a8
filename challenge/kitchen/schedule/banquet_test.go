package schedule

import (
	"encoding/json"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// banquet is an invented service of twelve dishes: 283 tasks on three days,
// three cooks with nights off, six burners, two ovens of two shelves with three
// temperatures, a mixer. Levels: in time, holding, plates together, a short
// serving day, early work late.
func mustBanquet(t *testing.T) *Problem {
	t.Helper()
	text, err := os.ReadFile("testdata/banquet.json")
	require.NoError(t, err)
	p := &Problem{}
	require.NoError(t, json.Unmarshal(text, p))
	require.Len(t, p.Tasks, 283)
	return p
}

// The length of the serving day is level 3; its bound counts only the cooks'
// work. A first plan is there within 100 ms and is within ten percent of the
// bound within 5 s where nothing else runs (FAIRLADLE_LONG=1 measures that);
// otherwise steps are counted, so that the test does not depend on neighbours.
func TestBanquet(t *testing.T) {
	p := mustBanquet(t)
	first, then := Options{MaxSteps: 1_000}, Options{MaxSteps: 60_000}
	soon, later := time.Minute, time.Minute
	if os.Getenv("FAIRLADLE_LONG") != "" {
		first, then, soon, later = Options{}, Options{}, 100*time.Millisecond, 5*time.Second
	}
	one := mustSolve(t, p, first, soon)
	require.NotNil(t, one.Plan)
	require.Equal(t, []int{0, 0}, one.Costs[:2])
	res := mustSolve(t, p, then, later)
	t.Logf("first %v, then %v of %v in %d steps", one.Costs, res.Costs, res.Bounds, res.Steps)
	require.Equal(t, []int{0, 0, 0}, res.Costs[:3])
	require.LessOrEqual(t, float64(res.Costs[3]), 1.10*float64(res.Bounds[3]))
}
