package kitchen

import (
	"fmt"
	"slices"
	"strings"

	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// Holding limits by what was done last, in minutes; common practice, no source.
const (
	holdFried = 5
	holdHot   = 15
	// nightLong is the length of a wait that makes everything before it work for
	// an earlier day.
	nightLong = 4 * 60
	// thawLong is a night in the refrigerator.
	thawLong = 12 * 60
)

// keeping notes a storage time of a day or more ("keeps three days") on the task
// just added: it and what leads to it may be done that long ahead.
func (b *deriver) keeping(st recipe.Step) {
	for _, d := range st.Durations {
		if t := &b.tasks[len(b.tasks)-1]; d.Keeps && d.MaxMinutes >= 24*60 {
			t.Holds, t.HoldGuess, t.Ahead = int(d.MinMinutes), false, true
		}
	}
}

// onlyKeeps tells whether a step says nothing but how long the food keeps.
func onlyKeeps(st recipe.Step) bool {
	words := stems(st.Text)
	return oneOf(words[:min(4, len(words))], "keep", "store", stemKey("stored"), "kept") && len(st.Durations) > 0 &&
		!slices.ContainsFunc(st.Durations, func(d recipe.Duration) bool { return !d.Keeps })
}

// thaw adds a night in the refrigerator for what a component wants thawed. Its
// caution comes with the cautions of the sheet.
func (b *deriver) thaw(c int, comp recipe.Component) []string {
	var names []string
	for _, in := range comp.Ingredients {
		words := stems(in.Preparation + " " + in.Note)
		if slices.Contains(words, stemKey("thawed")) || slices.Contains(words, stemKey("defrosted")) || slices.Contains(words, "thaw") {
			names = append(names, in.Name)
		}
	}
	if len(names) == 0 {
		return nil
	}
	id := fmt.Sprintf("c%d.thaw", c)
	out := Task{ID: id + "a", Component: c, Name: wording.Of("Into the refrigerator to thaw: %v", strings.Join(names, ", ")), Kind: Prep,
		Minutes: 2, Guess: true, Source: practice, Attended: recipe.Attended, Holds: NoLimit, Ahead: true}
	b.add(c, out, nil)
	wait := out
	wait.ID, wait.Name, wait.Kind, wait.Minutes, wait.Attended = id, wording.Of("Thaw %v", strings.Join(names, ", ")), Wait, thawLong, recipe.Unattended
	b.addAfter(c, wait, []string{out.ID}, true)
	return []string{id}
}

// holds fills in how long the result of each task may wait, and which tasks can
// be done on an earlier day: those with a long wait between them and plating.
func (b *deriver) holds() {
	b.hot()
	ahead := map[string]bool{}
	for _, t := range b.tasks {
		if t.Ahead {
			ahead[t.ID] = true
		}
	}
	for changed := true; changed; {
		changed = false
		for _, t := range b.tasks {
			long := t.Kind == Wait && t.Minutes >= nightLong
			for _, l := range t.After {
				if (long || ahead[t.ID]) && !ahead[l.ID] {
					ahead[l.ID], changed = true, true
				}
			}
			if long && !ahead[t.ID] {
				ahead[t.ID], changed = true, true
			}
		}
	}
	for i := range b.tasks {
		b.tasks[i].Ahead = ahead[b.tasks[i].ID]
	}
}
