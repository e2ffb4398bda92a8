package store

import (
	"slices"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
)

// Effort is what a recipe asks of a cook, at a glance. Minutes come from the
// text and, where it is silent, from the tables of package kitchen.
type Effort struct {
	Active    int      // minutes with a cook at it
	Total     int      // minutes from the first task to the last, if nothing has to wait for a free hand or pan
	Guessed   int      // tasks whose length the recipe does not say
	DaysAhead int      // how many days before serving the work begins
	Equipment []string // what the steps name, each once
	Lacking   []string // of it, what the challenge's kitchen does not have
	Special   []string // ingredients that stand on no shelf the tables know
	Cost      kitchen.Cost
	Servings  measure.Number // zero where the recipe does not say
	Currency  string
}

// workday is the longest stretch of work, in minutes, that still fits the day
// of serving (common practice, no source).
const workday = 10 * 60

// EffortOf reads the effort off a breakdown for a kitchen and a price list.
func EffortOf(b recipe.Breakdown, equipment []challenge.Equipment, prices Prices) Effort {
	dish := kitchen.Dish{Breakdown: b}
	e := Effort{Servings: b.Yield.Servings.Mid(), Currency: prices.Currency}
	if list, _ := kitchen.ReadPrices(prices.Text); len(list.Prices) > 0 {
		e.Cost = list.CostOf(dish)
	}
	ends := map[string]int{}
	tasks := dish.Derive(0)
	for _, t := range tasks {
		minutes := t.Minutes * max(t.Batches, 1)
		if t.Attended == recipe.Attended {
			e.Active += minutes
		}
		if t.Guess {
			e.Guessed++
		}
		start := 0
		for _, l := range t.After {
			start = max(start, ends[l.ID]+l.Min)
		}
		ends[t.ID] = start + minutes
		e.Total = max(e.Total, ends[t.ID])
	}
	if e.Total > workday {
		e.DaysAhead = 1 + (e.Total-workday)/(24*60)
	}
	for _, s := range b.Steps() {
		if s.Overnight || strings.Contains(strings.ToLower(s.Text), "day before") {
			e.DaysAhead = max(e.DaysAhead, 1)
		}
		for _, name := range s.Equipment {
			if !slices.Contains(e.Equipment, name) {
				e.Equipment = append(e.Equipment, name)
			}
		}
	}
	for _, x := range equipment {
		if x.Count == 0 && slices.Contains(e.Equipment, x.Name) {
			e.Lacking = append(e.Lacking, x.Name)
		}
	}
	for _, l := range kitchen.Shopping([]kitchen.Dish{dish}, 0).Lines {
		if l.Aisle == "other" && !l.Have {
			e.Special = append(e.Special, l.Name)
		}
	}
	return e
}
