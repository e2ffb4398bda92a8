package kitchen

import (
	"slices"

	"fairladle/challenge/recipe"
)

// PrepList is the mise en place: by station the jobs, those that several
// components share in one, by component what is weighed, and what to lay out.
type PrepList struct {
	Stations []Station
	Groups   []PrepGroup
	Tools    []Tool
	// Bowls is how many small containers hold what is weighed and prepared: one
	// for each prepared line of a component, and one for the rest of it.
	Bowls int
}

// Station is one kind of work with all jobs of it.
type Station struct {
	Name string // a sentence of the catalogue: "Cut"
	Jobs []CutJob
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
	by := map[string][]CutJob{}
	for _, key := range order {
		l := lines[key]
		l.merge()
		s := stationOf(l.Parts[0].Preparation)
		by[s] = append(by[s], CutJob{l.Name, l.Parts[0].Preparation, l.Parts, l.Totals})
	}
	for _, name := range stations {
		if len(by[name]) > 0 {
			list.Stations = append(list.Stations, Station{name, by[name]})
		}
	}
	list.Tools, list.Bowls = tools(dishes), bowls(list.Groups)
	return list
}

func bowls(groups []PrepGroup) int {
	n := 0
	for _, g := range groups {
		prepared := 0
		for _, p := range g.Parts {
			if p.Preparation != "" {
				prepared++
			}
		}
		n += prepared
		if prepared < len(g.Parts) {
			n++
		}
	}
	return n
}
