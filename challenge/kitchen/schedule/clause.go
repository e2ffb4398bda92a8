package schedule

import "slices"

// clause is a list of atoms of which at least one must hold. The first two are
// watched: as long as neither is refuted the clause cannot speak.
type clause struct {
	lits    []atom
	act     float64
	lbd     int32
	learned bool
	dead    bool
}

// watch waits for bound[row] to reach val, which refutes a watched atom.
type watch struct {
	c   *clause
	val int32
	blk atom // if this holds the clause is satisfied
}

func (e *engine) attach(c *clause) {
	for k := range 2 {
		n := c.lits[k].not()
		e.watches[n.row] = append(e.watches[n.row], watch{c, n.val, c.lits[1-k]})
	}
}

// addClause adds a clause of the problem at level 0.
func (e *engine) addClause(lits ...atom) bool {
	lits = slices.DeleteFunc(slices.Clone(lits), e.refuted)
	switch {
	case slices.ContainsFunc(lits, e.holds):
		return true
	case len(lits) == 0:
		e.conflict = e.conflict[:0]
		return false
	case len(lits) == 1:
		return e.enqueue(lits[0], reason{})
	}
	e.attach(&clause{lits: lits})
	return true
}

// visitClauses looks at the clauses that watch an atom refuted by the raise of
// row from old to its present bound.
func (e *engine) visitClauses(row, old int32) bool {
	ws := e.watches[row]
	now := e.bound[row]
	kept := 0
	for k := range ws {
		w := ws[k]
		if w.c.dead {
			continue
		}
		if w.val > now || w.val <= old || e.holds(w.blk) {
			ws[kept] = w
			kept++
			continue
		}
		stays, ok := e.visitClause(row, &w)
		if stays {
			ws[kept] = w
			kept++
		}
		if !ok {
			kept += copy(ws[kept:], ws[k+1:])
			e.watches[row] = ws[:kept]
			return false
		}
	}
	clear(ws[kept:])
	e.watches[row] = ws[:kept]
	return true
}

// visitClause finds the clause another atom to watch, or a conclusion.
func (e *engine) visitClause(row int32, w *watch) (stays, ok bool) {
	c := w.c
	if c.lits[0].row == row^1 && c.lits[0].val == 1-w.val {
		c.lits[0], c.lits[1] = c.lits[1], c.lits[0]
	}
	w.blk = c.lits[0]
	if e.holds(c.lits[0]) {
		return true, true
	}
	for k := 2; k < len(c.lits); k++ {
		if e.refuted(c.lits[k]) {
			continue
		}
		c.lits[1], c.lits[k] = c.lits[k], c.lits[1]
		n := c.lits[1].not()
		e.watches[n.row] = append(e.watches[n.row], watch{c, n.val, c.lits[0]})
		return false, true
	}
	return true, e.enqueue(c.lits[0], reason{kind: becauseClause, c: c})
}

// learn adds a clause found by analysis, whose first atom follows at the
// present level.
func (e *engine) learn(lits []atom, lbd int32) bool {
	if len(lits) == 1 {
		return e.enqueue(lits[0], reason{})
	}
	c := &clause{lits: slices.Clone(lits), lbd: lbd, learned: true, act: e.clauseIn}
	e.learnts = append(e.learnts, c)
	e.attach(c)
	return e.enqueue(c.lits[0], reason{kind: becauseClause, c: c})
}

// forget drops the less useful half of what was learnt. It must be called at
// level 0, where no clause is the reason of anything that can be undone.
func (e *engine) forget() {
	slices.SortStableFunc(e.learnts, func(a, b *clause) int {
		if (a.lbd <= 2) != (b.lbd <= 2) {
			if a.lbd <= 2 {
				return -1
			}
			return 1
		}
		switch {
		case a.act > b.act:
			return -1
		case a.act < b.act:
			return 1
		}
		return 0
	})
	half := len(e.learnts) / 2
	for _, c := range e.learnts[half:] {
		c.dead = true
	}
	clear(e.learnts[half:])
	e.learnts = e.learnts[:half]
	for r, ws := range e.watches {
		e.watches[r] = slices.DeleteFunc(ws, func(w watch) bool { return w.c.dead })
	}
}
