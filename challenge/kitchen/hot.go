package kitchen

import (
	"slices"

	"fairladle/challenge/pantry"
)

// restHot is how many minutes food may stand without cooling through.
const restHot = 20

var heating = []string{oven, burner, "deep fryer", "grill", "griddle", "microwave", "waffle iron", "air fryer", "slow cooker",
	"pressure cooker", "rice cooker", "smoker", "toaster"}

// hot limits how long what is hot may wait: from its last time on the heat to
// the plate, each step must follow the one before within the limit.
func (b *deriver) hot() {
	next := map[string][]int{}
	for i, t := range b.tasks {
		for _, l := range t.After {
			next[l.ID] = append(next[l.ID], i)
		}
	}
	isHot, again := map[int]bool{}, map[int]bool{}
	seenHot, seenAgain := map[int]bool{}, map[int]bool{}
	var hotAt, heatedAgain func(i int) bool
	hotAt = func(i int) bool {
		if !seenHot[i] {
			seenHot[i] = true
			isHot[i] = b.comesHot(i, hotAt)
		}
		return isHot[i]
	}
	heatedAgain = func(i int) bool {
		if !seenAgain[i] {
			seenAgain[i] = true
			again[i] = slices.ContainsFunc(next[b.tasks[i].ID], func(j int) bool {
				return slices.Contains(heating, b.tasks[j].Machine) || heatedAgain(j)
			})
		}
		return again[i]
	}
	for i := range b.tasks {
		t := &b.tasks[i]
		if t.Holds != NoLimit || t.Kind == Plate || !hotAt(i) || heatedAgain(i) {
			continue // the recipe says how long it keeps, or nothing is hot
		}
		t.Holds, t.HoldGuess = holdHot, true
		if slices.Contains(heating, t.Machine) && verbIn(t.Text, fryVerbs) {
			t.Holds = holdFried
		}
	}
}

// comesHot tells whether what the task makes is hot.
func (b *deriver) comesHot(i int, hotAt func(int) bool) bool {
	t := b.tasks[i]
	switch {
	case t.Kind == Prep || t.Kind == Other:
		return false
	case slices.Contains(heating, t.Machine):
		return !cools(t.Text)
	case t.Kind == Wait && t.Minutes > restHot:
		return false
	}
	return slices.ContainsFunc(t.After, func(l Link) bool {
		j := b.index(l.ID)
		return j >= 0 && hotAt(j)
	})
}

var fryVerbs = []string{"fry", "deep-fry", "shallow-fry", "pan-fry", "stir-fry"}

// cools tells whether a step that heats ends with food that stands until cold.
func cools(text string) bool {
	return verbIn(text, []string{"cool", "chill", "refrigerate", "freeze"})
}

func verbIn(text string, verbs []string) bool {
	return slices.ContainsFunc(stems(text), func(w string) bool {
		v, ok := pantry.FindVerb(w)
		return ok && slices.Contains(verbs, v.Verb)
	})
}
