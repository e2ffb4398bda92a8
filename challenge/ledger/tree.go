package ledger

import (
	"errors"
	"fmt"

	"golang.org/x/mod/sumdb/tlog"
)

// Reader returns the stored hashes at the given indexes, in the order asked
// for, or an error. Indexes count from 0; Append says which they are.
type Reader func(indexes []int64) ([]Hash, error)

// Proof is a Merkle inclusion or consistency proof (RFC 9162, sections 2.1.3
// and 2.1.4), from the leaf's side to the root's.
type Proof []Hash

var (
	// ErrProof says that a proof does not show what it is held to show.
	ErrProof = errors.New("ledger: the proof does not hold")
	// ErrRange says that a size or index lies outside the tree.
	ErrRange = errors.New("ledger: outside the tree")
)

// LeafHash returns SHA-256(0x00 || data), the hash of a leaf (RFC 9162, 2.1.1).
func LeafHash(data []byte) Hash { return Hash(tlog.RecordHash(data)) }

// Append returns the hashes to be stored when the leaf with this commitment is
// added to a tree of size leaves: save them at the indexes StoredCount(size),
// StoredCount(size)+1, and so on. It reads at most log2(size) earlier hashes.
func Append(size int64, c Commitment, read Reader) ([]Hash, error) {
	return appendLeaf(size, LeafHash(c[:]), read)
}

// StoredCount returns how many stored hashes a tree of size leaves has, which
// is also the index of the first hash that the next Append adds.
func StoredCount(size int64) int64 { return tlog.StoredHashCount(size) }

// StoredLeaf returns the index at which the hash of leaf number index lies.
func StoredLeaf(index int64) int64 { return tlog.StoredHashIndex(0, index) }

// Root returns the Merkle tree hash of the first size leaves; of none it is
// SHA-256 of the empty string.
func Root(size int64, read Reader) (Hash, error) {
	if size < 0 {
		return Hash{}, ErrRange
	}
	h, err := tlog.TreeHash(size, read.tlog())
	return Hash(h), wrap(err)
}

// Inclusion proves that leaf number index (from 0) is among the first size
// leaves.
func Inclusion(size, index int64, read Reader) (Proof, error) {
	if index < 0 || index >= size {
		return nil, fmt.Errorf("%w: leaf %d of %d", ErrRange, index, size)
	}
	p, err := tlog.ProveRecord(size, index, read.tlog())
	return fromTlog(p), wrap(err)
}

// Consistency proves that the tree of size to continues the tree of size from.
// From nothing, and between equal sizes, the proof is empty.
func Consistency(from, to int64, read Reader) (Proof, error) {
	if from < 0 || from > to {
		return nil, fmt.Errorf("%w: from %d to %d leaves", ErrRange, from, to)
	}
	if from == 0 {
		return Proof{}, nil
	}
	p, err := tlog.ProveTree(to, from, read.tlog())
	return fromTlog(p), wrap(err)
}

// VerifyInclusion checks that the leaf with this hash is leaf number index
// (from 0) of the tree with size leaves and this root; it returns ErrRange or
// ErrProof if not. A proof that is too long or too short does not hold.
func VerifyInclusion(p Proof, size int64, root Hash, index int64, leaf Hash) error {
	if index < 0 || index >= size {
		return ErrRange
	}
	if tlog.CheckRecord(toTlog(p), size, tlog.Hash(root), index, tlog.Hash(leaf)) != nil {
		return ErrProof
	}
	return nil
}

// VerifyConsistency checks that the newer tree continues the older one
// unchanged; it returns ErrRange or ErrProof if not.
func VerifyConsistency(p Proof, newer, older Checkpoint) error {
	if older.Size < 0 || older.Size > newer.Size {
		return ErrRange
	}
	if older.Size == 0 {
		if len(p) != 0 || older.Root != emptyRoot() {
			return ErrProof
		}
		return nil
	}
	err := tlog.CheckTree(toTlog(p), newer.Size, tlog.Hash(newer.Root), older.Size, tlog.Hash(older.Root))
	if err != nil {
		return ErrProof
	}
	return nil
}

func appendLeaf(size int64, leaf Hash, read Reader) ([]Hash, error) {
	if size < 0 {
		return nil, ErrRange
	}
	hashes, err := tlog.StoredHashesForRecordHash(size, tlog.Hash(leaf), read.tlog())
	return fromTlog(hashes), wrap(err)
}

func emptyRoot() Hash {
	h, _ := Root(0, nil)
	return h
}

func (r Reader) tlog() tlog.HashReader {
	return tlog.HashReaderFunc(func(indexes []int64) ([]tlog.Hash, error) {
		if len(indexes) == 0 {
			return nil, nil
		}
		hashes, err := r(indexes)
		return toTlog(hashes), err
	})
}

func toTlog(hashes []Hash) []tlog.Hash {
	out := make([]tlog.Hash, len(hashes))
	for i, h := range hashes {
		out[i] = tlog.Hash(h)
	}
	return out
}

func fromTlog[S ~[]tlog.Hash](hashes S) []Hash {
	out := make([]Hash, len(hashes))
	for i, h := range hashes {
		out[i] = Hash(h)
	}
	return out
}

func wrap(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("ledger: %w", err)
}
