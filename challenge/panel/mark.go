package panel

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Errors that the functions of this package wrap.
var (
	ErrNoMarks    = errors.New("no marks")
	ErrBadMark    = errors.New("a mark is not a finite number")
	ErrTwice      = errors.New("a rater marked an item twice")
	ErrIncomplete = errors.New("not every rater marked every item")
	ErrTooSmall   = errors.New("too few raters or items for this statistic")
	ErrUnbalanced = errors.New("the marks do not form the balanced design that this statistic needs")
)

// Mark is one rater's value for one item, in any unit.
type Mark struct {
	Item, Rater int64
	Value       float64
}

// Table holds marks under dense indices: items and raters ascending by number.
// It is immutable; the functions that take it may run at the same time.
type Table struct {
	Items, Raters []int64
	cells         []cell // ordered by item, then rater
	start         []int  // cells[start[i]:start[i+1]] belong to item i
}

type cell struct {
	item, rater int32
	value       float64
}

// NewTable indexes marks. It refuses an empty list (ErrNoMarks), values that
// are not finite (ErrBadMark) and a second mark for one item by one rater
// (ErrTwice): which of the two counts is for the caller to say.
func NewTable(marks []Mark) (*Table, error) {
	if len(marks) == 0 {
		return nil, ErrNoMarks
	}
	t := &Table{}
	for _, m := range marks {
		if math.IsNaN(m.Value) || math.IsInf(m.Value, 0) {
			return nil, fmt.Errorf("item %d, rater %d: %w", m.Item, m.Rater, ErrBadMark)
		}
		t.Items = append(t.Items, m.Item)
		t.Raters = append(t.Raters, m.Rater)
	}
	t.Items, t.Raters = distinct(t.Items), distinct(t.Raters)
	item, rater := indexOf(t.Items), indexOf(t.Raters)
	t.cells = make([]cell, len(marks))
	for n, m := range marks {
		t.cells[n] = cell{item[m.Item], rater[m.Rater], m.Value}
	}
	slices.SortFunc(t.cells, func(a, b cell) int {
		if a.item != b.item {
			return int(a.item - b.item)
		}
		return int(a.rater - b.rater)
	})
	for n := 1; n < len(t.cells); n++ {
		a, b := t.cells[n-1], t.cells[n]
		if a.item == b.item && a.rater == b.rater {
			return nil, fmt.Errorf("item %d, rater %d: %w", t.Items[a.item], t.Raters[a.rater], ErrTwice)
		}
	}
	t.index()
	return t, nil
}

func (t *Table) index() {
	t.start = make([]int, len(t.Items)+1)
	for _, c := range t.cells {
		t.start[c.item+1]++
	}
	for i := range t.Items {
		t.start[i+1] += t.start[i]
	}
}

// Len is the number of marks.
func (t *Table) Len() int { return len(t.cells) }

// Complete reports whether every rater marked every item.
func (t *Table) Complete() bool { return len(t.cells) == len(t.Items)*len(t.Raters) }

// Readings is the number of marks for each item, in the order of t.Items.
func (t *Table) Readings() []int {
	n := make([]int, len(t.Items))
	for i := range n {
		n[i] = t.start[i+1] - t.start[i]
	}
	return n
}

// Matrix is the complete table, one row per rater and one column per item, or
// ErrIncomplete.
func (t *Table) Matrix() ([][]float64, error) {
	if !t.Complete() {
		return nil, ErrIncomplete
	}
	m := make([][]float64, len(t.Raters))
	for j := range m {
		m[j] = make([]float64, len(t.Items))
	}
	for _, c := range t.cells {
		m[c.rater][c.item] = c.value
	}
	return m, nil
}

// ItemMeans are the plain means per item, in the order of t.Items.
func (t *Table) ItemMeans() []float64 {
	means := make([]float64, len(t.Items))
	for i := range means {
		var s sum
		for _, c := range t.of(i) {
			s.add(c.value)
		}
		means[i] = s.total() / float64(len(t.of(i)))
	}
	return means
}

func (t *Table) of(item int) []cell { return t.cells[t.start[item]:t.start[item+1]] }

func distinct(ids []int64) []int64 {
	slices.Sort(ids)
	return slices.Clip(slices.Compact(ids))
}

func indexOf(ids []int64) map[int64]int32 {
	at := make(map[int64]int32, len(ids))
	for n, id := range ids {
		at[id] = int32(n)
	}
	return at
}

// Marks are the marks of the table, ordered by item and then rater.
func (t *Table) Marks() []Mark {
	marks := make([]Mark, len(t.cells))
	for n, c := range t.cells {
		marks[n] = Mark{t.Items[c.item], t.Raters[c.rater], c.value}
	}
	return marks
}
