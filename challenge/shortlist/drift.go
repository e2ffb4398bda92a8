package shortlist

import (
	"math/rand/v2"
	"slices"

	"fairladle/challenge/wording"
)

// Repeats chooses n entries that one reader gets again, unmarked, later in the
// round: from the first half of what he or she has read (in that order), so
// that time has passed, and as evenly from keep, maybe and out as there are.
// Where fewer can be chosen it returns fewer.
func Repeats(read []Reading, n int, seed [32]byte) []int64 {
	random := rand.New(rand.NewChaCha8(seed))
	var piles [3][]int64
	for _, r := range read[:(len(read)+1)/2] {
		if r.Mark.Valid() {
			piles[r.Mark] = append(piles[r.Mark], r.Entry)
		}
	}
	for _, pile := range piles {
		random.Shuffle(len(pile), func(a, b int) { pile[a], pile[b] = pile[b], pile[a] })
	}
	var chosen []int64
	for len(chosen) < n {
		before := len(chosen)
		for m := range piles {
			if len(piles[m]) > 0 && len(chosen) < n {
				chosen = append(chosen, piles[m][0])
				piles[m] = piles[m][1:]
			}
		}
		if len(chosen) == before {
			break
		}
	}
	random.Shuffle(len(chosen), func(a, b int) { chosen[a], chosen[b] = chosen[b], chosen[a] })
	return chosen
}

// Drift compares one reader's first marks with the second ones.
type Drift struct {
	Repeats int                `json:"repeats"`
	Same    int                `json:"same"`
	Up      int                `json:"up"`   // kinder the second time
	Down    int                `json:"down"` // stricter the second time
	Shift   float64            `json:"shift"`
	Changed []int64            `json:"changed,omitempty"` // entries marked differently, by number
	Words   []wording.Sentence `json:"words"`
}

// Compare looks at the entries in both lists; Shift is the mean change, in
// steps between out and maybe.
func Compare(first, second []Reading) Drift {
	was := map[int64]Mark{}
	for _, r := range first {
		was[r.Entry] = r.Mark
	}
	var d Drift
	sum := 0
	for _, r := range second {
		before, both := was[r.Entry]
		if !both {
			continue
		}
		d.Repeats++
		sum += int(r.Mark - before)
		switch {
		case r.Mark == before:
			d.Same++
			continue
		case r.Mark > before:
			d.Up++
		default:
			d.Down++
		}
		d.Changed = append(d.Changed, r.Entry)
	}
	slices.Sort(d.Changed)
	if d.Repeats > 0 {
		d.Shift = float64(sum) / float64(d.Repeats)
	}
	d.Words = d.sentences()
	return d
}

func (d Drift) sentences() []wording.Sentence {
	if d.Repeats == 0 {
		return []wording.Sentence{wording.Of("No recipe has been read twice yet.")}
	}
	words := []wording.Sentence{wording.Of("Recipes shown twice: %v. The same mark both times: %v.", d.Repeats, d.Same)}
	switch {
	case d.Up > d.Down && d.Shift >= .25:
		words = append(words, wording.Of("The marks became kinder in the course of the reading: look again at the early ones that just missed."))
	case d.Down > d.Up && d.Shift <= -.25:
		words = append(words, wording.Of("The marks became stricter in the course of the reading: look again at the late ones that just missed."))
	case 2*d.Same < d.Repeats:
		words = append(words, wording.Of("The marks changed in both directions, so the line between in and out is not sharp."))
	}
	return words
}
