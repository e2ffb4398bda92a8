package recipe

import (
	"slices"
	"strings"

	"fairladle/challenge/pantry"
)

// maxUses bounds what one step may use, and maxPosting how many ingredients one
// word may stand for, so that linking stays linear.
const (
	maxUses    = 64
	maxPosting = 8
)

// uses finds the ingredients that the step in j.stems names. Where several share
// the word ("oil"), those with most words in the step are meant.
func (j *judge) uses(st *Step) {
	st.Uses = nil
	for i, w := range j.stems {
		switch w {
		case "everything", "ingredient", "remaining", "spice", "above":
			j.allUsed = j.allUsed || i > 0
		case "rest":
			j.allUsed = j.allUsed || i+1 < len(j.stems) && j.stems[i+1] == "of" || i > 0 && takesAll(j.stems[i-1])
		case "all":
			j.allUsed = j.allUsed || i > 0 && takesAll(j.stems[i-1])
		case "season", "seasoning", "salted":
			j.season()
		}
		for _, n := range j.index[w] {
			if j.matched[n] == 0 {
				j.touched = append(j.touched, n)
			}
			j.matched[n]++
		}
	}
	for _, n := range j.touched {
		if len(st.Uses) < maxUses && j.meant(n) {
			st.Uses = append(st.Uses, n)
			j.used[n] = true
		}
	}
	for _, n := range j.touched {
		j.matched[n] = 0
	}
	j.touched = j.touched[:0]
	slices.Sort(st.Uses)
}

// takesAll reports a verb before "all" or "the rest" that means the ingredients.
func takesAll(stem string) bool {
	switch stem {
	case "the", "add", "bring", "mix", "combine", "blend", "whisk", "put", "place", "stir", "whizz", "blitz":
		return true
	}
	return false
}

// season marks salt and pepper as used: "season to taste".
func (j *judge) season() {
	for _, w := range []string{"salt", "pepper"} {
		for _, n := range j.index[w] {
			j.used[n] = true
		}
	}
}

// meant reports whether ingredient n is what the step's words mean: its head
// word is there, or a word that no other ingredient has; and no other ingredient
// with the same head matches better.
func (j *judge) meant(n int) bool {
	head := j.heads[n]
	for _, other := range j.index[head] {
		if j.heads[other] == head && j.matched[other] > j.matched[n] && j.refs[other].Name != j.refs[n].Name {
			return false
		}
	}
	return true
}

// usesParts finds the other components that the step names.
func (j *judge) usesParts(st *Step, own int) {
	st.UsesParts = nil
	if len(j.b.Components) < 2 || len(j.b.Components) > 12 {
		return
	}
	for c := range j.b.Components {
		name := j.b.Components[c].Name
		if name == "" {
			continue
		}
		all, any := true, false
		for w := range strings.FieldsSeq(pantry.Fold(name)) {
			w = pantry.Stem(strings.Trim(w, "():,.\"'"))
			if len(w) < 3 || w == "the" || w == "for" || w == "and" || w == "layer" {
				continue
			}
			any = true
			all = all && j.speaksOf(w)
		}
		if any && all {
			j.usePart(c)
			if c != own {
				st.UsesParts = append(st.UsesParts, c)
			}
		}
	}
}

// namesPart reports a word of a component's name: the icing is made, not bought.
func (j *judge) namesPart(stem string) bool {
	for c := range j.b.Components {
		if name := j.b.Components[c].Name; name != "" && strings.Contains(pantry.Fold(name), stem) {
			return true
		}
	}
	return false
}

// speaksOf reports a word of a part's name among the stems of the step, or its
// verb: "marinate" for the marinade, "coat" for the coating.
func (j *judge) speaksOf(w string) bool {
	root := strings.TrimSuffix(w, "ing")
	for _, s := range j.stems {
		if s == w || len(root) >= 4 && s == root || len(w) >= 7 && len(s) >= 6 && s[:6] == w[:6] {
			return true
		}
	}
	return false
}

// usePart marks what component c lists as used: "spread the frosting".
func (j *judge) usePart(c int) {
	n := 0
	for _, b := range j.b.Components[:c] {
		n += len(b.Ingredients)
	}
	for k := range j.b.Components[c].Ingredients {
		j.used[n+k] = true
	}
}

// inTitle: what the dish is called need not be listed.
func (j *judge) inTitle(stem string) bool { return slices.Contains(j.title, stem) }

// unlistedIn notes known foods of the step that no ingredient names.
func (j *judge) unlistedIn(st *Step) {
	if j.prose || len(j.refs) == 0 {
		return
	}
	for i := 0; i < len(j.stems); i++ {
		n := pantry.Food(j.stems[i:min(len(j.stems), i+5)])
		if n == 0 {
			continue
		}
		j.foods++
		known := false
		for _, w := range j.stems[i : i+n] {
			known = known || len(j.index[w]) > 0
		}
		last := j.stems[i+n-1]
		if !known && !hasClass(last, isUnremarked) && !j.inTitle(last) && !j.namesPart(last) && len(j.order) < 8 {
			key := strings.Join(j.stems[i:i+n], " ")
			if _, seen := j.unlisted[key]; !seen {
				j.unlisted[key] = st.At
				j.order = append(j.order, key)
			}
		}
		i += n - 1
	}
}
