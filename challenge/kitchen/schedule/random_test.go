package schedule

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// drawProblem makes a small problem with everything that the package knows:
// lags of both kinds, closed times, states, several units, two levels.
func drawProblem(t *rapid.T) *Problem {
	p := &Problem{Horizon: rapid.IntRange(4, 9).Draw(t, "horizon")}
	p.Resources = []Resource{
		{Capacity: rapid.IntRange(1, 3).Draw(t, "capacity")},
		{Capacity: rapid.IntRange(1, 2).Draw(t, "shelves"), Units: rapid.IntRange(1, 2).Draw(t, "ovens"),
			Setup: [][]int{{0, 1}, {2, 0}}},
	}
	if rapid.Bool().Draw(t, "night") {
		from := rapid.IntRange(0, 6).Draw(t, "from")
		p.Resources[0].Closed = []Interval{{from, from + rapid.IntRange(0, 2).Draw(t, "length")}}
	}
	n := rapid.IntRange(1, 4).Draw(t, "tasks")
	for range n {
		task := Task{Duration: rapid.IntRange(0, 3).Draw(t, "duration"), Earliest: rapid.IntRange(0, 2).Draw(t, "earliest")}
		if rapid.IntRange(0, 3).Draw(t, "due") == 0 {
			task.Deadline = rapid.IntRange(1, 9).Draw(t, "deadline")
		}
		if a := rapid.IntRange(0, 2).Draw(t, "amount"); a > 0 {
			task.Needs = append(task.Needs, Need{Resource: 0, Amount: a, State: NoState})
		}
		if s := rapid.IntRange(0, 2).Draw(t, "state"); s > 0 {
			task.Needs = append(task.Needs, Need{Resource: 1, Amount: 1, State: s - 1})
		}
		p.Add(task)
	}
	for range rapid.IntRange(0, 4).Draw(t, "arcs") {
		p.Arcs = append(p.Arcs, Arc{
			From: rapid.IntRange(0, n-1).Draw(t, "a"), To: rapid.IntRange(0, n-1).Draw(t, "b"),
			Wait: rapid.IntRange(-4, 3).Draw(t, "wait"),
		})
	}
	early := p.Makespan()
	late := Level{Name: "late"}
	for i := range n {
		late.Limits = append(late.Limits, Limit{From: i, To: rapid.IntRange(-1, n-1).Draw(t, "to"),
			Max: rapid.IntRange(-9, 3).Draw(t, "max")})
	}
	p.Levels = []Level{early, late}
	if rapid.Bool().Draw(t, "turn") {
		p.Levels = []Level{late, early}
	}
	return p
}

// exhaust tries every plan there is and returns the smallest costs.
func exhaust(p *Problem) []int {
	n := len(p.Tasks)
	plan := Plan{Start: make([]int, n), Unit: make([]int, n)}
	var best []int
	var try func(i int)
	try = func(i int) {
		if i == n {
			if len(Check(p, plan)) == 0 {
				if c := p.Costs(plan); best == nil || less(c, best) {
					best = c
				}
			}
			return
		}
		units := 1
		for _, need := range p.Tasks[i].Needs {
			units = max(units, p.Resources[need.Resource].Units)
		}
		for plan.Unit[i] = range units {
			for at := p.Tasks[i].Earliest; at <= p.Horizon-p.Tasks[i].Duration; at++ {
				plan.Start[i] = at
				try(i + 1)
			}
		}
	}
	try(0)
	return best
}

func TestAgainstEveryPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		want := exhaust(p)
		res, err := Solve(context.Background(), p, Options{Seed: 1})
		require.NoError(t, err)
		require.True(t, res.Proved)
		if want == nil {
			require.Nil(t, res.Plan)
			return
		}
		require.NotNil(t, res.Plan)
		require.Empty(t, Check(p, *res.Plan))
		require.Equal(t, want, res.Costs)
		require.Equal(t, want, res.Bounds)
	})
}

// More of a resource never makes a proved plan longer.
func TestMoreNeverHurts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		less, err := Solve(context.Background(), p, Options{})
		require.NoError(t, err)
		r := rapid.IntRange(0, 1).Draw(t, "which")
		p.Resources[r].Capacity++
		more, err := Solve(context.Background(), p, Options{})
		require.NoError(t, err)
		if less.Plan == nil {
			return
		}
		require.NotNil(t, more.Plan)
		require.LessOrEqual(t, more.Costs[0], less.Costs[0])
	})
}

func TestBadProblems(t *testing.T) {
	for name, p := range map[string]*Problem{
		"horizon":  {Horizon: -1},
		"resource": {Horizon: 5, Tasks: []Task{{Needs: []Need{{Resource: 3}}}}},
		"arc":      {Horizon: 5, Arcs: []Arc{{From: 0, To: 1}}},
		"setup":    {Horizon: 5, Resources: []Resource{{Setup: [][]int{{0, 1}}}}},
		"units":    {Horizon: 5, Resources: []Resource{{Units: 2}}},
	} {
		_, err := Solve(t.Context(), p, Options{})
		require.ErrorIs(t, err, ErrProblem, name)
	}
	for name, p := range map[string]*Problem{
		"cycle":    {Horizon: 50, Tasks: make([]Task, 2), Arcs: []Arc{{0, 1, 3}, {1, 0, -2}}},
		"too long": {Horizon: 5, Tasks: []Task{{Duration: 6}}},
		"none of it": {Horizon: 5, Resources: []Resource{{Capacity: 0}},
			Tasks: []Task{{Duration: 1, Needs: []Need{{Amount: 1}}}}},
	} {
		res := mustSolve(t, p, Options{}, time.Minute)
		require.True(t, res.Proved, name)
		require.Nil(t, res.Plan, name)
	}
	empty := mustSolve(t, &Problem{}, Options{}, time.Minute)
	require.True(t, empty.Proved)
	require.NotNil(t, empty.Plan)
}

// Two thousand tasks on three hands get a plan at once, if not a proof.
func TestManyTasks(t *testing.T) {
	p := &Problem{Resources: []Resource{{Capacity: 3}}}
	for i := range 2000 {
		p.Add(Task{Duration: 1 + i%7, Needs: []Need{{Amount: 1, State: NoState}}})
		if i%5 > 0 {
			p.Before(i-1, i, 0)
		}
		p.Horizon += 7
	}
	p.Levels = []Level{p.Makespan()}
	res := mustSolve(t, p, Options{}, 2*time.Second)
	require.NotNil(t, res.Plan)
	require.LessOrEqual(t, float64(res.Costs[0]), 1.05*float64(res.Bounds[0]))
}
