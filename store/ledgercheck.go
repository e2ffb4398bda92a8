package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"

	"fairladle/challenge"
	"fairladle/challenge/draw"
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
	leaves, err := rows(ctx, q, scanLeaf, leafSelect, challengeID)
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
	for _, check := range []func() error{k.texts, k.closings, k.choices, k.rehearsals, k.draws, k.drawEvents, k.records} {
		if err := check(); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// erasedLeaves are the leaves that an "erased" event names, which itself opens
// its commitment.
func erasedLeaves(leaves []Leaf) map[int64]bool {
	erased := map[int64]bool{}
	for _, l := range leaves {
		if l.Kind != challenge.EventErased || l.Opening == nil || !l.Opening.Opens(l.Content) {
			continue
		}
		var e struct{ Detail erasure }
		if json.Unmarshal(l.Opening.Body, &e) != nil {
			continue
		}
		for _, seq := range e.Detail.Leaves {
			if seq < l.Seq {
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
	all, err := rows(k.ctx, k.q, scan, `SELECT v.leaf, v.salt, v.text, v.content FROM dish_version v JOIN dish ON dish.id = v.dish_id
		WHERE dish.challenge_id = ? AND dish.kind = 'entry' ORDER BY v.leaf`, k.id)
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

// draws compares each fixed list and plan with the leaf that fixed it.
func (k checking) draws() error {
	type fixed struct {
		leaf         int64
		plan, roster []byte
	}
	scan := func(r *sql.Rows) (f fixed, err error) { return f, r.Scan(&f.leaf, &f.plan, &f.roster) }
	all, err := rows(k.ctx, k.q, scan, `SELECT draw.leaf, draw.plan, draw.roster FROM draw JOIN round ON round.id = draw.round_id
		WHERE round.challenge_id = ? AND draw.leaf >= 0 ORDER BY draw.leaf`, k.id)
	for _, f := range all {
		k.expect(f.leaf, func(body []byte) bool {
			var plan draw.Plan
			var roster draw.Roster
			if json.Unmarshal(f.plan, &plan) != nil || json.Unmarshal(f.roster, &roster) != nil || roster.Extent() != plan.Roster {
				return false
			}
			want, err := draw.FrozenBody(plan)
			return err == nil && bytes.Equal(want, body)
		}, "the stored list or plan of the draw is not what was fixed")
	}
	return err
}

// drawEvents compares each stored event of a draw with its leaf.
func (k checking) drawEvents() error {
	type stored struct {
		leaf        int64
		plan, event []byte
	}
	scan := func(r *sql.Rows) (s stored, err error) { return s, r.Scan(&s.leaf, &s.plan, &s.event) }
	all, err := rows(k.ctx, k.q, scan, `SELECT draw_event.leaf, draw.plan, draw_event.event FROM draw_event JOIN draw ON draw.round_id = draw_event.round_id
		JOIN round ON round.id = draw.round_id WHERE round.challenge_id = ? ORDER BY draw_event.leaf`, k.id)
	for _, s := range all {
		k.expect(s.leaf, func(body []byte) bool {
			var plan draw.Plan
			var e draw.Event
			if json.Unmarshal(s.plan, &plan) != nil || json.Unmarshal(s.event, &e) != nil {
				return false
			}
			want, err := draw.EventBody(plan.Draw, e)
			return err == nil && bytes.Equal(want, body)
		}, "the stored event of the draw is not what was recorded")
	}
	return err
}

// records compares each closed round's record with the leaf that closed it.
func (k checking) records() error {
	type closed struct {
		position int
		document []byte
	}
	scan := func(r *sql.Rows) (c closed, err error) { return c, r.Scan(&c.position, &c.document) }
	all, err := rows(k.ctx, k.q, scan, `SELECT position, document FROM round WHERE challenge_id = ? AND state = 'closed'`, k.id)
	byPosition := map[int][]byte{}
	for _, c := range all {
		byPosition[c.position] = c.document
	}
	for _, l := range k.leaves {
		if l.Kind != challenge.EventRoundClosed {
			continue
		}
		k.expect(l.Seq, func(body []byte) bool {
			var e struct{ Detail struct{ Document string } }
			return json.Unmarshal(body, &e) == nil && e.Detail.Document == hexSum(byPosition[l.Round])
		}, "the stored record of the round is not what was closed")
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
