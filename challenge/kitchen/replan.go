package kitchen

import (
	"context"
	"fmt"
	"time"

	"fairladle/challenge/kitchen/schedule"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// replanSteps keeps a new plan within a second on a small computer.
const replanSteps = 15_000

// stage is how far a task has come.
type stage int

const (
	open stage = iota
	running
	done
	skipped
)

// state is what the log says about one task, in minutes after the book begins.
type state struct {
	stage      stage
	start, end int
}

// Replan plans again everything that has not started, from what the log says up
// to now, and says in one sentence what moves and when the plates are on the
// table. was is the sheet that the cooks have been following. A task with a
// start but no end goes on until its planned end, with the entry's Longer on
// top; one with Again is put on the plan once more, for everything that waits
// for it.
func Replan(ctx context.Context, s Service, was RunSheet, log Log, now time.Time) (RunSheet, wording.Sentence, error) {
	if s.Begin.IsZero() {
		s.Begin = s.Serve.AddDate(0, 0, -daysAhead)
	}
	for _, e := range log { // somebody was early
		if at := e.Start.Truncate(time.Minute); !at.IsZero() && at.Before(s.Begin) {
			s.Begin = at.In(s.Begin.Location())
		}
	}
	if now.Before(s.Begin) {
		s.Begin = now.Truncate(time.Minute).In(s.Begin.Location())
	}
	b := newBook(s)
	if len(b.blocks) > 0 {
		return RunSheet{Serve: s.Serve, Blocks: b.blocks, Helps: b.helps, Notes: b.notes}, b.blocks[0], nil
	}
	b.follow(log, now)
	b.was = map[string]Row{}
	for _, r := range was.Rows {
		b.was[r.ID] = r
	}
	p := b.problem()
	p.Levels = append(p.Levels, b.likeBefore(was))
	steps := min(b.steps(), b.fewer(replanSteps))
	res, err := schedule.Solve(ctx, p, schedule.Options{Seed: s.Seed, MaxSteps: steps})
	if err == nil && res.Plan == nil { // what is under way clashes in itself; it is done all the same
		for i := range b.tasks {
			if b.begun(i) {
				p.Tasks[i].Needs = nil
			}
		}
		res, err = schedule.Solve(ctx, p, schedule.Options{Seed: s.Seed, MaxSteps: steps})
	}
	if err != nil {
		return RunSheet{}, wording.Sentence{}, fmt.Errorf("kitchen: replan: %w", err)
	}
	if res.Plan != nil {
		b.sameOvens(res.Plan)
	}
	sheet := b.sheet(p, res)
	sheet.Cautions = was.Cautions
	if res.Plan == nil {
		sheet.Blocks = []wording.Sentence{wording.Of("What is left no longer fits together; look at what has started and what waits for it.")}
		return sheet, sheet.Blocks[0], nil
	}
	coldRoom(s, &sheet)
	return sheet, b.moves(was, sheet, now), nil
}

// follow takes the log into the book.
func (b *book) follow(log Log, now time.Time) {
	b.now = max(0, int(now.Sub(b.begin).Minutes()))
	b.state = make([]state, len(b.tasks))
	last := map[string]LogEntry{}
	for _, e := range log {
		last[e.Task] = e
	}
	b.again(last)
	for i := range b.tasks {
		t := &b.tasks[i]
		e, ok := last[t.full]
		if !ok {
			continue
		}
		st := &b.state[i]
		st.start = max(0, int(e.Start.Sub(b.begin).Minutes()))
		switch {
		case e.Skipped:
			*st = state{stage: skipped}
			t.Minutes, t.Attended, t.Machine, t.Holds = 0, recipe.Unattended, "", NoLimit
		case e.Start.IsZero() || e.Start.After(now):
			*st = state{}
		case !e.End.IsZero() && !e.End.After(now):
			st.stage, st.end = done, max(st.start, int(e.End.Sub(b.begin).Minutes()))
		case e.Again > 0:
			st.stage, st.end = done, b.now
		default:
			st.stage, st.end = running, max(b.now, st.start+t.minutes()+max(0, e.Longer))
		}
		if st.stage == done || st.stage == running {
			t.Minutes, t.Batches = st.end-st.start, 1
		}
	}
}

// again adds a copy of every task that must be made again. A copy waits for the
// copies of what the task waited for, and what waited for the task waits for the
// copy.
func (b *book) again(last map[string]LogEntry) {
	n := len(b.tasks)
	copyOf := func(i int) string {
		if i < n && last[b.tasks[i].full].Again > 0 {
			return fmt.Sprintf("%s+%d", b.tasks[i].full, last[b.tasks[i].full].Again)
		}
		return ""
	}
	for i := range n {
		t := b.tasks[i]
		var links []Link
		for _, l := range t.After {
			if j, ok := b.resolve(t, l); ok && copyOf(j) != "" {
				links = append(links, Link{ID: copyOf(j), Min: l.Min, Max: l.Max})
				l.Max = NoLimit // the spoilt one no longer matters
			}
			links = append(links, l)
		}
		if copyOf(i) == "" {
			b.tasks[i].After = links
			continue
		}
		c := t
		c.Task.ID, c.full = copyOf(i), copyOf(i)
		c.Name = wording.Of("%v (again)", c.Name)
		c.After = append(links, Link{ID: t.full, Max: NoLimit})
		c.Ahead = false
		b.at[c.full] = len(b.tasks)
		b.tasks = append(b.tasks, c)
		b.state = append(b.state, state{})
	}
}

// begun tells whether the task needs no more planning.
func (b *book) begun(i int) bool {
	return b.state != nil && (b.state[i].stage == done || b.state[i].stage == running)
}

// live adapts a task to how far it has come.
func (b *book) live(i int, t *schedule.Task) {
	if b.state == nil {
		return
	}
	st := b.state[i]
	switch st.stage {
	case done:
		t.Needs = nil
		t.Duration, t.Earliest, t.Deadline = st.end-st.start, st.start, max(1, st.end)
	case running:
		// Only what is left of it takes hands and machines.
		t.Duration, t.Earliest, t.Deadline = st.end-b.now, b.now, max(1, st.end)
	case skipped:
		t.Duration, t.Needs = 0, nil
		t.Earliest = b.now
	default:
		t.Earliest = max(t.Earliest, b.now+b.heatLeft(i))
	}
}

// likeBefore wishes, last of all, that no task moves far from the old sheet.
func (b *book) likeBefore(was RunSheet) schedule.Level {
	l := schedule.Level{Name: wishLike}
	for _, r := range was.Rows {
		i, ok := b.at[r.ID]
		if !ok || b.begun(i) || b.state[i].stage == skipped {
			continue
		}
		at := int(r.Start.Sub(b.begin).Minutes())
		l.Limits = append(l.Limits,
			schedule.Limit{From: schedule.Origin, To: i, Max: at}, schedule.Limit{From: i, To: schedule.Origin, Max: -at})
	}
	return l
}
