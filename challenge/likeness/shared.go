package likeness

import (
	"slices"
	"strings"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

func sortMatches(m []Match) {
	slices.SortFunc(m, func(a, b Match) int { return a.Number - b.Number })
}

// Overlap is what two entries share, to be marked when they are shown side by
// side.
type Overlap struct {
	Ingredients []string // names in both, as the first writes them
	SameAmounts int      // of those, how many with the same amount
	Passages    []recipe.Place
	PassagesOf  []recipe.Place // the same passages in the second text
}

// minPassage is how many words in a row make a shared passage.
const minPassage = 6

// Shared compares two breakdowns with their texts.
func Shared(a recipe.Breakdown, textA string, b recipe.Breakdown, textB string) Overlap {
	var o Overlap
	names := map[string]recipe.Ingredient{}
	for _, in := range b.Ingredients() {
		names[nameKey(in.Name)] = in
	}
	for _, in := range a.Ingredients() {
		key := nameKey(in.Name)
		other, ok := names[key]
		if !ok || key == "" {
			continue
		}
		o.Ingredients = append(o.Ingredients, in.Name)
		if in.Amount == other.Amount && in.Unit == other.Unit && !in.Amount.IsZero() {
			o.SameAmounts++
		}
		delete(names, key)
	}
	o.Passages, o.PassagesOf = passages(words(a, textA), words(b, textB))
	return o
}

func nameKey(name string) string {
	stems := pantry.AppendStems(nil, name)
	slices.Sort(stems)
	return strings.Join(stems, " ")
}

type placedWord struct {
	stem string
	at   recipe.Place
}

// words gives the words of the method with their places.
func words(b recipe.Breakdown, text string) []placedWord {
	var out []placedWord
	for _, s := range b.Steps() {
		for i := s.At.Start; i < s.At.End && len(out) < maxWords; {
			j := i
			for j < s.At.End && text[j] > ' ' {
				j++
			}
			if stems := pantry.AppendStems(nil, text[i:j]); len(stems) > 0 {
				out = append(out, placedWord{strings.Join(stems, " "), recipe.Place{Start: i, End: j}})
			}
			i = max(j, i+1)
		}
	}
	return out
}

// passages finds runs of minPassage or more equal words, greedily from the
// front of a; each word of a is looked up once.
func passages(a, b []placedWord) (inA, inB []recipe.Place) {
	index := map[uint64]int{}
	for i := 0; i+minPassage <= len(b); i++ {
		key := runKey(b[i : i+minPassage])
		if _, seen := index[key]; !seen {
			index[key] = i
		}
	}
	for i := 0; i+minPassage <= len(a); {
		j, ok := index[runKey(a[i:i+minPassage])]
		if !ok {
			i++
			continue
		}
		n := 0
		for i+n < len(a) && j+n < len(b) && a[i+n].stem == b[j+n].stem {
			n++
		}
		if n < minPassage {
			i++
			continue
		}
		inA = append(inA, recipe.Place{Start: a[i].at.Start, End: a[i+n-1].at.End})
		inB = append(inB, recipe.Place{Start: b[j].at.Start, End: b[j+n-1].at.End})
		i += n
	}
	return inA, inB
}

func runKey(w []placedWord) uint64 {
	h := mix(1)
	for _, x := range w {
		h = mix(h ^ hashString(x.stem))
	}
	return h
}
