package draw

import "slices"

// pool is what is left of a roster while places are filled. A Fenwick tree
// over the weights finds and removes a ticket in logarithmic time, so that the
// whole order of 100,000 entries can be drawn.
//
// Until the first entry leaves, the tree is that of the list, which others
// share.
type pool struct {
	roster  Roster
	sums    []int64 // Fenwick tree, from 1
	own     bool    // the tree is this pool's alone
	tickets int64
	entries int
	gone    map[int]bool
}

func newPool(r Roster) *pool { return poolOf(r, sumsOf(r), r.Tickets()) }

func poolOf(r Roster, sums []int64, tickets int64) *pool {
	return &pool{roster: r, sums: sums, gone: map[int]bool{}, entries: len(r), tickets: tickets}
}

// sumsOf is the Fenwick tree over a roster's weights.
func sumsOf(r Roster) []int64 {
	sums := make([]int64, len(r)+1)
	for i, t := range r {
		sums[i+1] += t.Weight
		if up := (i + 1) + (i+1)&-(i+1); up < len(sums) {
			sums[up] += sums[i+1]
		}
	}
	return sums
}

// pool is all of the list.
func (l *List) pool() *pool { return poolOf(l.roster, l.sums, l.extent.Tickets) }

// at returns which entry of the roster (from 0) holds the remaining ticket
// number index (from 0).
func (p *pool) at(index int64) int {
	pos, step := 0, 1
	for step<<1 < len(p.sums) {
		step <<= 1
	}
	for ; step > 0; step >>= 1 {
		if pos+step < len(p.sums) && p.sums[pos+step] <= index {
			pos += step
			index -= p.sums[pos]
		}
	}
	return pos
}

// remove takes an entry with all its tickets out.
func (p *pool) remove(i int) {
	if !p.own {
		p.sums, p.own = slices.Clone(p.sums), true
	}
	w := p.roster[i].Weight
	for at := i + 1; at < len(p.sums); at += at & -at {
		p.sums[at] -= w
	}
	p.tickets -= w
	p.entries--
	p.gone[i] = true
}

// left returns the tickets of the entries that are left, in order, at most
// most of them.
func (p *pool) left(most int) Roster {
	out := make(Roster, 0, min(most, p.entries))
	for i, t := range p.roster {
		if len(out) == most {
			break
		}
		if !p.gone[i] {
			out = append(out, t)
		}
	}
	return out
}
