package schedule

import "math"

const unmarked = math.MinInt32

// analysis is the working memory of conflict analysis.
type analysis struct {
	need   []int32 // by trail entry: the value wanted of it, or unmarked
	marked []int32
	lower  []int32 // marked entries below the conflict's level
	count  int     // marked entries on the conflict's level
	level  int32
	buf    []atom
	out    []atom
	strong map[int32]int32
	levels map[int32]bool
}

// born returns the trail entry that first made the atom true, or -1.
func (e *engine) born(a atom) int32 {
	k := e.pos[a.row]
	for k >= 0 && e.trail[k].old >= a.val {
		k = e.trail[k].prev
	}
	return k
}

func (e *engine) mark(a atom) {
	k := e.born(a)
	if k < 0 || e.trail[k].level == 0 {
		return
	}
	s := &e.ana
	if s.need[k] != unmarked {
		s.need[k] = max(s.need[k], a.val)
		return
	}
	s.need[k] = a.val
	s.marked = append(s.marked, k)
	e.bump(a.row >> 1)
	if e.trail[k].level == s.level {
		s.count++
	} else {
		s.lower = append(s.lower, k)
	}
}

// analyze turns e.conflict into a clause that would have prevented it: its
// first atom is the only one of the conflict's level. back is the level on
// which that atom follows. ok is false where the conflict stands at level 0.
func (e *engine) analyze() (lits []atom, back, lbd int32, ok bool) {
	s := &e.ana
	for len(s.need) < len(e.trail) {
		s.need = append(s.need, unmarked)
	}
	s.level = 0
	for _, a := range e.conflict {
		if k := e.born(a); k >= 0 {
			s.level = max(s.level, e.trail[k].level)
		}
	}
	if s.level == 0 {
		return nil, 0, 0, false
	}
	e.backTo(s.level)
	for _, a := range e.conflict {
		e.mark(a)
	}
	uip := e.firstUnique()
	lits, back, lbd = e.collect(uip)
	for _, k := range s.marked {
		s.need[k] = unmarked
	}
	s.marked, s.lower, s.count = s.marked[:0], s.lower[:0], 0
	return lits, back, lbd, true
}

// firstUnique resolves marked entries of the conflict's level, latest first,
// until one is left.
func (e *engine) firstUnique() int32 {
	s := &e.ana
	for k := int32(len(e.trail) - 1); ; k-- {
		if s.need[k] == unmarked {
			continue
		}
		if s.count == 1 {
			return k
		}
		s.count--
		t := &e.trail[k]
		if t.why.kind == becauseClause && t.why.c.learned {
			t.why.c.act += e.clauseIn
		}
		s.buf = e.appendReason(s.buf[:0], atom{t.row, s.need[k]}, t.why)
		for _, a := range s.buf {
			e.mark(a)
		}
	}
}

// collect builds the clause from the marks, leaving out what the rest implies.
func (e *engine) collect(uip int32) (lits []atom, back, lbd int32) {
	s := &e.ana
	clear(s.strong)
	clear(s.levels)
	first := atom{e.trail[uip].row, s.need[uip]}
	s.strong[first.row] = first.val
	for _, k := range s.lower {
		if !e.implied(k, uip) {
			row := e.trail[k].row
			if v, seen := s.strong[row]; !seen || v < s.need[k] {
				s.strong[row] = s.need[k]
			}
		}
	}
	s.out = append(s.out[:0], first.not())
	second := -1
	for _, k := range s.lower {
		row := e.trail[k].row
		if v, seen := s.strong[row]; !seen || v != s.need[k] || row == first.row {
			continue
		}
		delete(s.strong, row)
		s.out = append(s.out, atom{row, s.need[k]}.not())
		s.levels[e.trail[k].level] = true
		if e.trail[k].level > back {
			back, second = e.trail[k].level, len(s.out)-1
		}
	}
	if second > 0 {
		s.out[1], s.out[second] = s.out[second], s.out[1]
	}
	return s.out, back, int32(len(s.levels) + 1)
}

// implied tells whether the other marks already imply the mark on entry k.
func (e *engine) implied(k, uip int32) bool {
	s := &e.ana
	t := &e.trail[k]
	if t.why.kind == becauseChosen {
		return false
	}
	s.buf = e.appendReason(s.buf[:0], atom{t.row, s.need[k]}, t.why)
	for _, a := range s.buf {
		b := e.born(a)
		if b < 0 || e.trail[b].level == 0 {
			continue
		}
		if b == uip || s.need[b] == unmarked || s.need[b] < a.val || e.trail[b].level == s.level {
			return false
		}
	}
	return true
}
