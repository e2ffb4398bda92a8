// Package ledger is the append-only record of one challenge: salted
// commitments in a Merkle tree (RFC 9162, section 2.1), inclusion and
// consistency proofs, signed checkpoints, and the slip an entrant keeps.
//
// A leaf of the tree is the 32-byte commitment SHA-256(salt || body); the body
// says what happened and lies elsewhere, together with its 16-byte salt.
// Deleting both erases what was said and leaves every proof valid.
//
// The package keeps nothing: whoever stores the tree passes a Reader over the
// saved hashes and saves what Append returns. It makes no salt and no key, and
// knows nothing of recipes or draws. Start with commit.go for what a leaf is
// and tree.go for how the tree grows.
package ledger
