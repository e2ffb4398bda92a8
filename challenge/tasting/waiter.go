package tasting

import (
	"math/rand/v2"
	"slices"
)

// waiter is a serving in the making, under indices of plates.
type waiter struct {
	plates   []int64
	random   *rand.Rand
	orders   [][]int
	position [][]int // plate, position: how often
	follows  [][]int // plate before, plate after: how often
}

// williams fills the orders from shuffled Williams designs, whole ones first.
func (w *waiter) williams(judges int) {
	names := w.random.Perm(len(w.plates))
	for len(w.orders) < judges {
		rows := WilliamsOrders(len(w.plates))
		// Each square is shuffled in itself: any part of one square has every
		// plate in a position at most once.
		for _, half := range [][][]int{rows[:len(w.plates)], rows[len(w.plates):]} {
			w.random.Shuffle(len(half), func(a, b int) { half[a], half[b] = half[b], half[a] })
		}
		for _, row := range rows[:min(len(rows), judges-len(w.orders))] {
			for k, p := range row {
				row[k] = names[p]
			}
			w.orders = append(w.orders, row)
		}
	}
}

// shuffled takes over who gets what, in any order.
func (w *waiter) shuffled(orders [][]int) {
	w.orders = orders
	for _, order := range orders {
		w.random.Shuffle(len(order), func(a, b int) { order[a], order[b] = order[b], order[a] })
	}
}

const (
	// effort bounds the search for a more balanced serving.
	effort = 40_000
	// Position comes before neighbours: a plate tasted first by everybody is
	// the worse flaw (common practice, no source).
	positionWeight = 4
)

// improve swaps two plates of one judge as long as that lowers the weighted sum
// of the squared counts of positions and of neighbours, or leaves it alone.
func (w *waiter) improve() {
	w.countAll()
	for step := range effort {
		if step%64 == 0 && w.even() {
			return
		}
		w.swap(w.orders[w.random.IntN(len(w.orders))])
	}
}

func (w *waiter) countAll() {
	n := len(w.plates)
	w.position, w.follows = square(n), square(n)
	for _, order := range w.orders {
		w.enter(order, 1)
	}
}

// swap tries one swap in an order and takes it back where it makes things worse.
func (w *waiter) swap(order []int) {
	if len(order) < 2 {
		return
	}
	a, b := w.random.IntN(len(order)), w.random.IntN(len(order))
	cost := w.enter(order, -1)
	order[a], order[b] = order[b], order[a]
	if cost += w.enter(order, 1); cost > 0 {
		w.enter(order, -1)
		order[a], order[b] = order[b], order[a]
		w.enter(order, 1)
	}
}

// joining bounds the search for the order of one more judge.
const joining = 2000

// join adds the order of one more judge and touches no other.
func (w *waiter) join(size int) []int {
	served := make([]int, len(w.plates))
	for _, order := range w.orders {
		for _, p := range order {
			served[p]++
		}
	}
	order := w.random.Perm(len(w.plates))
	slices.SortStableFunc(order, func(a, b int) int { return served[a] - served[b] })
	order = order[:size]
	w.random.Shuffle(size, func(a, b int) { order[a], order[b] = order[b], order[a] })
	w.orders = append(w.orders, order)
	w.enter(order, 1)
	for range joining {
		w.swap(order)
	}
	return order
}

// enter counts an order in (by 1) or out (by -1); it returns the change of the
// weighted sum of squares.
func (w *waiter) enter(order []int, by int) (change int) {
	for k, p := range order {
		change += positionWeight * (2*by*w.position[p][k] + 1)
		w.position[p][k] += by
		if k > 0 {
			change += 2*by*w.follows[order[k-1]][p] + 1
			w.follows[order[k-1]][p] += by
		}
	}
	return change
}

// even reports whether no count can come closer to the others.
func (w *waiter) even() bool {
	position, follows := w.spread()
	return position[1]-position[0] <= 1 && follows[1]-follows[0] <= 1
}

// spread is the range of the counts, over the positions that are served.
func (w *waiter) spread() (position, follows [2]int) {
	served := 0
	for _, order := range w.orders {
		served = max(served, len(order))
	}
	position[0], follows[0] = len(w.orders), len(w.orders)
	for p := range w.plates {
		for k := range served {
			position[0], position[1] = min(position[0], w.position[p][k]), max(position[1], w.position[p][k])
		}
		for q := range w.plates {
			if p != q {
				follows[0], follows[1] = min(follows[0], w.follows[p][q]), max(follows[1], w.follows[p][q])
			}
		}
	}
	return position, follows
}

func square(n int) [][]int {
	m := make([][]int, n)
	for k := range m {
		m[k] = make([]int, n)
	}
	return m
}
