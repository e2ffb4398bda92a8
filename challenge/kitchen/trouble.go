package kitchen

import (
	"context"
	"maps"
	"slices"

	"fairladle/challenge/kitchen/schedule"
	"fairladle/challenge/wording"
)

// trialSteps bounds each attempt to find out what would help.
const trialSteps = 4_000

// trouble says what is in the way of serving in time, and tries out what would
// help: one more of each thing, an earlier start, a component bought.
func (b *book) trouble(ctx context.Context, sheet *RunSheet, proved bool) {
	switch {
	case len(sheet.Rows) == 0 && proved:
		sheet.Blocks = append(sheet.Blocks, wording.Of("No order of these tasks fits into the time and the kitchen."))
	case len(sheet.Rows) == 0:
		sheet.Blocks = append(sheet.Blocks, wording.Of("No plan was found in the time given; there may be one."))
	default:
		sheet.Blocks = append(sheet.Blocks, wording.Of("The earliest that everything can be on the table is %v, %v minutes after the time wanted.",
			sheet.Serve.Format("2.1. 15:04"), sheet.Late))
	}
	for _, t := range b.tasks {
		if t.minutes() > b.serve {
			sheet.Blocks = append(sheet.Blocks, wording.Of("“%v” takes %v minutes, and there are only %v before serving.", t.Name, t.minutes(), b.serve))
		}
	}
	if need, have := b.hands(); need > have {
		sheet.Blocks = append(sheet.Blocks, wording.Of("The work of the serving day takes %v minutes of hands; until serving there are %v.", need, have))
	}
	before := b.trial(ctx, b.s)
	if before.late == 0 {
		sheet.Blocks = []wording.Sentence{wording.Of("There is a plan that is in time, but the search ended before it was found: give it more steps.")}
		return
	}
	for _, try := range b.remedies() {
		if ctx.Err() != nil {
			return
		}
		switch late := b.trial(ctx, try.s).late; {
		case late == 0:
			sheet.Helps = append(sheet.Helps, wording.Of("%v: then it is on time.", try.what))
		case late > 0 && (before.late < 0 || late < before.late):
			sheet.Helps = append(sheet.Helps, wording.Of("%v: then it is %v minutes late.", try.what, late))
		}
	}
}

// hands adds up the attended minutes of the serving day, and those that the
// cooks have on it before serving.
func (b *book) hands() (need, have int) {
	for _, t := range b.tasks {
		if t.hands() && !t.Ahead {
			need += t.minutes()
		}
	}
	have = b.serve - b.day
	for _, n := range b.nights() {
		have -= max(0, min(n.To, b.serve)-max(n.From, b.day))
	}
	return need, have * len(b.s.cooks())
}

// remedy is a changed service worth trying.
type remedy struct {
	what wording.Sentence
	s    Service
}

func (b *book) remedies() []remedy {
	var list []remedy
	change := func(what wording.Sentence, f func(*Service)) {
		s := b.s
		s.Dishes = slices.Clone(s.Dishes)
		f(&s)
		list = append(list, remedy{what, s})
	}
	change(wording.Of("Start a day earlier"), func(s *Service) { s.Begin = b.begin.AddDate(0, 0, -1) })
	change(wording.Of("One more cook"), func(s *Service) { s.Cooks = append(slices.Clone(s.cooks()), "Helper") })
	if b.s.Kitchen.Burners > 0 {
		change(wording.Of("One more burner"), func(s *Service) { s.Kitchen.Burners++ })
	}
	if b.s.Kitchen.Ovens > 0 {
		change(wording.Of("One more oven"), func(s *Service) { s.Kitchen.Ovens++ })
	}
	for _, name := range slices.Sorted(maps.Keys(b.res.by)) {
		if b.s.Kitchen.Others[name] > 0 && !inTheCold(name) {
			change(wording.Of("One more of this: %v", wording.Of(name)), func(s *Service) {
				s.Kitchen.Others = maps.Clone(s.Kitchen.Others)
				s.Kitchen.Others[name]++
			})
		}
	}
	b.oneOven(change)
	for d, dish := range b.s.Dishes {
		for c, comp := range dish.Breakdown.Components {
			if len(dish.Breakdown.Components) < 2 || comp.Name == "" || slices.Contains(dish.Bought, c) || len(list) > 12 {
				continue
			}
			change(wording.Of("Buy %v for %v ready-made", comp.Name, dish.Title()), func(s *Service) {
				s.Dishes[d].Bought = append(slices.Clone(dish.Bought), c)
				s.Dishes[d].Tasks = without(dish.Tasks, c)
			})
		}
	}
	return list
}

// without are a dish's corrected tasks without those of a component.
func without(tasks []Task, component int) []Task {
	for _, t := range tasks {
		if t.Component == component {
			if left, err := Remove(tasks, t.ID); err == nil {
				tasks = left
			}
		}
	}
	return tasks
}

// nearC is how far apart two oven temperatures may be for a cook to bake at one
// of them; common practice, no source.
const nearC = 20

// oneOven proposes one temperature for what is baked at nearly the same.
func (b *book) oneOven(change func(wording.Sentence, func(*Service))) {
	for i := 1; i < len(b.res.temps); i++ {
		low, high := b.res.temps[i-1], b.res.temps[i]
		if high-low > nearC {
			continue
		}
		change(wording.Of("Bake at %v °C what should bake at %v °C", high, low), func(s *Service) {
			for d, dish := range s.Dishes {
				s.Dishes[d].Tasks = dish.Derive(s.Portions)
				for k, t := range s.Dishes[d].Tasks {
					if t.OvenC == low {
						s.Dishes[d].Tasks[k].OvenC = high
					}
				}
			}
		})
	}
}

// tooLong says that something waits longer than it should though all is in time,
// and what would help.
func (b *book) tooLong(ctx context.Context, sheet *RunSheet, minutes int, plan schedule.Plan, p *schedule.Problem) {
	for _, l := range p.Levels[1].Limits {
		from, to := plan.Start[l.From], plan.Start[l.To]
		if to-from-l.Max == minutes {
			sheet.Blocks = append(sheet.Blocks, wording.Of("“%v” waits %v minutes longer than it keeps its quality.", b.tasks[l.From].Name, minutes))
			break
		}
	}
	for _, try := range b.remedies() {
		if ctx.Err() != nil || len(sheet.Helps) == mostHelps {
			return
		}
		switch t := b.trial(ctx, try.s); {
		case t.late != 0:
		case t.held == 0:
			sheet.Helps = append(sheet.Helps, wording.Of("%v: then nothing waits too long.", try.what))
		case t.held < minutes-plateWithin:
			sheet.Helps = append(sheet.Helps, wording.Of("%v: then it waits %v minutes too long.", try.what, t.held))
		}
	}
}

// mostHelps keeps the list readable.
const mostHelps = 3

// trial is by how many minutes a service misses its time, and what is held too
// long; late is -1 without a plan.
type trial struct{ late, held int }

func (b *book) trial(ctx context.Context, s Service) trial {
	o := newBook(s)
	if len(o.blocks) > 0 {
		return trial{late: -1}
	}
	p := o.problem()
	p.Levels = p.Levels[:2]
	res, err := schedule.Solve(ctx, p, schedule.Options{Seed: s.Seed, MaxSteps: o.fewer(trialSteps)})
	if err != nil || res.Plan == nil {
		return trial{late: -1}
	}
	return trial{res.Costs[0], res.Costs[1]}
}
