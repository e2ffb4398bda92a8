package panel

import "slices"

// steps bounds the search for a better balanced design.
const steps = 60_000

// balance swaps treatments between two blocks, which leaves every load alone,
// as long as that makes the numbers of blocks that two treatments share more
// equal. Swaps that change nothing are taken too: they lead out of corners.
func (d *desk) balance() {
	n := d.Blocks.Blocks
	if n < 2 || d.Treatments < 3 || n > 2000 {
		return // beyond that the deal itself is as even as it matters
	}
	for step := range min(steps, 400*n) {
		if step%32 == 0 && d.even() {
			return
		}
		e, f := d.random.IntN(n), d.random.IntN(n)
		if e == f || len(d.given[e]) == 0 || len(d.given[f]) == 0 {
			continue
		}
		a, b := d.given[e][d.random.IntN(len(d.given[e]))], d.given[f][d.random.IntN(len(d.given[f]))]
		if a == b || !d.can(e, b) || !d.can(f, a) {
			continue
		}
		if d.swapGain(e, a, b)+d.swapGain(f, b, a)+d.crossing(e, f, a, b) <= 0 {
			d.take(e, a)
			d.take(f, b)
			d.give(e, b)
			d.give(f, a)
		}
	}
}

// swapGain is the change of the sum of squares of shared, over pairs, when in
// block e treatment out gives way to treatment in.
func (d *desk) swapGain(e, out, in int) int {
	gain := 0
	for _, list := range [][]int{d.given[e], d.done[e]} {
		for _, k := range list {
			if k != out {
				gain += (1 - 2*d.shared[out][k]) + (1 + 2*d.shared[in][k])
			}
		}
	}
	return gain
}

// crossing corrects for treatments in both blocks, whose two changes cancel.
func (d *desk) crossing(e, f, a, b int) int {
	both := 0
	for _, k := range d.on(e) {
		if k != a && k != b && slices.Contains(d.on(f), k) {
			both++
		}
	}
	return -4 * both
}

func (d *desk) on(e int) []int { return append(slices.Clone(d.given[e]), d.done[e]...) }

// even reports whether nothing can be gained any more: the sum over all pairs
// is fixed, so counts that differ by at most one are as equal as they can be.
func (d *desk) even() bool {
	fewest, most := spread(d.shared)
	return most-fewest <= 1
}

func spread(shared [][]int) (fewest, most int) {
	fewest = -1
	for j := range shared {
		for _, s := range shared[j][:j] {
			if fewest < 0 || s < fewest {
				fewest = s
			}
			most = max(most, s)
		}
	}
	return max(0, fewest), most
}

// connected reports whether every treatment with a block is linked to every
// other with one.
func (d *desk) connected() bool {
	seen := make([]bool, d.Treatments)
	var queue []int
	total := 0
	for j := range d.Treatments {
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

func (d *desk) short() []int {
	short := make([]int, len(d.need))
	for e, n := range d.need {
		short[e] = max(0, n)
	}
	return short
}
