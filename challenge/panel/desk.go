package panel

import (
	"math"
	"math/rand/v2"
	"slices"
)

// desk is a design in the making.
type desk struct {
	Blocks
	random *rand.Rand
	given  [][]int
	barred []map[int]bool
	done   [][]int // per block: treatments of the design that it has met
	need   []int   // per block: treatments still to be dealt
	load   []int
	shared [][]int
}

func newDesk(b Blocks, random *rand.Rand) *desk {
	d := &desk{Blocks: b, random: random}
	d.given, d.done, d.need, d.barred = make([][]int, b.Blocks), make([][]int, b.Blocks), make([]int, b.Blocks), make([]map[int]bool, b.Blocks)
	d.load = make([]int, b.Treatments)
	copy(d.load, b.Load)
	d.shared = make([][]int, b.Treatments)
	for j := range d.shared {
		d.shared[j] = make([]int, b.Treatments)
	}
	for e := range d.need {
		d.need[e] = b.Size
		if b.Extra != nil {
			d.need[e] -= b.Extra[e]
		}
	}
	for _, p := range b.Barred {
		d.bar(p[0], p[1])
	}
	for _, p := range b.Done {
		e, j := p[0], p[1]
		d.need[e]--
		d.load[j]++
		d.bar(e, j)
		d.count(e, j, 1)
		d.done[e] = append(d.done[e], j)
	}
	return d
}

func (d *desk) bar(e, j int) {
	if d.barred[e] == nil {
		d.barred[e] = map[int]bool{}
	}
	d.barred[e][j] = true
}

// count adds by to the blocks that j shares with every other treatment of block e.
func (d *desk) count(e, j, by int) {
	for _, list := range [][]int{d.given[e], d.done[e]} {
		for _, k := range list {
			if k != j {
				d.shared[j][k] += by
				d.shared[k][j] += by
			}
		}
	}
}

func (d *desk) give(e, j int) {
	d.count(e, j, 1)
	d.given[e] = append(d.given[e], j)
	d.load[j]++
}

func (d *desk) take(e, j int) {
	at := slices.Index(d.given[e], j)
	d.given[e] = slices.Delete(d.given[e], at, at+1)
	d.count(e, j, -1)
	d.load[j]--
}

func (d *desk) can(e, j int) bool { return !d.barred[e][j] && !slices.Contains(d.given[e], j) }

// deal gives every block its treatments: the least loaded first, among those
// the ones that share least with what the block already has. Blocks that can
// take the fewest come first.
func (d *desk) deal() {
	order := d.random.Perm(d.Blocks.Blocks)
	slices.SortStableFunc(order, func(a, b int) int { return len(d.barred[b]) - len(d.barred[a]) })
	for _, e := range order {
		for range max(0, d.need[e]) {
			j := d.next(e)
			if j < 0 {
				break
			}
			d.give(e, j)
			d.need[e]--
		}
	}
}

func (d *desk) next(e int) int {
	best, bestLoad, bestShared, ties := -1, math.MaxInt, math.MaxInt, 0
	for j := range d.Treatments {
		if d.load[j] > bestLoad || !d.can(e, j) {
			continue
		}
		shared := 0
		for _, k := range d.given[e] {
			shared += d.shared[j][k]
		}
		for _, k := range d.done[e] {
			shared += d.shared[j][k]
		}
		if d.load[j] < bestLoad || shared < bestShared {
			best, bestLoad, bestShared, ties = j, d.load[j], shared, 1
		} else if shared == bestShared {
			if ties++; d.random.IntN(ties) == 0 {
				best = j
			}
		}
	}
	return best
}

// level hands blocks from more to less loaded treatments, by way of others where
// a direct move is barred, until no move is left that makes the loads more
// equal; then the sum of their squares is the least possible. A chain hands one block from each treatment to the next, so
// only its ends change their load.
func (d *desk) level() {
	for d.levelOnce() {
	}
}

func (d *desk) levelOnce() bool {
	if d.Treatments == 0 || slices.Max(d.load)-slices.Min(d.load) <= 1 {
		return false
	}
	held := d.held()
	starts := make([]int, d.Treatments)
	for j := range starts {
		starts[j] = j
	}
	slices.SortStableFunc(starts, func(a, b int) int { return d.load[b] - d.load[a] })
	return slices.ContainsFunc(starts, func(start int) bool { return d.chain(start, held) })
}

// chain looks, breadth first, for the shortest way from a treatment to one with
// at least two blocks fewer, and hands the blocks on along it.
func (d *desk) chain(start int, held [][]int) bool {
	from := slices.Repeat([]int{-1}, d.Treatments) // the treatment before j on the way
	by := make([]int, d.Treatments)                // the block handed on to j
	from[start] = start
	queue := []int{start}
	for n := 0; n < len(queue); n++ {
		a := queue[n]
		for _, e := range held[a] {
			if len(queue) == d.Treatments {
				return false
			}
			for b := range d.Treatments {
				if from[b] >= 0 || !d.can(e, b) {
					continue
				}
				from[b], by[b] = a, e
				if d.load[b] <= d.load[start]-2 {
					d.hand(b, start, from, by)
					return true
				}
				queue = append(queue, b)
			}
		}
	}
	return false
}

func (d *desk) hand(b, start int, from, by []int) {
	for b != start {
		a := from[b]
		d.take(by[b], a)
		d.give(by[b], b)
		b = a
	}
}

func (d *desk) held() [][]int {
	held := make([][]int, d.Treatments)
	for e, treatments := range d.given {
		for _, j := range treatments {
			held[j] = append(held[j], e)
		}
	}
	return held
}
