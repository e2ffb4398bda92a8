package shortlist

import (
	"cmp"
	"slices"
)

// steps bounds the search for a better balanced design.
const steps = 60_000

// balance swaps readers between two entries, which leaves every load alone,
// as long as that makes the numbers of entries that pairs of readers share more
// equal. Swaps that change nothing are taken too: they lead out of corners.
func (d *desk) balance() {
	if len(d.Entries) < 2 || len(d.Readers) < 3 || len(d.Entries) > 2000 {
		return // beyond that the deal itself is as even as it matters
	}
	for range min(steps, 400*len(d.Entries)) {
		if d.even() {
			return
		}
		e, f := d.random.IntN(len(d.Entries)), d.random.IntN(len(d.Entries))
		if e == f || len(d.new[e]) == 0 || len(d.new[f]) == 0 {
			continue
		}
		a, b := d.new[e][d.random.IntN(len(d.new[e]))], d.new[f][d.random.IntN(len(d.new[f]))]
		if a == b || !d.can(e, b) || !d.can(f, a) {
			continue
		}
		if d.swapGain(e, a, b)+d.swapGain(f, b, a)+2*d.crossing(e, f, a, b) <= 0 {
			d.take(e, a)
			d.take(f, b)
			d.give(e, b)
			d.give(f, a)
		}
	}
}

// swapGain is half the change of the sum of squares of shared when, on entry e,
// reader out gives way to reader in.
func (d *desk) swapGain(e, out, in int) int {
	gain := 0
	for _, list := range [][]int{d.new[e], d.done[e]} {
		for _, k := range list {
			if k != out {
				gain += (1 - 2*d.shared[out][k]) + (1 + 2*d.shared[in][k])
			}
		}
	}
	return gain
}

// crossing corrects for readers on both entries, whose two changes cancel.
func (d *desk) crossing(e, f, a, b int) int {
	both := 0
	for _, k := range d.on(e) {
		if k != a && k != b && slices.Contains(d.on(f), k) {
			both++
		}
	}
	return -2 * both
}

func (d *desk) on(e int) []int { return append(slices.Clone(d.new[e]), d.done[e]...) }

// even reports whether no two pairs of readers can be made more equal.
func (d *desk) even() bool {
	fewest, most := d.range2()
	return most-fewest <= 0
}

func (d *desk) range2() (fewest, most int) {
	fewest = -1
	for j := range d.shared {
		for k := range j {
			s := d.shared[j][k]
			if fewest < 0 || s < fewest {
				fewest = s
			}
			most = max(most, s)
		}
	}
	return max(0, fewest), most
}

// connected reports whether everybody with a reading is linked to everybody
// else with one.
func (d *desk) connected() bool {
	seen := make([]bool, len(d.Readers))
	var queue []int
	total := 0
	for j := range d.Readers {
		if d.load[j] > 0 {
			total++
			if len(queue) == 0 {
				queue, seen[j] = append(queue, j), true
			}
		}
	}
	for n := 0; n < len(queue); n++ {
		for k, s := range d.shared[queue[n]] {
			if s > 0 && !seen[k] {
				seen[k] = true
				queue = append(queue, k)
			}
		}
	}
	return len(queue) == total
}

func (d *desk) plan() Plan {
	p := Plan{Connected: d.connected()}
	p.FewestShared, p.MostShared = d.range2()
	held := d.held()
	for j, reader := range d.Readers {
		list := List{Reader: reader, Load: d.load[j], Entries: []int64{}}
		d.random.Shuffle(len(held[j]), func(a, b int) { held[j][a], held[j][b] = held[j][b], held[j][a] })
		for _, e := range held[j] {
			list.Entries = append(list.Entries, d.Entries[e])
		}
		p.Lists = append(p.Lists, list)
	}
	for e, need := range d.need {
		if need > 0 {
			p.Short = append(p.Short, Shortfall{d.Entries[e], need})
		}
	}
	slices.SortFunc(p.Short, func(a, b Shortfall) int { return cmp.Compare(a.Entry, b.Entry) })
	return p
}
