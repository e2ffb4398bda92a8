package kitchen

import (
	"context"
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
	before := b.late(ctx, b.s)
	if before == 0 {
		sheet.Blocks = []wording.Sentence{wording.Of("There is a plan that is in time, but the search ended before it was found: give it more steps.")}
		return
	}
	for _, try := range b.remedies() {
		if ctx.Err() != nil {
			return
		}
		switch late := b.late(ctx, try.s); {
		case late == 0:
			sheet.Helps = append(sheet.Helps, wording.Of("%v: then it is on time.", try.what))
		case late > 0 && (before < 0 || late < before):
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
	for d, dish := range b.s.Dishes {
		if dish.Tasks != nil || len(dish.Breakdown.Components) < 2 {
			continue
		}
		for c, comp := range dish.Breakdown.Components {
			if comp.Name == "" || slices.Contains(dish.Bought, c) || len(list) > 10 {
				continue
			}
			change(wording.Of("Buy %v for %v ready-made", comp.Name, dish.Title()), func(s *Service) {
				s.Dishes[d].Bought = append(slices.Clone(dish.Bought), c)
			})
		}
	}
	return list
}

// late is by how many minutes a service misses its time; -1 without a plan.
func (b *book) late(ctx context.Context, s Service) int {
	o := newBook(s)
	if len(o.blocks) > 0 {
		return -1
	}
	p := o.problem()
	p.Levels = p.Levels[:1]
	res, err := schedule.Solve(ctx, p, schedule.Options{Seed: s.Seed, MaxSteps: o.fewer(trialSteps)})
	if err != nil || res.Plan == nil {
		return -1
	}
	return res.Costs[0]
}
