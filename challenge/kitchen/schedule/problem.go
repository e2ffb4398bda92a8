package schedule

import (
	"errors"
	"fmt"
)

// Origin stands for time zero where a task number is expected.
const Origin = -1

// NoState marks a need of a resource without states.
const NoState = -1

// Interval is the half-open time span [From, To).
type Interval struct{ From, To int }

// Resource can serve Capacity units of demand at a time on each of its Units
// interchangeable pieces (an oven with three shelves has capacity 3; two such
// ovens are two units).
type Resource struct {
	Name     string
	Capacity int
	Units    int        // 0 means 1; more than 1 needs States
	Closed   []Interval // no task that needs the resource may run in these
	// Setup[a][b] is the time that must pass on one unit between the end of a
	// task in state a and the start of a task in another state b. Nil means
	// that the resource has no states. The diagonal is not used.
	Setup [][]int
}

// HasStates tells whether tasks on the resource must agree on a state.
func (r Resource) HasStates() bool { return r.Setup != nil }

func (r Resource) units() int { return max(1, r.Units) }

// Need is what a task takes of a resource while it runs.
type Need struct {
	Resource int
	Amount   int
	State    int // index into Resource.Setup; NoState where it has none
}

// Task runs without a break for Duration time units.
type Task struct {
	Name     string
	Duration int
	Earliest int // earliest start
	Deadline int // latest end; 0 means the problem's horizon
	Needs    []Need
}

// Arc demands start(To) - start(From) >= Wait. A negative Wait makes it a
// largest time lag: start(From) <= start(To) - Wait.
type Arc struct{ From, To, Wait int }

// Limit asks for start(To) - start(From) <= Max; either may be Origin.
type Limit struct{ From, To, Max int }

// Level is one wish: its cost is the largest excess over any of its limits, and
// 0 where all are kept.
type Level struct {
	Name   string
	Limits []Limit
}

// Problem is what Solve works on. Times are whole numbers of any unit, from 0
// to Horizon.
type Problem struct {
	Name      string
	Horizon   int
	Tasks     []Task
	Arcs      []Arc
	Resources []Resource
	Levels    []Level // most important first
}

// ErrProblem is wrapped by every complaint about a malformed problem.
var ErrProblem = errors.New("schedule: malformed problem")

// Before demands that b starts at least gap after a has ended.
func (p *Problem) Before(a, b, gap int) {
	p.Arcs = append(p.Arcs, Arc{From: a, To: b, Wait: p.Tasks[a].Duration + gap})
}

// Within demands that b starts at most gap after a has ended.
func (p *Problem) Within(a, b, gap int) {
	p.Arcs = append(p.Arcs, Arc{From: b, To: a, Wait: -(p.Tasks[a].Duration + gap)})
}

// Add appends a task and returns its number.
func (p *Problem) Add(t Task) int {
	p.Tasks = append(p.Tasks, t)
	return len(p.Tasks) - 1
}

// Makespan is the level whose cost is the end of the last task.
func (p *Problem) Makespan() Level {
	l := Level{Name: "makespan"}
	for i, t := range p.Tasks {
		l.Limits = append(l.Limits, Limit{From: Origin, To: i, Max: -t.Duration})
	}
	return l
}

// latest returns the last moment at which task i may start.
func (p *Problem) latest(i int) int {
	t := p.Tasks[i]
	end := p.Horizon
	if t.Deadline > 0 && t.Deadline < end {
		end = t.Deadline
	}
	return end - t.Duration
}

// largestHorizon keeps sums of times far from the limits of 32 bits.
const largestHorizon = 1 << 24

// Validate reports the first thing that makes the problem meaningless. A
// problem without any plan is not malformed.
func (p *Problem) Validate() error {
	if p.Horizon < 0 || p.Horizon > largestHorizon {
		return fmt.Errorf("%w: horizon %d", ErrProblem, p.Horizon)
	}
	for i, r := range p.Resources {
		if err := r.validate(); err != nil {
			return fmt.Errorf("%w: resource %d (%s): %w", ErrProblem, i, r.Name, err)
		}
	}
	for i, t := range p.Tasks {
		if err := p.validateTask(t); err != nil {
			return fmt.Errorf("%w: task %d (%s): %w", ErrProblem, i, t.Name, err)
		}
	}
	for _, a := range p.Arcs {
		if !p.isTask(a.From) || !p.isTask(a.To) || outOfRange(a.Wait) {
			return fmt.Errorf("%w: arc %+v", ErrProblem, a)
		}
	}
	for _, l := range p.Levels {
		for _, m := range l.Limits {
			if (m.From != Origin && !p.isTask(m.From)) || (m.To != Origin && !p.isTask(m.To)) || outOfRange(m.Max) {
				return fmt.Errorf("%w: level %s: limit %+v", ErrProblem, l.Name, m)
			}
		}
	}
	return nil
}

func outOfRange(v int) bool { return v < -largestHorizon || v > largestHorizon }

func (p *Problem) isTask(i int) bool { return i >= 0 && i < len(p.Tasks) }

func (r Resource) validate() error {
	if r.Capacity < 0 || outOfRange(r.Capacity) {
		return errors.New("capacity out of range")
	}
	if r.Units > 1 && !r.HasStates() {
		return errors.New("several units need states")
	}
	for _, c := range r.Closed {
		if c.To < c.From || outOfRange(c.From) || outOfRange(c.To) {
			return errors.New("closed interval out of range")
		}
	}
	for _, row := range r.Setup {
		if len(row) != len(r.Setup) {
			return errors.New("setup table is not square")
		}
		for _, v := range row {
			if v < 0 || outOfRange(v) {
				return errors.New("setup time out of range")
			}
		}
	}
	return nil
}

func (p *Problem) validateTask(t Task) error {
	if t.Duration < 0 || outOfRange(t.Duration) || outOfRange(t.Earliest) || t.Earliest < 0 || outOfRange(t.Deadline) {
		return errors.New("time out of range")
	}
	states := 0
	for k, n := range t.Needs {
		if n.Resource < 0 || n.Resource >= len(p.Resources) {
			return errors.New("needs an unknown resource")
		}
		for _, m := range t.Needs[:k] {
			if m.Resource == n.Resource {
				return errors.New("names a resource twice")
			}
		}
		r := p.Resources[n.Resource]
		if n.Amount < 0 || outOfRange(n.Amount) {
			return errors.New("needs a negative amount")
		}
		if !r.HasStates() {
			continue
		}
		if states++; states > 1 {
			return errors.New("needs two resources with states")
		}
		if n.State < 0 || n.State >= len(r.Setup) {
			return errors.New("needs an unknown state")
		}
	}
	return nil
}
