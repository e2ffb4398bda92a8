package schedule

import (
	"context"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// allowance stretches time limits where the machine is shared; the figures that
// count are those of the benchmark table.
const allowance = 8

// mustSolve solves, and holds whatever comes out against the checker.
func mustSolve(t testing.TB, p *Problem, opt Options, limit time.Duration) Result {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), limit)
	defer cancel()
	res, err := Solve(ctx, p, opt)
	require.NoError(t, err)
	require.Len(t, res.Bounds, len(p.Levels))
	if res.Plan != nil {
		require.Empty(t, Check(p, *res.Plan))
		require.Equal(t, p.Costs(*res.Plan), res.Costs)
		if len(res.Costs) > 0 {
			require.LessOrEqual(t, res.Bounds[0], res.Costs[0])
		}
		if res.Proved {
			require.Equal(t, res.Costs, res.Bounds)
		}
	}
	return res
}

func mustJobShop(t testing.TB, name string) *Problem {
	t.Helper()
	f, err := os.Open("testdata/" + name + ".txt")
	require.NoError(t, err)
	defer f.Close()
	p, err := ReadJobShop(f)
	require.NoError(t, err)
	return p
}

// Optima: FT06 and FT10 of Fisher and Thompson 1963, LA01 of Lawrence 1984; the
// optimum of FT10 was first proved by Carlier and Pinson 1989. Sources stand at
// the top of the files.
func TestJobShop(t *testing.T) {
	for name, optimum := range map[string]int{"ft06": 55, "la01": 666} {
		res := mustSolve(t, mustJobShop(t, name), Options{}, allowance*time.Second)
		require.Equal(t, []int{optimum}, res.Costs, name)
		require.True(t, res.Proved, name)
	}
	// It takes seconds on an idle core; the limit leaves room for a busy machine.
	res := mustSolve(t, mustJobShop(t, "ft10"), Options{}, 2*time.Minute)
	require.Equal(t, []int{930}, res.Costs)
}

// The start times of one optimal FT06 plan as published with the optimum show
// that the checker and the cost read the instance as its authors meant it.
func TestPublishedPlan(t *testing.T) {
	p := mustJobShop(t, "ft06")
	plan := Plan{Unit: make([]int, 36), Start: []int{
		7, 9, 16, 30, 38, 49, 0, 8, 13, 28, 40, 50, 2, 7, 11, 19, 30, 42,
		8, 13, 22, 27, 30, 46, 13, 22, 25, 42, 51, 54, 13, 16, 19, 28, 38, 54,
	}}
	require.Empty(t, Check(p, plan))
	require.Equal(t, []int{55}, p.Costs(plan))
	plan.Start[0]++
	require.NotEmpty(t, Check(p, plan))
}

func TestSameSeedSamePlan(t *testing.T) {
	p := mustJobShop(t, "ft10")
	opt := Options{Seed: 7, MaxSteps: 6000}
	a, b := mustSolve(t, p, opt, time.Minute), mustSolve(t, p, opt, time.Minute)
	require.Equal(t, a, b)
	require.LessOrEqual(t, a.Steps, opt.MaxSteps+1)
}

func TestDeadline(t *testing.T) {
	p := mustJobShop(t, "ft10")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	at := time.Now()
	_, err := Solve(ctx, p, Options{})
	require.NoError(t, err)
	require.Less(t, time.Since(at), allowance*100*time.Millisecond)
}
