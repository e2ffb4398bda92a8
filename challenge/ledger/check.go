package ledger

import "golang.org/x/mod/sumdb/tlog"

// State is what a check found about one leaf.
type State string

// The states of a leaf.
const (
	Holds    State = "holds"    // the body is there and is what was committed to
	Erased   State = "erased"   // the body was deleted, and that is on record
	Tampered State = "tampered" // the body, its absence or the tree contradicts the commitment
)

// Leaf is one leaf as it is stored.
type Leaf struct {
	Commitment Commitment
	Opening    *Opening // nil where the body is gone
	Erased     bool     // an erasure of this leaf is on record
}

// Finding is what a check found about the leaf number Index (from 0).
type Finding struct {
	Index  int64
	State  State
	Detail string // why it is tampered with; empty otherwise
}

// Check re-derives the tree from the leaves and compares it with the stored
// hashes and bodies. It returns one finding per leaf, in their order, and the
// root that the commitments give. Compare that root with a checkpoint kept
// elsewhere: whoever can rewrite everything stored here can make it agree.
func Check(leaves []Leaf, stored []Hash) ([]Finding, Hash) {
	commitments := make([]Commitment, len(leaves))
	findings := make([]Finding, len(leaves))
	for i, l := range leaves {
		commitments[i] = l.Commitment
		findings[i] = l.check(int64(i))
	}
	tree := TreeOf(commitments)
	for at, want := range tree.Stored() {
		if at < len(stored) && stored[at] == want {
			continue
		}
		level, n := tlog.SplitStoredHashIndex(int64(at))
		// A hash above the leaves is stored with the last leaf it covers.
		f := &findings[(n+1)<<level-1]
		if f.State != Tampered {
			f.State, f.Detail = Tampered, "a stored hash of the tree is missing or differs"
		}
	}
	if len(stored) > len(tree.Stored()) && len(findings) > 0 {
		f := &findings[len(findings)-1]
		f.State, f.Detail = Tampered, "leaves after this one are missing"
	}
	return findings, tree.Root()
}

func (l Leaf) check(index int64) Finding {
	f := Finding{Index: index, State: Tampered}
	switch {
	case l.Opening == nil && l.Erased:
		f.State = Erased
	case l.Opening == nil:
		f.Detail = "the body is missing and no erasure is on record"
	case !l.Opening.Opens(l.Commitment):
		f.Detail = "the body or its salt is not what was committed to"
	default:
		f.State = Holds
	}
	return f
}
