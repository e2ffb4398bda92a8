package kitchen

import (
	"regexp"
	"slices"
	"strings"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// A mention is what the words of a step say about where it belongs among the
// steps before it. The lists are common practice, no source; testdata/steps.tsv
// says how often they are right.
type mention struct {
	uses      []int    // ingredients, without seasoning and fat
	seeks     []string // keys of foods that streams may hold
	made      []string // made things that it names: "the dough"
	faint     []string // foods that are in everything
	leaves    []string // keys by which later steps find this one
	vessels   []string // vessels that were there before: "the pan"
	another   []string // vessels that were not: "a large bowl"
	all       bool     // everything comes together
	begins    bool     // work that needs nothing of the steps before
	object    bool     // it says what it is about
	alone     bool     // work on what it names, not on what came just before
	knife     bool     // of a knife: what is cut may go to several places
	goesOn    bool     // it says that it goes on with the step before
	hob       bool     // on the hob, in no new pan
	heats     bool     // only a pan, perhaps with fat
	mixes     bool     // it makes something of several
	sequel    bool     // it waits for something to be done: "once the oil is hot"
	meanwhile bool     // it says that it goes on beside the step before
}

// mentioned reads a step; parts says how many other components it uses.
func (b *deriver) mentioned(st recipe.Step, parts int) mention {
	words, beside := besides(remark.ReplaceAllString(st.Text, ""))
	verb, at := workIn(words)
	m := mention{meanwhile: beside && !slices.Contains(intoPot, verb), sequel: sequel(st.Text)}
	m.vesselsIn(words)
	object := b.foodsIn(&m, words, at)
	m.object = object >= 0
	m.uses = b.clear(st.Uses, m.seeks)
	joins := joined(words)
	m.all = slices.Contains(finishers, verb) || slices.Contains(words, "everything") || wholeList(words) || bothMixtures(st.Text) ||
		joins && slices.Contains(m.made, "dry")
	m.goesOn = beside && !m.meanwhile || joins || refers(words, at, object) || len(m.seeks)+parts == 0 && oneOf(words, "let", "pour", "bake")
	m.begins = begins(words, verb, at) && (m.object || parts > 0 || len(m.another) > 0) &&
		(len(m.another) > 0 && m.object || !slices.Contains(intoOld, verb))
	m.mixes = slices.Contains(mixing, verb) && !joins
	if oneOf(words, mixing...) {
		m.leaves = append(m.leaves, "mixture")
	}
	hob, inOven := hobWords(words)
	hob = hob || verb == "heat" || verb == "bring"
	m.hob, m.heats = hob && len(m.another) == 0, hob && len(m.seeks) == 0
	m.knife = slices.Contains(knifeWork, verb) && !hob && !inOven && m.object
	m.alone = m.object && (slices.Contains(knifeWork, verb) || slices.Contains(ownWork, verb))
	return m
}

// oneOf tells whether any of some words is among others.
func oneOf(words []string, some ...string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(some, w) })
}

// remark is what stands in brackets, which says nothing of the order.
var remark = regexp.MustCompile(`\([^()]*\)`)

// besides gives the words of a text without a leading "meanwhile" or "while the
// soup simmers,", and tells whether there was one.
func besides(text string) (words []string, beside bool) {
	if !meanwhile(text) {
		return opening(text), false
	}
	rest := text
	for strings.Contains(rest, ",") {
		_, rest, _ = strings.Cut(rest, ",")
		if words := opening(rest); len(words) > 0 && isWork(words[0]) {
			return words, true
		}
	}
	words = opening(text)
	for i := 1; i < len(words); i++ {
		if isWork(words[i]) && !slices.Contains(nounMarks, words[i-1]) {
			return words[i:], true
		}
	}
	return words, true
}

// workIn finds the first word of work among the first words of a step.
func workIn(words []string) (verb string, at int) {
	for i, w := range words[:min(12, len(words))] {
		if isWork(w) && (i == 0 || !slices.Contains(nounMarks, words[i-1])) {
			return w, i
		}
	}
	return "", -1
}

func isWork(w string) bool {
	v, ok := pantry.FindVerb(w)
	return ok && v.Kind != "hold" || slices.Contains(starters, w) || slices.Contains(goers, w) || slices.Contains(finishers, w)
}

// begins tells whether the verb can begin something: "mix the eggs", but not
// "mix in the eggs" and not "top with the eggs".
func begins(words []string, verb string, at int) bool {
	next := ""
	if at >= 0 && at+1 < len(words) {
		next = words[at+1]
	}
	switch {
	case at < 0, next == "in" && !newVesselAfter(words[at+2:]), slices.Contains([]string{"into", "with", "from"}, next):
		return false
	case slices.Contains(goers, verb):
		return verb == "stir" && next == "together"
	}
	v, ok := pantry.FindVerb(verb)
	return slices.Contains(starters, verb) || ok && v.Kind != "hold"
}

func newVesselAfter(words []string) bool {
	return len(words) > 0 && slices.Contains(ownBowl, words[0])
}

// sequel tells whether a step begins with what it waits for.
func sequel(text string) bool {
	words := stems(text)
	return len(words) > 0 && slices.Contains(sequels, words[0])
}

// refers tells whether a step means what came before by a pronoun that stands
// before any food.
func refers(words []string, at, object int) bool {
	end := min(at+5, len(words))
	if object >= 0 {
		end = min(end, object)
	}
	return at >= 0 && at < end && oneOf(words[at:end], pronouns...)
}

// wholeList tells whether a step takes all that the recipe lists.
func wholeList(words []string) bool {
	i := slices.Index(words, "ingredient")
	return i > 0 && oneOf(words[max(0, i-3):i], "all", "remaining", "rest", "other")
}

// joined tells whether a step puts what it prepares to something: "chop the
// onion and add it".
func joined(words []string) bool {
	for i := 1; i+1 < len(words); i++ {
		switch next := words[i+1]; words[i] {
		case "add":
			if next == "to" || slices.Contains(pronouns, next) {
				return true
			}
		case "put", "stir", "mix", "fold", "whisk", "beat":
			if next == "in" && !newVesselAfter(words[i+2:]) {
				return true
			}
		}
	}
	return false
}

// bothMixtures tells whether a step puts together all that was mixed.
func bothMixtures(text string) bool {
	low := strings.ToLower(text)
	return slices.ContainsFunc([]string{"two mixtures", "both mix", "mixtures together", "wet and dry", "dry and wet", "wet ingredients to the dry", "dry ingredients to the wet"},
		func(w string) bool { return strings.Contains(low, w) })
}

// opening are the words of a step from its verb on.
func opening(text string) []string {
	words := stems(text)
	for len(words) > 1 && (strings.HasSuffix(words[0], "ly") || slices.Contains(openers, words[0])) {
		words = words[1:]
	}
	return words
}
