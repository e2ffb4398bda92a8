package draw

import (
	"slices"

	"fairladle/challenge/ledger"
)

// A List is a roster with everything that takes long to work out for a large
// one: its tree, and whether it may be drawn from. It does not change, and may
// be shared.
type List struct {
	roster Roster
	tree   *ledger.Tree
	sums   []int64 // Fenwick tree over the weights
	extent Extent
	refuse error // why it is no roster to draw from
	madeUp bool
}

// NewList works a roster out once. A list of entries that nobody draws from
// may be shorter than a draw's.
func NewList(r Roster) *List {
	tree := r.Tree()
	return &List{roster: r, tree: tree, sums: sumsOf(r), extent: Extent{Entries: len(r), Tickets: r.Tickets(), Root: tree.Root()}, refuse: r.Check(), madeUp: r.madeUp()}
}

// Roster returns the list's lines; they must not be changed.
func (l *List) Roster() Roster { return l.roster }

// Extent returns the list's size and root.
func (l *List) Extent() Extent { return l.extent }

// Find returns the line of an entry, from 0; ok is false where it is not on
// the list.
func (l *List) Find(number int) (index int, ok bool) {
	return slices.BinarySearchFunc(l.roster, number, func(t Ticket, n int) int { return t.Number - n })
}

// Inclusion proves that line index (from 0) stands in the list.
func (l *List) Inclusion(index int) (ledger.Proof, error) { return l.tree.Inclusion(int64(index)) }

// Replay is Replay on a list that was worked out before; on none, it replays a
// draw whose list is not fixed yet.
func (l *List) Replay(p Plan, events []Event) (*State, error) {
	s, err := start(p, l)
	if err != nil {
		return nil, err
	}
	return s.replay(events)
}
