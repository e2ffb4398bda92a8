package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"iter"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// CheckLedger re-derives a challenge's whole ledger from the database: one
// finding a leaf, in order. A leaf is tampered with where its body, a stored
// hash, or what the leaf speaks of (a text, a list, an event of a draw, the
// record of a round) is not what was committed to.
func (db *DB) CheckLedger(ctx context.Context, challengeID int64) (found []ledger.Finding, err error) {
	err = db.read(ctx, func(q querier) error {
		found, err = checkLedger(ctx, q, challengeID)
		return err
	})
	return found, err
}

func checkLedger(ctx context.Context, q querier, challengeID int64) ([]ledger.Finding, error) {
	leaves, err := rows(ctx, q, scanLeaf, leafSelect+`ORDER BY l.seq`, challengeID)
	if err != nil {
		return nil, err
	}
	nodes, err := rows(ctx, q, scanHash, `SELECT hash FROM ledger_node WHERE challenge_id = ? ORDER BY idx`, challengeID)
	if err != nil {
		return nil, err
	}
	erased := erasedLeaves(leaves)
	plain := make([]ledger.Leaf, len(leaves))
	for i, l := range leaves {
		plain[i] = ledger.Leaf{Commitment: l.Content, Opening: l.Opening, Erased: erased[l.Seq]}
	}
	found, _ := ledger.Check(plain, nodes)
	k := checking{ctx, q, challengeID, leaves, found}
	for _, check := range []func() error{k.texts, k.closings, k.choices, k.draws, k.rehearsals, k.records, k.corrections} {
		if err := check(); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// erasures are the "erased" events of a ledger that open their commitments,
// with the place of each.
func erasures(leaves []Leaf) iter.Seq2[int64, erasure] {
	return func(yield func(int64, erasure) bool) {
		for _, l := range leaves {
			if l.Kind != challenge.EventErased || l.Opening == nil || !l.Opening.Opens(l.Content) {
				continue
			}
			var e struct{ Detail erasure }
			if json.Unmarshal(l.Opening.Body, &e) == nil && !yield(l.Seq, e.Detail) {
				return
			}
		}
	}
}

// erasedLeaves are the leaves that an "erased" event behind them names.
func erasedLeaves(leaves []Leaf) map[int64]bool {
	erased := map[int64]bool{}
	for at, e := range erasures(leaves) {
		for _, seq := range e.Leaves {
			if seq < at {
				erased[seq] = true
			}
		}
	}
	return erased
}

// checking compares what is stored elsewhere with the leaves that speak of it.
type checking struct {
	ctx    context.Context
	q      querier
	id     int64
	leaves []Leaf
	found  []ledger.Finding
}

// expect notes a leaf whose body is not the one that the stored things give.
// An erased leaf says nothing any more.
func (k checking) expect(seq int64, same func(body []byte) bool, detail string) {
	if seq < 0 || seq >= int64(len(k.leaves)) {
		if n := len(k.found); n > 0 {
			k.found[n-1].State, k.found[n-1].Detail = ledger.Tampered, "something stored names a leaf that is not there"
		}
		return
	}
	f := &k.found[seq]
	if f.State == ledger.Holds && !same(k.leaves[seq].Opening.Body) {
		f.State, f.Detail = ledger.Tampered, detail
	}
}

// texts compares each version of an entry with the leaf that received it.
func (k checking) texts() error {
	type version struct {
		leaf                int64
		salt, text, content []byte
	}
	scan := func(r *sql.Rows) (v version, err error) {
		return v, r.Scan(&v.leaf, &v.salt, &v.text, &v.content)
	}
	all, err := rows(k.ctx, k.q, scan, `SELECT v.leaf, v.salt, v.text, v.content FROM entry JOIN dish_version v ON v.dish_id = entry.dish_id
		WHERE entry.challenge_id = ? ORDER BY v.leaf`, k.id)
	for _, v := range all {
		k.expect(v.leaf, func(body []byte) bool {
			var e challenge.Event
			if json.Unmarshal(body, &e) != nil || e.Content != hex.EncodeToString(v.content) || len(v.salt) != len(ledger.Salt{}) {
				return false
			}
			c := ledger.Commit(ledger.Salt(v.salt), v.text)
			return bytes.Equal(c[:], v.content)
		}, "the stored text of the entry is not what was received")
	}
	return err
}

// LeafKinds are the kinds of a ledger's events by leaf; empty where the body
// is gone.
func (db *DB) LeafKinds(ctx context.Context, challengeID int64) ([]string, error) {
	return rows(ctx, db.reads, scanText, `SELECT COALESCE(b.kind, '') FROM ledger_leaf l LEFT JOIN ledger_body b
		ON b.challenge_id = l.challenge_id AND b.seq = l.seq WHERE l.challenge_id = ? ORDER BY l.seq`, challengeID)
}

func scanText(r *sql.Rows) (s string, err error) { return s, r.Scan(&s) }
