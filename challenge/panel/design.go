package panel

import (
	"math/rand/v2"
	"slices"
)

// Blocks asks for an incomplete block design: every block (an entry to be read,
// or a judge to be served) gets some treatments (its readers, or the plates).
// Blocks and treatments are numbered from 0.
type Blocks struct {
	Blocks, Treatments int
	Size               int      // treatments for each block, those in Done included
	Barred             [][2]int // block and treatment that must not meet
	Done               [][2]int // block and treatment that have met; they count, and are not dealt again
	Extra              []int    // per block, readings done by treatments that are not in the design; may be nil
	Load               []int    // per treatment, what it carries outside the design; may be nil
}

// Design is a solution of Blocks.
type Design struct {
	Given     [][]int // per block, the treatments dealt to it now, ascending
	Short     []int   // per block, how many could not be found
	Load      []int   // per treatment, with what was done before
	Shared    [][]int // per two treatments, the blocks that hold both
	Connected bool    // all treatments with a block hang together through shared blocks
}

// attempts is how many deals are tried until the treatments hang together.
const attempts = 8

// NewDesign deals treatments to blocks. Every block gets its Size and loads
// differ by at most one wherever Barred and Done allow it at all; every two
// treatments share as equal a number of blocks as the search finds: a balanced
// incomplete block design where it meets one. The result depends on its
// arguments alone.
func NewDesign(b Blocks, seed [32]byte) Design {
	var best *desk
	for attempt := range attempts {
		try := seed
		try[31] ^= byte(attempt)
		d := newDesk(b, rand.New(rand.NewChaCha8(try)))
		d.deal()
		d.level()
		d.balance()
		if best == nil || d.connected() {
			best = d
		}
		if best.connected() || b.Size < 2 {
			break
		}
	}
	for e := range best.given {
		slices.Sort(best.given[e])
	}
	return Design{best.given, best.short(), best.load, best.shared, best.connected()}
}

// SharedRange is the smallest and the largest number of blocks that two
// treatments share.
func (d Design) SharedRange() (fewest, most int) { return spread(d.Shared) }
