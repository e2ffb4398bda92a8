package likeness

import (
	"slices"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// Features are the hashed features of one entry, sorted, each once.
type Features []uint64

// shingle is how many words of the method make one feature.
const shingle = 3

// maxWords bounds the method words that count, so that a hostile text stays
// small.
const maxWords = 20000

// Of derives the features of a breakdown: each ingredient's name, the name with
// its amount, and every run of three words of the method. Words are stemmed, so
// case, plurals, accents and punctuation do not matter.
func Of(b recipe.Breakdown) Features {
	var set Features
	var buf []string
	for _, in := range b.Ingredients() {
		buf = pantry.AppendStems(buf[:0], in.Name)
		name := hashWords('n', buf)
		set = append(set, name)
		if !in.Amount.IsZero() {
			set = append(set, mix(name^hashString(in.Amount.Min.String()+" "+in.Unit)))
		}
	}
	var words []string
	for _, s := range b.Steps() {
		if len(words) > maxWords {
			break
		}
		words = pantry.AppendStems(words, s.Text)
	}
	for i := 0; i+shingle <= len(words); i++ {
		set = append(set, hashWords('m', words[i:i+shingle]))
	}
	slices.Sort(set)
	return slices.Compact(set)
}

// Jaccard is the exact likeness of two feature sets: shared over all, 0 for two
// empty ones.
func (a Features) Jaccard(b Features) float64 {
	shared := 0
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch {
		case a[i] == b[j]:
			shared++
			i++
			j++
		case a[i] < b[j]:
			i++
		default:
			j++
		}
	}
	all := len(a) + len(b) - shared
	if all == 0 {
		return 0
	}
	return float64(shared) / float64(all)
}

func hashWords(kind byte, words []string) uint64 {
	h := mix(uint64(kind))
	for _, w := range words {
		h = mix(h ^ hashString(w))
	}
	return h
}

// hashString is FNV-1a, 64 bits (offset and prime as published by its authors).
func hashString(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := 0; i < len(s); i++ {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}

// mix is the finaliser of SplitMix64 (Steele, Lea, Flood 2014): it spreads every
// bit over all others.
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
