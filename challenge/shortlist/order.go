package shortlist

import "math/rand/v2"

// turns is how often, per reading, the search for fairer places tries a swap.
const turns = 20

// spreadPlaces reorders each list so that an entry that one reader meets late
// is met early by another: it lowers the sum, over entries, of the squared
// difference between the mean place and the middle. Lists stay who has what.
func spreadPlaces(lists [][]int, entries int, random *rand.Rand) {
	lean := make([]float64, entries) // sum of places less the middle; -1/2 first, 1/2 last
	total := 0
	for _, list := range lists {
		total += len(list)
		for k, e := range list {
			lean[e] += place(k, list)
		}
	}
	for range turns * total {
		list := lists[random.IntN(len(lists))]
		if len(list) < 2 {
			continue
		}
		a, b := random.IntN(len(list)), random.IntN(len(list))
		e, f := list[a], list[b]
		shift := place(b, list) - place(a, list)
		if gain := square(lean[e]+shift) + square(lean[f]-shift) - square(lean[e]) - square(lean[f]); a != b && gain < 0 {
			lean[e] += shift
			lean[f] -= shift
			list[a], list[b] = f, e
		}
	}
}

func place(k int, list []int) float64 { return (float64(k)+.5)/float64(len(list)) - .5 }

func square(x float64) float64 { return x * x }
