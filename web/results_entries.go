package web

import (
	"cmp"
	"slices"

	"fairladle/store"
)

// An entryList collects dishes as they are met.
type entryList struct {
	page string
	at   map[int64]int // of a dish, by its id
	all  []publicEntry
	ids  []int64
}

// of is the line of a dish.
func (l *entryList) of(d store.PublicDish) *publicEntry {
	i, met := l.at[d.ID]
	if !met {
		i = len(l.all)
		l.at[d.ID] = i
		l.ids = append(l.ids, d.ID)
		e := publicEntry{Number: d.Number, Title: d.Title, Credit: d.Credit}
		if d.House() {
			e.Credit = d.Cook
		}
		if d.Recipe {
			e.Recipe = l.page + "/recipe/" + itoa(d.Number)
		}
		l.all = append(l.all, e)
	}
	return &l.all[i]
}

func (l *entryList) sorted() []publicEntry {
	rank := func(number int) int { // house dishes have no number and come last
		if number == 0 {
			return 1 << 30
		}
		return number
	}
	order := make([]int, len(l.all))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(rank(l.all[a].Number), rank(l.all[b].Number)), cmp.Compare(l.ids[a], l.ids[b]))
	})
	out := make([]publicEntry, len(order))
	for i, k := range order {
		out[i] = l.all[k]
	}
	return out
}
