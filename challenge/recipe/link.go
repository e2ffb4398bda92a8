package recipe

import (
	"slices"

	"fairladle/challenge/pantry"
)

// maxUses bounds what one step may use, and maxPosting how many ingredients one
// word may stand for, so that linking stays linear.
const (
	maxUses    = 64
	maxPosting = 8
)

// relink finds again which ingredients each step uses, after the list changed.
func (b *Breakdown) relink(text string) {
	r := readers.Get().(*reader)
	defer readers.Put(r)
	r.text, r.low, r.b = text, lowASCII(text), *b
	r.link()
	*b = r.b
	r.text, r.low, r.b = "", "", Breakdown{}
}

// link finds which ingredients each step uses.
func (r *reader) link() {
	all := r.b.Ingredients()
	index := map[string][]int{}
	for i, in := range all {
		for _, w := range nameStems(in.Name) {
			if len(index[w]) < maxPosting {
				index[w] = append(index[w], i)
			}
		}
	}
	for c := range r.b.Components {
		for s := range r.b.Components[c].Steps {
			r.linkStep(&r.b.Components[c].Steps[s], index)
		}
	}
}

func (r *reader) linkStep(st *Step, index map[string][]int) {
	st.Uses = nil
	t := r.scan(st.At.Start, st.At.End)
	for _, w := range r.stems(t) {
		if len(st.Uses) >= maxUses {
			break
		}
		for _, i := range index[w] {
			if !slices.Contains(st.Uses, i) {
				st.Uses = append(st.Uses, i)
			}
		}
	}
	slices.Sort(st.Uses)
}

// nameStems gives the stems of the words of a name that tell it apart.
func nameStems(name string) []string {
	var out []string
	lex := lexicon()
	words := pantry.Words(name)
	for i, w := range words {
		if len(w) < 3 || lex[w]&(isKeep|isPrep|isAdverb|isSize|isStop|isNumber) != 0 && i < len(words)-1 || w == "and" {
			continue
		}
		out = append(out, pantry.Stem(w))
	}
	return out
}
