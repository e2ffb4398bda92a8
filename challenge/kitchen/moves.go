package kitchen

import (
	"slices"
	"time"

	"fairladle/challenge/wording"
)

// moves says in one sentence what a new plan changes.
func (b *book) moves(was, sheet RunSheet, now time.Time) wording.Sentence {
	what := b.moved(was, sheet, now)
	at := sheet.Serve.Format("15:04")
	switch d := int(sheet.Serve.Sub(was.Serve).Minutes()); {
	case d > 0:
		return wording.Of("%v; the plates are on the table at %v, %v minutes later than planned.", what, at, d)
	case d < 0:
		return wording.Of("%v; the plates are on the table at %v, %v minutes earlier than planned.", what, at, -d)
	}
	return wording.Of("%v; the plates are on the table at %v, as planned.", what, at)
}

// moved says which task moves first, and how many move with it.
func (b *book) moved(was, sheet RunSheet, now time.Time) wording.Sentence {
	before := map[string]Row{}
	for _, r := range was.Rows {
		before[r.ID] = r
	}
	var list []Row
	for _, r := range sheet.Rows {
		if i, ok := b.at[r.ID]; ok && (b.begun(i) || b.state[i].stage == skipped) {
			continue
		}
		if o, ok := before[r.ID]; ok && r.ID != "" && r.Minutes > 0 && !r.Start.Before(now) && !r.Start.Equal(o.Start) {
			list = append(list, r)
		}
	}
	if len(list) == 0 {
		return wording.Of("Nothing else moves")
	}
	slices.SortStableFunc(list, func(a, b Row) int { return a.Start.Compare(b.Start) })
	first := list[0]
	from, to := before[first.ID].Start.Format("15:04"), first.Start.Format("15:04")
	switch n := len(list) - 1; n {
	case 0:
		return wording.Of("“%v” moves from %v to %v", first.What, from, to)
	case 1:
		return wording.Of("“%v” moves from %v to %v and one more task with it", first.What, from, to)
	default:
		return wording.Of("“%v” moves from %v to %v and %v more tasks with it", first.What, from, to, n)
	}
}
