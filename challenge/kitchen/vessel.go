package kitchen

import (
	"slices"

	"fairladle/challenge/pantry"
)

// vesselsIn notes what a step says of vessels, by the words before each.
func (m *mention) vesselsIn(words []string) {
	for i := range words {
		v := vesselAt(words, i)
		if v == "" || slices.Contains(m.another, v) {
			continue
		}
		if slices.Contains(oldVessel, wordBefore(words[max(0, i-5):i], vesselMarks)) {
			m.vessels = append(m.vessels, v)
		} else {
			m.another = append(m.another, v)
		}
	}
}

// wordBefore is the last of the words that is on a list.
func wordBefore(words, list []string) string {
	for i := len(words) - 1; i >= 0; i-- {
		if slices.Contains(list, words[i]) {
			return words[i]
		}
	}
	return ""
}

// vesselAt is the sort of vessel that begins at a word, or "".
func vesselAt(words []string, i int) string {
	switch name, n := pantry.Equipment(words[i:]); {
	case words[i] == "bag":
		return "bag"
	case n == 0 || i > 0 && words[i] == "pan" && words[i-1] == "sauce":
		return ""
	case slices.Contains([]string{"pan", "frying pan", "wok"}, name):
		return "pan"
	case slices.Contains([]string{"pot", "saucepan", "dutch oven", "casserole dish"}, name):
		return "pot"
	case name == "bowl", slices.Contains(ovenVessels, name):
		return name
	}
	return ""
}
