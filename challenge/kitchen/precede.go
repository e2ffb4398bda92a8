package kitchen

import (
	"fmt"
	"regexp"
	"slices"

	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// needs lists the components that a step uses.
func (b *deriver) needs(st recipe.Step, own int) []int {
	var list []int
	for _, p := range st.UsesParts {
		if p != own && p >= 0 && p < len(b.dish.Breakdown.Components) && !slices.Contains(list, p) {
			list = append(list, p)
		}
	}
	return list
}

// preps makes the first step that uses any of a component's ingredients wait for
// its prep, where nothing does yet; without such a step, the dish's first one.
func (b *deriver) preps() {
	for c, comp := range b.dish.Breakdown.Components {
		id := fmt.Sprintf("c%d.prep", c)
		if b.used[id] || b.index(id) < 0 {
			continue
		}
		if user := b.firstUser(c); user != "" {
			b.link(user, id)
			if len(comp.Steps) == 0 {
				b.last[c] = nil
			}
		}
	}
}

func (b *deriver) firstUser(c int) string {
	first := ""
	for o, comp := range b.dish.Breakdown.Components {
		for k, st := range comp.Steps {
			for _, id := range []string{fmt.Sprintf("c%d.s%da", o, k), fmt.Sprintf("c%d.s%d", o, k)} {
				if b.index(id) < 0 {
					continue
				}
				if first == "" {
					first = id
				}
				if slices.Contains(b.owners(st), c) || slices.Contains(st.UsesParts, c) {
					return id
				}
				break
			}
		}
	}
	return first
}

// join ties components together: a step that names another component waits for
// it; a component that nobody names is waited for by the one that puts things
// together, if that is clear, else by plating.
func (b *deriver) join() {
	named := map[int]bool{}
	for _, w := range b.links {
		if b.reaches(w.task, w.component) {
			continue // the two name each other; the first wish stands
		}
		for _, id := range b.last[w.component] {
			b.link(w.task, id)
		}
		named[w.component] = true
	}
	for c := 1; c < len(b.dish.Breakdown.Components); c++ {
		if continued.MatchString(b.dish.Breakdown.Components[c].Name) && b.opens[c] != "" {
			for _, id := range b.last[c-1] {
				b.link(b.firstStep(c), id)
			}
		}
	}
	final := b.assembly()
	if final < 0 {
		return
	}
	for c := range b.dish.Breakdown.Components {
		if c == final || named[c] || len(b.last[c]) == 0 || b.reaches(b.opens[final], c) {
			continue
		}
		for _, id := range b.last[c] {
			b.link(b.firstStep(final), id)
		}
	}
}

// continued is the name of a component that goes on with the one above it.
var continued = regexp.MustCompile(`(?i)^(part|day|stage|step) \d`)

// assembly is the component whose name says that it joins the others.
func (b *deriver) assembly() int {
	for c, comp := range b.dish.Breakdown.Components {
		for _, w := range stems(comp.Name) {
			if w == "assembly" || w == "assemble" || w == stemKey("assembling") || w == stemKey("serving") || w == "serve" || w == stemKey("to finish") || w == "finish" {
				return c
			}
		}
	}
	return -1
}

func (b *deriver) firstStep(c int) string {
	for _, t := range b.tasks {
		if t.Component == c && t.Kind != Prep {
			return t.ID
		}
	}
	return b.opens[c]
}

func (b *deriver) index(id string) int {
	if i, ok := b.at[id]; ok {
		return i
	}
	return -1
}

// link makes the task wait for another.
func (b *deriver) link(task, id string) {
	i := b.index(task)
	if i < 0 || task == id || slices.ContainsFunc(b.tasks[i].After, func(l Link) bool { return l.ID == id }) {
		return
	}
	b.tasks[i].After = append(b.tasks[i].After, Link{ID: id, Max: NoLimit})
	b.used[id] = true
}

// reaches tells whether any task of the component already waits, directly or
// not, for the task.
func (b *deriver) reaches(task string, component int) bool {
	return slices.ContainsFunc(b.last[component], func(id string) bool { return b.waitsFor(id, task) })
}

// plate adds the last task, which waits for everything that nothing else uses.
func (b *deriver) plate() {
	perPlate, source := minutesOf("plate a course")
	t := Task{ID: "plate", Component: -1, Name: wording.Of("Plate up %v", b.dish.Title()), Kind: Plate,
		Minutes: max(1, int(perPlate*float64(b.portions)+0.5)), Guess: true, Source: source, Attended: recipe.Attended,
		Holds: NoLimit}
	for _, o := range b.tasks {
		if !b.used[o.ID] {
			t.After = append(t.After, Link{ID: o.ID, Max: NoLimit})
		}
	}
	b.tasks = append(b.tasks, t)
}
