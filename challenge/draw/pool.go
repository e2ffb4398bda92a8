package draw

// pool is what is left of a roster while places are filled. A Fenwick tree
// over the weights finds and removes a ticket in logarithmic time, so that the
// whole order of 100,000 entries can be drawn.
type pool struct {
	roster  Roster
	sums    []int64 // Fenwick tree, from 1
	tickets int64
	entries int
	gone    []bool
}

func newPool(r Roster) *pool {
	p := &pool{roster: r, sums: make([]int64, len(r)+1), gone: make([]bool, len(r)), entries: len(r)}
	for i, t := range r {
		p.sums[i+1] += t.Weight
		if up := (i + 1) + (i+1)&-(i+1); up < len(p.sums) {
			p.sums[up] += p.sums[i+1]
		}
		p.tickets += t.Weight
	}
	return p
}

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
	w := p.roster[i].Weight
	for at := i + 1; at < len(p.sums); at += at & -at {
		p.sums[at] -= w
	}
	p.tickets -= w
	p.entries--
	p.gone[i] = true
}

// left returns the tickets of the entries that are left, in order.
func (p *pool) left() Roster {
	out := make(Roster, 0, p.entries)
	for i, t := range p.roster {
		if !p.gone[i] {
			out = append(out, t)
		}
	}
	return out
}
