package kitchen

import (
	"slices"

	"fairladle/challenge/recipe"
)

// PrepList is the mise en place: by component what is weighed and cut, and the
// cutting jobs that several components share.
type PrepList struct {
	Groups []PrepGroup
	Jobs   []CutJob
}

// PrepGroup is one component of one dish.
type PrepGroup struct {
	Dish, Component string
	Parts           []Part // scaled to the portions
}

// CutJob is one kind of cutting of one food, for all that need it.
type CutJob struct {
	Food, Preparation string
	Parts             []Part
	Totals            []Total
}

// Preparation lists what is to be weighed and cut for the portions.
func Preparation(dishes []Dish, portions int) PrepList {
	var list PrepList
	lines := map[string]*Line{}
	var order []string
	for _, d := range dishes {
		factor, _ := d.factor(portions)
		for c, comp := range d.Breakdown.Components {
			if slices.Contains(d.Bought, c) {
				continue
			}
			one := d
			one.Breakdown.Components = []recipe.Component{comp}
			one.Bought, one.Spare = nil, nil
			if slices.Contains(d.Spare, c) {
				one.Spare = []int{0}
			}
			parts := one.parts(factor)
			if len(parts) == 0 {
				continue
			}
			list.Groups = append(list.Groups, PrepGroup{d.Title(), comp.Name, parts})
			for _, p := range parts {
				if p.Preparation == "" {
					continue
				}
				key := foodKey(p.Name) + "|" + stemKey(p.Preparation)
				if lines[key] == nil {
					lines[key] = &Line{Name: p.Name}
					order = append(order, key)
				}
				lines[key].Parts = append(lines[key].Parts, p)
			}
		}
	}
	for _, key := range order {
		l := lines[key]
		l.merge()
		list.Jobs = append(list.Jobs, CutJob{l.Name, l.Parts[0].Preparation, l.Parts, l.Totals})
	}
	return list
}
