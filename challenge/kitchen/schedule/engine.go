package schedule

import "math"

// The search is a constraint solver that learns from its dead ends (lazy clause
// generation: O. Ohrimenko, P. Stuckey, M. Codish, Propagation via lazy clause
// generation, Constraints 14, 2009; for cumulative resources: A. Schutt,
// T. Feydy, P. Stuckey, M. Wallace, Explaining the cumulative propagator,
// Constraints 16, 2011. Both from memory).
//
// Every whole-number variable v has two rows in engine.bound, which only grow
// along a branch: row 2v is its smallest value, row 2v+1 the negative of its
// largest. All reasoning is about atoms "bound[row] >= val", so that the two
// directions of time need no separate code.

// atom states that bound[row] >= val.
type atom struct{ row, val int32 }

// noAtom marks the absence of a condition.
var noAtom = atom{row: -1}

// not returns the negation: v >= x becomes v <= x-1.
func (a atom) not() atom { return atom{a.row ^ 1, 1 - a.val} }

func atLeast(v, x int32) atom { return atom{2 * v, x} }
func atMost(v, x int32) atom  { return atom{2*v + 1, -x} }

// reasonKind says how an entry of the trail is explained.
type reasonKind uint8

const (
	becauseChosen reasonKind = iota // a decision, or known from the start
	becauseEdge
	becauseClause
	becauseAtoms // a stretch of engine.arena
)

type reason struct {
	kind  reasonKind
	id, n int32
	c     *clause
}

// entry is one raise of a bound.
type entry struct {
	row, old, prev, level int32
	why                   reason
}

// edge demands bound[to] >= bound[from] + w wherever cond holds.
type edge struct {
	from, to, w int32
	cond        atom
}

// sum demands that the values of the rows add up to at least min, where the
// value of row 2v is v and that of row 2v+1 is -v.
type sum struct {
	rows []int32
	min  int32
}

type engine struct {
	bound []int32
	pos   []int32 // latest trail entry of a row, or -1
	trail []entry
	head  int // first trail entry not yet propagated
	lims  []int
	marks []int // length of arena where each decision level begins
	arena []atom

	edges     []edge
	out       [][]int32 // by row: edges that leave it
	condEdges [][]int32 // by row: edges whose condition speaks of it
	sums      []sum
	rowSums   [][]int32 // by row: sums in which the opposite row takes part
	closed    [][]Interval
	cumuls    []*cumul
	rowCumuls [][]int32
	watches   [][]watch
	dirty     []int32 // cumulative resources waiting to be looked at

	conflict []atom
	learnts  []*clause
	act      []float64
	actInc   float64
	clauseIn float64
	heap     varHeap
	ana      analysis
	order    []orderEvent
}

// newVar adds a variable with values lo to hi and returns its number.
func (e *engine) newVar(lo, hi int) int32 {
	e.bound = append(e.bound, int32(lo), int32(-hi))
	e.pos = append(e.pos, -1, -1)
	e.out = append(e.out, nil, nil)
	e.condEdges = append(e.condEdges, nil, nil)
	e.rowSums = append(e.rowSums, nil, nil)
	e.rowCumuls = append(e.rowCumuls, nil, nil)
	e.watches = append(e.watches, nil, nil)
	e.closed = append(e.closed, nil)
	e.act = append(e.act, 0)
	return int32(len(e.act) - 1)
}

func (e *engine) lb(v int32) int32 { return e.bound[2*v] }
func (e *engine) ub(v int32) int32 { return -e.bound[2*v+1] }

func (e *engine) fixed(v int32) bool    { return e.bound[2*v]+e.bound[2*v+1] == 0 }
func (e *engine) holds(a atom) bool     { return e.bound[a.row] >= a.val }
func (e *engine) refuted(a atom) bool   { return e.bound[a.row^1] >= 1-a.val }
func (e *engine) level() int32          { return int32(len(e.lims)) }
func (e *engine) always(cond atom) bool { return cond.row < 0 || e.holds(cond) }

// addEdge adds a difference constraint in both directions of time.
func (e *engine) addEdge(from, to, w int32, cond atom) {
	e.addHalf(edge{from, to, w, cond})
	e.addHalf(edge{to ^ 1, from ^ 1, w, cond})
}

func (e *engine) addHalf(g edge) {
	id := int32(len(e.edges))
	e.edges = append(e.edges, g)
	e.out[g.from] = append(e.out[g.from], id)
	if g.cond.row >= 0 {
		e.condEdges[g.cond.row] = append(e.condEdges[g.cond.row], id)
	}
}

func (e *engine) addSum(min int32, rows ...int32) {
	id := int32(len(e.sums))
	e.sums = append(e.sums, sum{rows: rows, min: min})
	for _, r := range rows {
		e.rowSums[r^1] = append(e.rowSums[r^1], id)
	}
}

// decide opens a new level and makes a true.
func (e *engine) decide(a atom) {
	e.open()
	e.enqueue(a, reason{})
}

func (e *engine) open() {
	e.lims = append(e.lims, len(e.trail))
	e.marks = append(e.marks, len(e.arena))
}

// enqueue raises a bound and returns false on a contradiction, whose true atoms
// it leaves in e.conflict.
func (e *engine) enqueue(a atom, why reason) bool {
	if e.bound[a.row] >= a.val {
		return true
	}
	if e.refuted(a) {
		e.conflict = e.appendReason(e.conflict[:0], a, why)
		e.conflict = append(e.conflict, a.not())
		return false
	}
	e.trail = append(e.trail, entry{a.row, e.bound[a.row], e.pos[a.row], e.level(), why})
	e.pos[a.row] = int32(len(e.trail) - 1)
	e.bound[a.row] = a.val
	return true
}

// keep stores the atoms of an explanation for as long as the level lasts.
func (e *engine) keep(atoms ...atom) reason {
	id := len(e.arena)
	e.arena = append(e.arena, atoms...)
	return reason{kind: becauseAtoms, id: int32(id), n: int32(len(atoms))}
}

// appendReason appends true atoms that together imply a.
func (e *engine) appendReason(dst []atom, a atom, why reason) []atom {
	switch why.kind {
	case becauseEdge:
		g := e.edges[why.id]
		dst = append(dst, atom{g.from, a.val - g.w})
		if g.cond.row >= 0 {
			dst = append(dst, g.cond)
		}
	case becauseClause:
		for _, l := range why.c.lits {
			if l.row != a.row {
				dst = append(dst, l.not())
			}
		}
	case becauseAtoms:
		dst = append(dst, e.arena[why.id:why.id+why.n]...)
	}
	return dst
}

// backTo undoes everything above the level.
func (e *engine) backTo(level int32) {
	if e.level() <= level {
		return
	}
	to := e.lims[level]
	for k := len(e.trail) - 1; k >= to; k-- {
		t := &e.trail[k]
		e.bound[t.row] = t.old
		e.pos[t.row] = t.prev
		e.heap.push(e.act, t.row>>1)
	}
	e.arena = e.arena[:e.marks[level]]
	e.trail = e.trail[:to]
	e.lims, e.marks = e.lims[:level], e.marks[:level]
	e.head = to
	for _, c := range e.dirty {
		e.cumuls[c].dirty = false
	}
	e.dirty = e.dirty[:0]
}

// propagate draws all conclusions and returns false on a contradiction.
func (e *engine) propagate() bool {
	for {
		for e.head < len(e.trail) {
			row := e.trail[e.head].row
			old := e.trail[e.head].old
			e.head++
			if !e.visit(row, old) {
				return false
			}
		}
		if len(e.dirty) == 0 {
			return true
		}
		c := e.dirty[len(e.dirty)-1]
		e.dirty = e.dirty[:len(e.dirty)-1]
		e.cumuls[c].dirty = false
		if !e.profile(e.cumuls[c]) {
			return false
		}
	}
}

// visit draws the conclusions of one raised bound.
func (e *engine) visit(row, old int32) bool {
	if !e.visitClauses(row, old) {
		return false
	}
	for _, id := range e.condEdges[row] {
		if e.holds(e.edges[id].cond) && !e.relax(id) {
			return false
		}
	}
	for _, id := range e.out[row] {
		if !e.relax(id) {
			return false
		}
	}
	for _, id := range e.rowSums[row] {
		if !e.relaxSum(&e.sums[id]) {
			return false
		}
	}
	if e.closed[row>>1] != nil && !e.skipClosed(row) {
		return false
	}
	for _, c := range e.rowCumuls[row] {
		if !e.cumuls[c].dirty {
			e.cumuls[c].dirty = true
			e.dirty = append(e.dirty, c)
		}
	}
	return true
}

// relax applies an edge: forward where it is in force, else against its
// condition.
func (e *engine) relax(id int32) bool {
	g := &e.edges[id]
	from := e.bound[g.from]
	if from+g.w <= e.bound[g.to] {
		return true
	}
	if g.cond.row < 0 || e.holds(g.cond) {
		return e.enqueue(atom{g.to, from + g.w}, reason{kind: becauseEdge, id: id})
	}
	if e.refuted(g.cond) || from+g.w+e.bound[g.to^1] <= 0 {
		return true
	}
	return e.enqueue(g.cond.not(), e.keep(atom{g.from, from}, atom{g.to ^ 1, 1 - g.w - from}))
}

func (e *engine) relaxSum(s *sum) bool {
	total := int64(0) // the largest that the rows can add up to
	for _, r := range s.rows {
		total -= int64(e.bound[r^1])
	}
	for _, r := range s.rows {
		// All the others at their largest leave this much for r.
		need := int64(s.min) - total - int64(e.bound[r^1])
		if need <= int64(e.bound[r]) || need > math.MaxInt32 {
			continue
		}
		id := len(e.arena)
		for _, o := range s.rows {
			if o != r {
				e.arena = append(e.arena, atom{o ^ 1, e.bound[o^1]})
			}
		}
		why := reason{kind: becauseAtoms, id: int32(id), n: int32(len(s.rows) - 1)}
		if !e.enqueue(atom{r, int32(need)}, why) {
			return false
		}
	}
	return true
}

// skipClosed moves a start out of the spans in which it is forbidden; they are
// sorted, apart, and hold the forbidden starts from From to To-1.
func (e *engine) skipClosed(row int32) bool {
	v := row >> 1
	for _, c := range e.closed[v] {
		from, last := int32(c.From), int32(c.To)-1
		if row&1 == 0 && e.lb(v) >= from && e.lb(v) <= last {
			return e.enqueue(atLeast(v, last+1), e.keep(atLeast(v, from)))
		}
		if row&1 == 1 && e.ub(v) >= from && e.ub(v) <= last {
			return e.enqueue(atMost(v, from-1), e.keep(atMost(v, last)))
		}
	}
	return true
}
