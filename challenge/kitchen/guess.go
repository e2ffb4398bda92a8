package kitchen

import (
	"strconv"
	"strings"
	"sync"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// habit is a row of pantry's task table: how long a common job takes.
type habit struct {
	words   []string // stems that a text must hold
	minutes float64
	scale   string
	source  string
}

var habits = sync.OnceValue(func() []habit {
	var list []habit
	for _, r := range pantry.Rows("tasks") {
		m, err := strconv.ParseFloat(r[1], 64)
		if err != nil {
			continue
		}
		var words []string
		for _, w := range stems(r[0]) {
			if len(w) > 2 && w != "and" && w != "the" {
				words = append(words, w)
			}
		}
		source, _, _ := strings.Cut(r[3], " (")
		list = append(list, habit{words, m, r[2], source})
	}
	return list
})

// minutesOf finds a row of the task table by its name.
func minutesOf(name string) (float64, string) {
	want := strings.Join(significant(name), " ")
	for _, h := range habits() {
		if strings.Join(h.words, " ") == want {
			return h.minutes, h.source
		}
	}
	return 0, ""
}

func significant(name string) []string {
	var words []string
	for _, w := range stems(name) {
		if len(w) > 2 && w != "and" && w != "the" {
			words = append(words, w)
		}
	}
	return words
}

// habitIn finds the row whose words all stand in the text, the most words first.
func habitIn(text string) (habit, bool) {
	in := map[string]bool{}
	for _, w := range stems(text) {
		in[w] = true
	}
	best := habit{}
	for _, h := range habits() {
		all := len(h.words) > 1
		for _, w := range h.words {
			all = all && in[w]
		}
		if all && len(h.words) > len(best.words) {
			best = h
		}
	}
	return best, len(best.words) > 0
}

// practice is the source of rules of thumb; where nothing else is known of a
// guess, pages need not repeat it.
const practice = "common practice, no source"

// guess is how long a step takes that does not say so.
func guess(st recipe.Step) (minutes int, source string) {
	if st.Overnight {
		return 8 * 60, "overnight taken as 8 hours; " + practice
	}
	if h, ok := habitIn(st.Text); ok {
		return max(1, int(h.minutes+0.5)), h.source
	}
	longest := 0
	for _, w := range pantry.Words(st.Text) {
		v, ok := pantry.FindVerb(pantry.Stem(w))
		if !ok {
			continue
		}
		if v.Equipment == oven && v.Verb != "preheat" {
			longest = max(longest, 30)
		}
		longest = max(longest, map[string]int{"heat": 8, "wait": 30, "hold": 10, "machine": 4, "hands": 4}[v.Kind])
	}
	return max(3, longest), practice
}

// given adds up the times that a step gives for work, in minutes.
func given(st recipe.Step) (minutes int, ok bool) {
	sum := 0.0
	for _, d := range st.Durations {
		if d.Every || d.Keeps {
			continue
		}
		m := d.MaxMinutes
		if d.Each {
			m *= 2 // two sides; batches are counted by the machine
		}
		sum += m
	}
	return int(sum + 0.999), sum > 0
}
