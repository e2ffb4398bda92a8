package kitchen

import (
	"slices"
	"strings"

	"fairladle/challenge/recipe"
)

// Steps that wait for less than the step before them; common practice, no
// source.
var (
	// knifeWork are first words of steps that can be done at any time before
	// their result is used.
	knifeWork = []string{"cut", "chop", "slice", "dice", "peel", "grate", "mince", "shred", "trim", "wash", "rinse", "zest", "julienne", "cube", "prep", "juice", "core", "pit", "crush", "strip"}
	// ownBowl are words between "in a" and "bowl".
	ownBowl = []string{"a", "another", "separate", "big", "large", "small", "medium", "mixing", "second", "clean", "different"}
	// heatWords begin a step that only gets something hot.
	heatWords = []string{"heat", "warm", "place", "put", "bring", "start"}
	// openers stand before the verb.
	openers = []string{"first", "next", "then", "now", "start", "begin", "by"}
)

// opening are the words of a step from its verb on.
func opening(text string) []string {
	words := stems(text)
	for len(words) > 1 && (strings.HasSuffix(words[0], "ly") || slices.Contains(openers, words[0])) {
		words = words[1:]
	}
	return words
}

// fresh tells whether a step only cuts or cleans, or mixes in a bowl of its own,
// what no step has touched, so that it waits for nothing but its prep.
func (b *deriver) fresh(st recipe.Step) bool {
	words := opening(st.Text)
	if len(words) == 0 || len(st.Uses) == 0 || slices.ContainsFunc(st.Uses, func(u int) bool { return b.seen[u] }) {
		return false
	}
	hob, inOven := hobWords(words)
	joins := slices.ContainsFunc(words, func(w string) bool { return slices.Contains([]string{"add", "arrange", "mix", "toss"}, w) })
	if slices.Contains(knifeWork, words[0]) {
		return !hob && !inOven && !joins
	}
	return !hob && !inOven && inOwnBowl(stems(st.Text))
}

// inOwnBowl tells whether a text names a bowl that was not there before: "in a
// large bowl".
func inOwnBowl(words []string) bool {
	i := slices.Index(words, "bowl")
	k := i - 1
	for k >= 0 && slices.Contains(ownBowl, words[k]) {
		k--
	}
	return i > 0 && k >= 0 && k < i-1 && words[k] == "in"
}

// heatsFirst tells whether a step gets a pan hot while the step before was only
// knife work on other things: nobody waits with the pan for the last carrot.
func (b *deriver) heatsFirst(c int, st recipe.Step) bool {
	words := stems(st.Text)
	prev := b.tasks[len(b.tasks)-1]
	if len(words) == 0 || !slices.Contains(heatWords, words[0]) || prev.Component != c || prev.Machine != "" || prev.Kind != Cook {
		return false
	}
	first := opening(prev.Text)
	if len(first) == 0 || !slices.Contains(knifeWork, first[0]) && !slices.Contains(first, "knife") {
		return false
	}
	hob, _ := hobWords(words)
	return hob && !slices.ContainsFunc(st.Uses, func(u int) bool { return b.seen[u] })
}
