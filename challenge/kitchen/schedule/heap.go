package schedule

// varHeap keeps the variables by falling activity, ties by number, so that the
// order does not depend on the past of the heap.
type varHeap struct {
	vars []int32
	at   []int32 // place in vars, or -1
}

func (h *varHeap) grow(n int) {
	for len(h.at) < n {
		h.at = append(h.at, -1)
	}
}

func before(act []float64, a, b int32) bool {
	if act[a] != act[b] {
		return act[a] > act[b]
	}
	return a < b
}

func (h *varHeap) push(act []float64, v int32) {
	if h.at[v] >= 0 {
		return
	}
	h.at[v] = int32(len(h.vars))
	h.vars = append(h.vars, v)
	h.up(act, h.at[v])
}

func (h *varHeap) pop(act []float64) int32 {
	v := h.vars[0]
	last := len(h.vars) - 1
	h.swap(0, int32(last))
	h.vars = h.vars[:last]
	h.at[v] = -1
	if last > 0 {
		h.down(act, 0)
	}
	return v
}

func (h *varHeap) swap(i, j int32) {
	h.vars[i], h.vars[j] = h.vars[j], h.vars[i]
	h.at[h.vars[i]], h.at[h.vars[j]] = i, j
}

func (h *varHeap) up(act []float64, i int32) {
	for i > 0 && before(act, h.vars[i], h.vars[(i-1)/2]) {
		h.swap(i, (i-1)/2)
		i = (i - 1) / 2
	}
}

func (h *varHeap) down(act []float64, i int32) {
	n := int32(len(h.vars))
	for {
		best := i
		for k := 2*i + 1; k <= 2*i+2 && k < n; k++ {
			if before(act, h.vars[k], h.vars[best]) {
				best = k
			}
		}
		if best == i {
			return
		}
		h.swap(i, best)
		i = best
	}
}

// bump makes the variable more likely to be decided next.
func (e *engine) bump(v int32) {
	e.act[v] += e.actInc
	if e.act[v] > 1e100 {
		for k := range e.act {
			e.act[k] *= 1e-100
		}
		e.actInc *= 1e-100
	}
	if e.heap.at[v] >= 0 {
		e.heap.up(e.act, e.heap.at[v])
	}
}

// age lets what happened longer ago count less.
func (e *engine) age() {
	e.actInc /= 0.95
	e.clauseIn /= 0.999
	if e.clauseIn > 1e100 {
		for _, c := range e.learnts {
			c.act *= 1e-100
		}
		e.clauseIn *= 1e-100
	}
}
