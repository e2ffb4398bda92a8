package ledger

import "fmt"

// Tree is a Merkle tree held in memory; its zero value is the empty tree.
type Tree struct {
	size   int64
	stored []Hash
}

// TreeOf returns the tree whose leaves are these commitments.
func TreeOf(leaves []Commitment) *Tree {
	t := &Tree{stored: make([]Hash, 0, 2*len(leaves))}
	for _, c := range leaves {
		t.Add(c[:])
	}
	return t
}

// Add appends a leaf with any data, the form rosters use.
func (t *Tree) Add(data []byte) {
	hashes, err := appendLeaf(t.size, LeafHash(data), t.read)
	if err != nil {
		panic(err) // every hash the tree needs is its own
	}
	t.stored = append(t.stored, hashes...)
	t.size++
}

// Size returns the number of leaves.
func (t *Tree) Size() int64 { return t.size }

// Stored returns every stored hash in the order of their indexes.
func (t *Tree) Stored() []Hash { return t.stored }

// Root returns the Merkle tree hash.
func (t *Tree) Root() Hash {
	h, err := Root(t.size, t.read)
	if err != nil {
		panic(err)
	}
	return h
}

// RootAt returns the root the tree had with its first size leaves.
func (t *Tree) RootAt(size int64) (Hash, error) {
	if size > t.size {
		return Hash{}, ErrRange
	}
	return Root(size, t.read)
}

// Inclusion proves that leaf number index (from 0) is in the tree.
func (t *Tree) Inclusion(index int64) (Proof, error) { return Inclusion(t.size, index, t.read) }

// Consistency proves that the tree continues its own first from leaves.
func (t *Tree) Consistency(from int64) (Proof, error) { return Consistency(from, t.size, t.read) }

func (t *Tree) read(indexes []int64) ([]Hash, error) {
	out := make([]Hash, len(indexes))
	for i, at := range indexes {
		if at < 0 || at >= int64(len(t.stored)) {
			return nil, fmt.Errorf("%w: stored hash %d", ErrRange, at)
		}
		out[i] = t.stored[at]
	}
	return out, nil
}
