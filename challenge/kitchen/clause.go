package kitchen

import (
	"slices"
	"strings"
	"unicode"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// small are verbs that are no work of their own beside a timed one.
var small = []string{"add", "stir", "season", "serve", "garnish", "plate", "toss", "brush", "fill", "glaze", "combine", "line (tin)", "grease", "measure", "pat dry"}

// handiwork are words of work that the table of verbs does not know as such.
var handiwork = []string{"coat", "dip", "roll", "rub", "bind", "spread", "flake", "overlap", "unwrap"}

// clauses cuts a step into the pieces of work that a plan should place one by
// one: every sentence with a time of its own, and handiwork before and after it.
// A step without times, or of one sentence, stays whole.
func (b *deriver) clauses(c int, st recipe.Step) []recipe.Step {
	sentences := sentencesOf(st.Text)
	timed := timedIn(sentences, st)
	if timed == nil || len(sentences) < 2 {
		return []recipe.Step{st}
	}
	var groups [][]int
	for i := range sentences {
		if n := len(groups); n > 0 && !b.ownWork(sentences, timed, groups[n-1], i) {
			groups[n-1] = append(groups[n-1], i)
			continue
		}
		groups = append(groups, []int{i})
	}
	if len(groups) < 2 {
		return []recipe.Step{st}
	}
	var out []recipe.Step
	for _, g := range groups {
		out = append(out, b.part(st, strings.Join(sentences[g[0]:g[len(g)-1]+1], " "), gathered(timed, g)))
	}
	b.share(c, st, out)
	return out
}

// withoutPreheating leaves out the sentences that only turn the oven on.
func (b *deriver) withoutPreheating(st recipe.Step) recipe.Step {
	var left []string
	sentences := sentencesOf(st.Text)
	for _, s := range sentences {
		if !onlyHeatsOven(b.part(st, s, nil)) {
			left = append(left, s)
		}
	}
	if len(left) == len(sentences) || len(left) == 0 {
		return st
	}
	rest := b.part(st, strings.Join(left, " "), st.Durations)
	rest.Uses, rest.UsesParts, rest.Attended = st.Uses, st.UsesParts, st.Attended
	return rest
}

func gathered(timed [][]recipe.Duration, group []int) []recipe.Duration {
	var all []recipe.Duration
	for _, i := range group {
		all = append(all, timed[i]...)
	}
	return all
}

// ownWork tells whether sentence i begins another piece of work than the
// sentences before it.
func (b *deriver) ownWork(sentences []string, timed [][]recipe.Duration, before []int, i int) bool {
	wasTimed := worked(gathered(timed, before))
	switch {
	case meanwhile(sentences[i]):
		return true
	case wasTimed && worked(timed[i]):
		return true
	case wasTimed: // "Rest 30 minutes. Roll it out."
		return busy(sentences[i], "hands", "machine", "heat")
	case worked(timed[i]): // "Coat in flour and egg. Fry 3 minutes."
		return slices.ContainsFunc(before, func(k int) bool { return busy(sentences[k], "hands", "machine") })
	}
	return false
}

// worked tells whether any of the durations is work and not a storage time.
func worked(ds []recipe.Duration) bool {
	return slices.ContainsFunc(ds, func(d recipe.Duration) bool { return !d.Every && !d.Keeps })
}

// busy tells whether a sentence names work of one of the kinds that is worth a
// task.
func busy(text string, kinds ...string) bool {
	for _, w := range stems(text) {
		if slices.Contains(handiwork, w) && slices.Contains(kinds, "hands") {
			return true
		}
		if v, ok := pantry.FindVerb(w); ok && slices.Contains(kinds, v.Kind) && !slices.Contains(small, v.Verb) && v.Verb != "preheat" {
			return true
		}
	}
	return false
}

// sentencesOf cuts at full stops and semicolons before a new beginning.
func sentencesOf(text string) []string {
	var list []string
	from := 0
	for i, r := range text {
		if r != ';' && r != '.' && r != '!' {
			continue
		}
		after := text[i+1:] // each of these is one byte
		next := strings.TrimLeft(after, " \t\n\"”)")
		if r == ';' || next != "" && (next[0] < 'a' || next[0] > 'z') && len(next) < len(after) {
			list = append(list, strings.TrimSpace(text[from:i+1]))
			from = i + 1
		}
	}
	if rest := strings.TrimSpace(text[from:]); rest != "" {
		list = append(list, rest)
	}
	return list
}

// timedIn gives each sentence its durations; nil where none is work, or one
// cannot be found again.
func timedIn(sentences []string, st recipe.Step) [][]recipe.Duration {
	timed := make([][]recipe.Duration, len(sentences))
	any, at, from := false, 0, 0
	for _, d := range st.Durations {
		for at < len(sentences) {
			if i := strings.Index(sentences[at][from:], d.Text); i >= 0 && d.Text != "" {
				from += i + len(d.Text)
				break
			}
			at, from = at+1, 0
		}
		if at == len(sentences) {
			return nil
		}
		timed[at] = append(timed[at], d)
		any = any || worked([]recipe.Duration{d})
	}
	if !any {
		return nil
	}
	return timed
}

// part is a step made of some of the sentences of another.
func (b *deriver) part(st recipe.Step, text string, ds []recipe.Duration) recipe.Step {
	words := stems(text)
	cut := recipe.Step{Text: text, Durations: ds, Attended: recipe.Attended, Heats: st.Heats, Overnight: st.Overnight && slices.Contains(words, "overnight")}
	for _, t := range st.Temperatures {
		if t.Text != "" && strings.Contains(text, t.Text) {
			cut.Temperatures = append(cut.Temperatures, t)
		}
	}
	if st.OvenWords != "" && strings.Contains(strings.ToLower(text), st.OvenWords) {
		cut.OvenWords = st.OvenWords
	}
	for i := range words {
		name, _ := pantry.Equipment(words[i:])
		if name != "" && slices.Contains(st.Equipment, name) && !slices.Contains(cut.Equipment, name) {
			cut.Equipment = append(cut.Equipment, name)
		}
	}
	return cut
}

// share gives each part the ingredients and components that its words name;
// what none of them names goes to the first.
func (b *deriver) share(c int, st recipe.Step, parts []recipe.Step) {
	all := b.dish.Breakdown.Ingredients()
	give := func(name string) int {
		s := stems(name)
		for k, p := range parts {
			if len(s) > 0 && slices.Contains(stems(p.Text), s[len(s)-1]) {
				return k
			}
		}
		return 0
	}
	for _, u := range st.Uses {
		if u >= 0 && u < len(all) {
			k := give(all[u].Name)
			parts[k].Uses = append(parts[k].Uses, u)
		}
	}
	for _, p := range b.needs(st, c) {
		k := give(b.dish.Breakdown.Components[p].Name)
		parts[k].UsesParts = append(parts[k].UsesParts, p)
	}
}

// joining words are left away at the end of a short name.
var joining = []string{"a", "an", "and", "at", "by", "down", "for", "from", "in", "into", "it", "its", "of", "on", "onto", "or", "over", "the", "then",
	"to", "until", "up", "with", "about", "leaving", "per"}

// shortName is the first clause of a step, at most six words.
func shortName(text string) string {
	text = strings.TrimSpace(text)
	if i := strings.IndexAny(text, ".,;:("); i > 0 {
		text = text[:i]
	}
	words := strings.Fields(text)
	if n := len(words); n > 3 && words[n-3] == "for" && strings.ContainsAny(words[n-2], "0123456789") {
		words = words[:n-3] // the row says how long
	}
	if len(words) > 6 {
		words = words[:6]
		for len(words) > 1 && (slices.Contains(joining, strings.ToLower(words[len(words)-1])) || strings.ContainsAny(words[len(words)-1], "0123456789")) {
			words = words[:len(words)-1]
		}
	}
	return strings.Join(words, " ")
}

func startsWithLetter(s string) bool {
	for _, r := range s {
		return unicode.IsLetter(r)
	}
	return false
}

// handsIn counts the words of handiwork in a text.
func handsIn(text string) int {
	n := 0
	for _, w := range stems(text) {
		if v, ok := pantry.FindVerb(w); slices.Contains(handiwork, w) || ok && (v.Kind == "hands" || v.Kind == "machine") && !slices.Contains(small, v.Verb) {
			n++
		}
	}
	return n
}
