package kitchen

import (
	"slices"
	"strings"

	"fairladle/challenge/pantry"
)

// foodsIn notes the foods and made things that a step names, and returns the
// place of the first after the verb, or -1.
func (b *deriver) foodsIn(m *mention, words []string, at int) (object int) {
	object = -1
	for i := 0; i < len(words); i++ {
		n := pantry.Food(words[i:])
		head := words[i]
		switch {
		case i == at:
			continue
		case classes[head] != "", n == 0 && (slices.Contains(madeThings, head) || slices.Contains(cuts, head) || wetOrDry(words, i) || b.heads[head]):
			n = 1
		case n > 0:
			head = words[i+n-1]
		default:
			continue
		}
		since := words[min(max(0, at), i):i] // the verb
		if b.isMade(head) || classes[head] == "" && !b.names[head] && (oneOf(words[max(0, i-2):i], "the", "your") || oneOf(stems(b.dish.Title()), head)) {
			m.thing(head, since)
		} else {
			other := oneOf(words[max(0, i-3):i], otherParts...) || oneOf(words[max(0, i-6):i], "until")
			m.food(strings.Join(words[i:i+n], " "), head, other)
			if object < 0 && i > at && !oneOf(since, objectEnds...) {
				object = i
			}
		}
		i += n - 1
	}
	return object
}

// isMade tells whether a word is for what the dish makes and not for something
// that it is made of.
func (b *deriver) isMade(head string) bool {
	if slices.Contains(madeThings, head) || slices.Contains(cuts, head) || head == "wet" || head == "dry" {
		return true
	}
	return slices.Contains(finished, head) && !b.heads[head]
}

// ingredientWords notes the words of the ingredients' names.
func (b *deriver) ingredientWords() {
	for _, in := range b.dish.Breakdown.Ingredients() {
		name := stems(in.Name)
		for _, w := range name {
			b.names[w] = true
		}
		if len(name) > 0 {
			b.heads[name[len(name)-1]] = true
		}
	}
}

// thing notes a made thing; before are the words in front of it.
func (m *mention) thing(head string, before []string) {
	if slices.Contains(cuts, head) {
		if oneOf(before[max(0, len(before)-2):], "the", "your") { // and not "into slices"
			m.made = append(m.made, head)
		} else {
			m.leaves = append(m.leaves, head)
		}
		return
	}
	m.leaves = append(m.leaves, head)
	if head == "wet" || head == "dry" {
		m.made = append(m.made, head)
		return
	}
	makes := len(before) > 0 && slices.Contains([]string{"make", "prepare", "get", "start"}, before[0])
	switch wordBefore(before, []string{"the", "a", "an", "for", "your", "until", "not", "so"}) {
	case "the", "your", "":
		if !makes && !slices.Contains(before, "until") && !slices.Contains(before, "not") {
			m.made = append(m.made, head)
		}
	}
}

// wetOrDry tells whether "the dry ingredients" are meant.
func wetOrDry(words []string, i int) bool {
	return (words[i] == "wet" || words[i] == "dry") && (i+1 < len(words) && words[i+1] == "ingredient" || i > 0 && words[i-1] == "the")
}

// food notes one food; other says that another part of it is meant than before.
func (m *mention) food(name, head string, other bool) {
	if slices.Contains(faint, head) {
		m.faint = append(m.faint, head)
		return
	}
	class := classes[head]
	if class != "" {
		m.leaves = append(m.leaves, "all "+class)
		if !other {
			m.seeks = append(m.seeks, "all "+class, "some "+class)
		}
		return
	}
	aisle := aisleOf(name)
	if aisle == "non-food" {
		return
	}
	m.leaves = append(m.leaves, head, "some "+aisle)
	if !other {
		m.seeks = append(m.seeks, head, "all "+aisle)
	}
}

// clear leaves the ingredients that a step surely names: by the last word of
// their name, or by another that is not the last of any other's.
func (b *deriver) clear(uses []int, seeks []string) (list []int) {
	all := b.dish.Breakdown.Ingredients()
	for _, u := range uses {
		if u < 0 || u >= len(all) {
			continue
		}
		name := stems(all[u].Name)
		for i, w := range name {
			if slices.Contains(seeks, w) && (i == len(name)-1 || !b.heads[w]) {
				list = append(list, u)
				break
			}
		}
	}
	return list
}
