package kitchen

import (
	"fairladle/challenge/pantry"
)

// Holding limits by what was done last, in minutes; common practice, no source.
const (
	holdFried = 5
	holdHot   = 15
	holdDay   = 24 * 60
	// nightLong is the length of a wait that makes everything before it work for
	// an earlier day.
	nightLong = 4 * 60
)

// holds fills in how long the result of each task may wait, and which tasks can
// be done on an earlier day: those with a long wait between them and plating.
func (b *deriver) holds() {
	for i := range b.tasks {
		b.hold(i)
	}
	ahead := map[string]bool{}
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

// hold limits what comes hot from the fire straight to the plate.
func (b *deriver) hold(i int) {
	t := &b.tasks[i]
	toPlate := false
	for _, o := range b.tasks[len(b.tasks)-1].After {
		toPlate = toPlate || o.ID == t.ID
	}
	if !toPlate || t.Kind == Prep {
		return
	}
	for _, w := range pantry.Words(t.Text) {
		v, ok := pantry.FindVerb(pantry.Stem(w))
		switch {
		case !ok:
		case v.Kind == "wait":
			t.Holds, t.HoldGuess = NoLimit, false // rests or chills: not served hot from the fire
			return
		case v.Verb == "fry" || v.Verb == "deep-fry" || v.Verb == "shallow-fry" || v.Verb == "pan-fry" || v.Verb == "stir-fry":
			t.Holds, t.HoldGuess = holdFried, true
		case v.Kind == "heat" && t.Holds == NoLimit:
			t.Holds, t.HoldGuess = holdHot, true
		}
	}
}
