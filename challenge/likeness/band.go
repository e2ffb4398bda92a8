package likeness

import "math"

// Rows and Bands cut a signature for the look-up: two entries are compared when
// all Rows places of one of the Bands agree. A pair of likeness s is compared
// with chance Chance(s, Rows, Bands): 0.984 at 0.5, 0.0004 at 0.05.
const (
	Rows  = 4
	Bands = Hashes / Rows
)

// Alike is the estimated likeness from which two entries are shown side by side.
const Alike = 0.42

// Keys gives the band keys of a signature for the look-up table. A key holds its
// band's number, so keys of different bands never meet.
func (s *Signature) Keys() [Bands]int64 {
	var out [Bands]int64
	for b := range out {
		h := mix(uint64(b) + 1)
		for r := range Rows {
			h = mix(h ^ uint64(s[b*Rows+r]))
		}
		out[b] = int64(h)
	}
	return out
}

// Chance is the probability 1-(1-s^r)^b that a pair of likeness s shares a band
// (Mining of Massive Datasets, section 3.4).
func Chance(s float64, rows, bands int) float64 {
	return 1 - math.Pow(1-math.Pow(s, float64(rows)), float64(bands))
}

// Threshold is the usual estimate (1/b)^(1/r) of where that curve is steepest.
func Threshold(rows, bands int) float64 {
	return math.Pow(1/float64(bands), 1/float64(rows))
}

// Index is a look-up in memory, for previews of an import and for tests.
type Index struct {
	keys map[int64][]int32
	sigs []Signature
}

// maxBucket bounds how many entries one key is followed to; a key that more
// share says nothing.
const maxBucket = 500

// Add enters a signature and gives its number.
func (x *Index) Add(s Signature) int {
	if x.keys == nil {
		x.keys = map[int64][]int32{}
	}
	n := len(x.sigs)
	x.sigs = append(x.sigs, s)
	for _, k := range s.Keys() {
		if l := x.keys[k]; len(l) < maxBucket {
			x.keys[k] = append(l, int32(n))
		}
	}
	return n
}

// Match is an entry of the index and its estimated likeness.
type Match struct {
	Number int
	Like   float64
}

// Find gives the entries that are Alike or more, in the order they were added.
func (x *Index) Find(s Signature) []Match {
	seen := map[int32]bool{}
	var out []Match
	for _, k := range s.Keys() {
		for _, n := range x.keys[k] {
			if seen[n] {
				continue
			}
			seen[n] = true
			if like := s.Like(&x.sigs[n]); like >= Alike {
				out = append(out, Match{int(n), like})
			}
		}
	}
	sortMatches(out)
	return out
}
