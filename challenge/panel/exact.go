package panel

import (
	"math/big"
	"slices"
)

// exactWork bounds the enumeration of FriedmanExact.
const exactWork = 4_000_000

// FriedmanExact is the exact chance of rank sums at least as far apart as the
// table's if every rater had ranked at random, ties kept where they are. The
// chi-square distribution of Concord is poor for the small panels of a tasting.
// ok is false where the enumeration would take too long; roughly, it serves up
// to four items and any usual panel, or five or six items and few raters.
func FriedmanExact(rows [][]float64) (p float64, ok bool) {
	c, err := Concord(rows)
	if err != nil || c.Items > 6 {
		return 0, false
	}
	states := map[state]*big.Int{{}: big.NewInt(1)}
	total := big.NewInt(1)
	for _, row := range rows {
		orders := arrangements(doubled(row))
		if len(states)*len(orders) > exactWork {
			return 0, false
		}
		states = rankOnce(states, orders, c.Items)
		total.Mul(total, big.NewInt(int64(len(orders))))
	}
	mean := float64(c.Raters * (c.Items + 1))
	far := new(big.Int)
	for sums, ways := range states {
		s := 0.
		for _, r := range sums[:c.Items] {
			s += (float64(r) - mean) * (float64(r) - mean)
		}
		if s >= 4*c.S-1e-6 {
			far.Add(far, ways)
		}
	}
	p, _ = new(big.Rat).SetFrac(far, total).Float64()
	return p, true
}

// state is the rank sums so far, doubled so that mid-ranks are whole, and
// sorted, because it does not matter which item carries which sum.
type state [6]int16

// rankOnce lets one more rater rank, in each of the orders.
func rankOnce(states map[state]*big.Int, orders [][]int16, items int) map[state]*big.Int {
	next := make(map[state]*big.Int, 2*len(states))
	for sums, ways := range states {
		for _, order := range orders {
			key := sums
			for i, r := range order {
				key[i] += r
			}
			slices.Sort(key[:items])
			if next[key] == nil {
				next[key] = new(big.Int)
			}
			next[key].Add(next[key], ways)
		}
	}
	return next
}

func doubled(row []float64) []int16 {
	var ranks []int16
	for _, r := range Ranks(row) {
		ranks = append(ranks, int16(2*r))
	}
	slices.Sort(ranks)
	return ranks
}

// arrangements are the distinct orders of sorted values.
func arrangements(sorted []int16) [][]int16 {
	if len(sorted) == 0 {
		return [][]int16{nil}
	}
	var all [][]int16
	for n, v := range sorted {
		if n > 0 && sorted[n-1] == v {
			continue
		}
		rest := slices.Delete(slices.Clone(sorted), n, n+1)
		for _, tail := range arrangements(rest) {
			all = append(all, append([]int16{v}, tail...))
		}
	}
	return all
}
