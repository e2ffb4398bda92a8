package recipe

import (
	"slices"

	"fairladle/challenge/pantry"
)

// step reads one step of the method.
func (r *reader) step(s, e int) Step {
	t := r.scan(s, e)
	st := Step{Text: r.clean(s, e), At: Place{s, e}}
	st.Durations = r.durations(t)
	st.Temperatures = r.temperatures(t)
	st.OvenWords = r.ovenWords(t)
	r.stepVerbs(t, &st)
	return st
}

// ovenWords finds "moderate oven" and the like.
func (r *reader) ovenWords(t []token) string {
	for i := 1; i < len(t); i++ {
		if r.word(t, i) != "oven" {
			continue
		}
		from := i
		for from > 0 && ovenWord[r.word(t, from-1)] {
			from--
		}
		if from < i {
			return r.low[t[from].s:t[i-1].e]
		}
	}
	return ""
}

var ovenWord = map[string]bool{"very": true, "slow": true, "moderate": true, "moderately": true, "hot": true, "quick": true,
	"fast": true, "cool": true, "warm": true, "medium": true, "low": true}

// stepVerbs fills equipment, attendance, overnight and until.
func (r *reader) stepVerbs(t []token, st *Step) {
	stems := r.stems(t)
	best, longest, ready, skip := Attention(""), 0.0, false, 0
	for _, d := range st.Durations {
		if !d.Every && !d.Keeps {
			longest = max(longest, d.MaxMinutes)
		}
	}
	for i := range t {
		if t[i].k != word {
			continue
		}
		w := r.low[t[i].s:t[i].e]
		if w == "overnight" {
			st.Overnight = true
		}
		if w == "until" && st.Until == "" {
			st.Until = r.phrase(t, i+1, r.untilEnd(t, i+1))
		}
		if name, n := pantry.Equipment(stems[i:min(len(stems), i+4)]); name != "" && i >= skip {
			addOnce(&st.Equipment, name)
			skip = i + n // the oven of "dutch oven" is none
		}
		switch w {
		case "instructions", "package", "packet", "directions", "recipe":
			ready = true
		}
		if t[i].cls&isTime != 0 {
			ready = true // "a few minutes"
		}
		if t[i].cls&isVerb == 0 {
			continue
		}
		switch w {
		case "bake", "roast", "simmer", "boil", "braise", "stew", "poach", "steam":
			st.Heats = st.Heats || !r.toBoil(t, i)
		case "serve", "reduce", "bring":
			ready = true
		}
		if v, ok := pantry.FindVerb(stems[i]); ok {
			if w == "bake" || v.Equipment == "hob burner" && !slices.Contains(st.Equipment, "oven") {
				addOnce(&st.Equipment, v.Equipment)
			}
			best = lessAttended(best, v)
		}
	}
	st.Heats = st.Heats && !ready
	st.Attended = Attended
	if longest >= 5 || st.Overnight {
		switch best {
		case Unattended, Part:
			st.Attended = best
		}
	}
}

// toBoil: "bring to a boil" wants no time.
func (r *reader) toBoil(t []token, i int) bool {
	p := r.word(t, i-1)
	return p == "a" || p == "the" || p == "to" || p == "rolling" || p == "gentle"
}

func lessAttended(now Attention, v pantry.Verb) Attention {
	switch {
	case v.Attended == "no" && v.Kind != "hands":
		return Unattended
	case v.Attended == "part" && now != Unattended:
		return Part
	}
	return now
}

func (r *reader) untilEnd(t []token, i int) int {
	for i < len(t) && t[i].k == word && r.word(t, i) != "then" {
		i++
	}
	return i
}

func addOnce(list *[]string, s string) {
	if len(*list) < 20 && !slices.Contains(*list, s) {
		*list = append(*list, s)
	}
}

// stems gives a stem for each token, "" for those that are not words.
func (r *reader) stems(t []token) []string {
	out := r.stemBuf[:0]
	for _, k := range t {
		s := ""
		if k.k == word {
			s = pantry.Stem(pantry.Fold(r.low[k.s:k.e]))
		}
		out = append(out, s)
	}
	r.stemBuf = out
	return out
}
