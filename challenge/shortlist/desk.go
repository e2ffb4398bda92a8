package shortlist

import (
	"math"
	"math/rand/v2"
	"slices"
)

// desk is an allocation in the making, under dense indices.
type desk struct {
	Request
	random *rand.Rand
	new    [][]int // per entry: readers it is given now
	barred []map[int]bool
	done   [][]int // per entry: readers on the list who have read it
	need   []int   // per entry: readings still to be given
	load   []int
	shared [][]int // per two readers: entries in common
}

func newDesk(r Request, random *rand.Rand) *desk {
	d := &desk{Request: r, random: random}
	n := len(r.Entries)
	d.new, d.done, d.need, d.barred = make([][]int, n), make([][]int, n), make([]int, n), make([]map[int]bool, n)
	d.load = make([]int, len(r.Readers))
	d.shared = make([][]int, len(r.Readers))
	for j := range d.shared {
		d.shared[j] = make([]int, len(r.Readers))
	}
	entry, reader := index(r.Entries), index(r.Readers)
	for e := range d.need {
		d.need[e] = r.PerEntry
	}
	for _, p := range r.Excluded {
		e, known := entry[p.Entry]
		if j, on := reader[p.Reader]; known && on {
			d.bar(e, j)
		}
	}
	seen := map[Pair]bool{}
	for _, p := range r.Done {
		e, known := entry[p.Entry]
		if seen[p] {
			continue
		}
		seen[p] = true
		if known {
			d.need[e]--
		}
		if j, on := reader[p.Reader]; on {
			d.load[j]++
			if known {
				d.bar(e, j)
				d.count(e, j, 1)
				d.done[e] = append(d.done[e], j)
			}
		}
	}
	return d
}

func index(ids []int64) map[int64]int {
	at := make(map[int64]int, len(ids))
	for n, id := range ids {
		at[id] = n
	}
	return at
}

func (d *desk) bar(e, j int) {
	if d.barred[e] == nil {
		d.barred[e] = map[int]bool{}
	}
	d.barred[e][j] = true
}

// count adds by to the entries that j shares with everybody else on entry e.
func (d *desk) count(e, j, by int) {
	for _, list := range [][]int{d.new[e], d.done[e]} {
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
	d.new[e] = append(d.new[e], j)
	d.load[j]++
}

func (d *desk) take(e, j int) {
	at := slices.Index(d.new[e], j)
	d.new[e] = slices.Delete(d.new[e], at, at+1)
	d.count(e, j, -1)
	d.load[j]--
}

func (d *desk) can(e, j int) bool { return !d.barred[e][j] && !slices.Contains(d.new[e], j) }

// deal gives every entry its readers: the least loaded first, among those the
// ones who share least with the readers it already has. Entries with the
// fewest possible readers come first.
func (d *desk) deal() {
	order := d.random.Perm(len(d.Entries))
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
	for j := range d.Readers {
		if d.load[j] > bestLoad || !d.can(e, j) {
			continue
		}
		shared := 0
		for _, k := range d.new[e] {
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

// level moves single readings from the most to the least loaded readers, by
// way of others where exclusions forbid a direct move, until no move is left
// that makes the loads more equal. A chain of moves hands one reading from each
// reader to the next, so only the ends change their load.
func (d *desk) level() {
	for d.levelOnce() {
	}
}

func (d *desk) levelOnce() bool {
	held := d.held()
	from := make([]int, len(d.Readers)) // the reader before j on the way from a most loaded one
	by := make([]int, len(d.Readers))   // the entry handed on to j
	most := slices.Max(d.load)
	for start := range d.Readers {
		if d.load[start] != most || len(held[start]) == 0 {
			continue
		}
		for j := range from {
			from[j] = -1
		}
		from[start] = start
		queue := []int{start}
		for len(queue) > 0 {
			a := queue[0]
			queue = queue[1:]
			for _, e := range held[a] {
				for b := range d.Readers {
					if from[b] >= 0 || !d.can(e, b) {
						continue
					}
					from[b], by[b] = a, e
					if d.load[b] <= most-2 {
						d.hand(b, start, from, by)
						return true
					}
					queue = append(queue, b)
				}
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
	held := make([][]int, len(d.Readers))
	for e, readers := range d.new {
		for _, j := range readers {
			held[j] = append(held[j], e)
		}
	}
	return held
}
