package store

import (
	"context"
	"database/sql"
	"fmt"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// record appends an event to a challenge's ledger, in the unit of the change
// it records.
func record(ctx context.Context, tx *Tx, challengeID int64, e challenge.Event) error {
	_, err := recordLeaf(ctx, tx, challengeID, e)
	return err
}

// recordLeaf is record, and says which leaf it became.
func recordLeaf(ctx context.Context, tx *Tx, challengeID int64, e challenge.Event) (seq int64, err error) {
	return recordBody(ctx, tx, challengeID, e.Kind, e.Round, e.Body(tx.now))
}

// recordBody appends a body that another package wrote.
func recordBody(ctx context.Context, tx *Tx, challengeID int64, kind string, round int, body []byte) (seq int64, err error) {
	salt, err := tx.bytes(16)
	if err != nil {
		return 0, err
	}
	content := ledger.Commit(ledger.Salt(salt), body)
	size, err := ledgerSize(ctx, tx, challengeID)
	if err != nil {
		return 0, err
	}
	hashes, err := ledger.Append(size, content, nodeReader(ctx, tx, challengeID))
	if err != nil {
		return 0, fmt.Errorf("ledger of challenge %d: %w", challengeID, err)
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO ledger_leaf (challenge_id, seq, content) VALUES (?, ?, ?)`, challengeID, size, content[:]); err != nil {
		return 0, err
	}
	for i, h := range hashes {
		if _, err := tx.ExecContext(ctx, `INSERT INTO ledger_node (challenge_id, idx, hash) VALUES (?, ?, ?)`,
			challengeID, ledger.StoredCount(size)+int64(i), h[:]); err != nil {
			return 0, err
		}
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO ledger_body (challenge_id, seq, kind, round, salt, body) VALUES (?, ?, ?, ?, ?, ?)`,
		challengeID, size, kind, round, salt, body)
	return size, err
}

func ledgerSize(ctx context.Context, q querier, challengeID int64) (n int64, err error) {
	err = q.QueryRowContext(ctx, `SELECT COALESCE(max(seq) + 1, 0) FROM ledger_leaf WHERE challenge_id = ?`, challengeID).Scan(&n)
	return n, err
}

// nodeReader reads the stored hashes of a challenge's tree.
func nodeReader(ctx context.Context, q querier, challengeID int64) ledger.Reader {
	return func(indexes []int64) ([]ledger.Hash, error) {
		hs := make([]ledger.Hash, len(indexes))
		for i, idx := range indexes {
			var b []byte
			if err := q.QueryRowContext(ctx, `SELECT hash FROM ledger_node WHERE challenge_id = ? AND idx = ?`, challengeID, idx).Scan(&b); err != nil {
				return nil, fmt.Errorf("stored hash %d: %w", idx, err)
			}
			copy(hs[i][:], b)
		}
		return hs, nil
	}
}

// A Leaf is one line of a challenge's ledger. Opening is nil, and Kind empty,
// where the body is withheld from the asker or was erased.
type Leaf struct {
	Seq     int64
	Kind    string
	Round   int
	Content ledger.Commitment
	Erased  bool
	Opening *ledger.Opening
}

const leafSelect = `SELECT l.seq, l.content, COALESCE(b.kind, ''), COALESCE(b.round, 0), b.salt, b.body FROM ledger_leaf l
	LEFT JOIN ledger_body b ON b.challenge_id = l.challenge_id AND b.seq = l.seq WHERE l.challenge_id = ? `

// Ledger is a challenge's ledger, or a stretch of it, as one audience may see
// it now.
type Ledger struct {
	Leaves     []Leaf
	Size       int    // of the whole
	Sealed     int    // leaves of the whole that are not shown now
	Checkpoint string // signed
}

// Ledger returns the whole ledger for a role; bodies that would give something
// away before its release are left out.
func (db *DB) Ledger(ctx context.Context, c challenge.Challenge, role challenge.Role) (Ledger, error) {
	return db.LedgerStretch(ctx, c, role, func(size int) (from, to int) { return 0, size })
}

// LedgerStretch is Ledger for the leaves from one to another, the last not
// included, which within chooses by the size of the whole.
func (db *DB) LedgerStretch(ctx context.Context, c challenge.Challenge, role challenge.Role, within func(size int) (from, to int)) (l Ledger, err error) {
	err = db.read(ctx, func(q querier) error {
		size, err := ledgerSize(ctx, q, c.ID)
		if err != nil {
			return err
		}
		l.Size = int(size)
		from, to := within(l.Size)
		if l.Leaves, err = rows(ctx, q, scanLeaf, leafSelect+`AND l.seq >= ? AND l.seq < ? ORDER BY l.seq`, c.ID, from, to); err != nil {
			return err
		}
		now := db.now()
		for i, leaf := range l.Leaves {
			if leaf.Opening != nil && !c.OpenTo(leaf.Kind, leaf.Round, role, now) {
				l.Leaves[i].Kind, l.Leaves[i].Round, l.Leaves[i].Opening = "", 0, nil
			}
		}
		kinds, err := db.kinds.of(ctx, q, c.ID, size)
		if err != nil {
			return err
		}
		for k, n := range kinds {
			if !c.OpenTo(k.kind, k.round, role, now) {
				l.Sealed += n
			}
		}
		l.Checkpoint, err = checkpoint(ctx, q, c.ID, c.Slug)
		return err
	})
	return l, err
}

func scanLeaf(r *sql.Rows) (Leaf, error) {
	var l Leaf
	var content, salt, body []byte
	if err := r.Scan(&l.Seq, &content, &l.Kind, &l.Round, &salt, &body); err != nil {
		return l, err
	}
	copy(l.Content[:], content)
	if body == nil {
		l.Erased = true
		return l, nil
	}
	l.Opening = &ledger.Opening{Salt: ledger.Salt(salt), Body: body}
	return l, nil
}

// A Continuation shows that a ledger of To leaves continues the one it was at
// From leaves.
type Continuation struct {
	From, To         int64
	FromRoot, ToRoot ledger.Hash
	Proof            ledger.Proof
	Checkpoint       string // signed, of the ledger as it is now
}

// Continuation proves to whoever kept a head of from leaves that nothing
// before it was changed. To is 0 for the ledger as it is now, or the size of a
// later head that was published, such as a draw record's.
func (db *DB) Continuation(ctx context.Context, c challenge.Challenge, from, to int64) (p Continuation, err error) {
	err = db.read(ctx, func(q querier) error {
		size, err := ledgerSize(ctx, q, c.ID)
		if err != nil {
			return err
		}
		if to == 0 {
			to = size
		}
		if from < 0 || from > to || to > size {
			return challenge.Refuse(challenge.Invalid, "", "This ledger has %v leaves. Ask for a proof from a smaller size to a larger one, both within it.", size)
		}
		p.From, p.To = from, to
		read := nodeReader(ctx, q, c.ID)
		if p.FromRoot, err = ledger.Root(from, read); err != nil {
			return err
		}
		if p.ToRoot, err = ledger.Root(to, read); err != nil {
			return err
		}
		if p.Proof, err = ledger.Consistency(from, to, read); err != nil {
			return err
		}
		p.Checkpoint, err = checkpoint(ctx, q, c.ID, c.Slug)
		return err
	})
	return p, err
}

// checkpoint signs the ledger as it stands.
func checkpoint(ctx context.Context, q querier, challengeID int64, slug string) (string, error) {
	size, err := ledgerSize(ctx, q, challengeID)
	if err != nil {
		return "", err
	}
	root, err := ledger.Root(size, nodeReader(ctx, q, challengeID))
	if err != nil {
		return "", err
	}
	key, err := ledgerKey(ctx, q)
	if err != nil {
		return "", err
	}
	return ledger.Checkpoint{Origin: origin(slug), Size: size, Root: root}.Sign(key)
}

// origin names a challenge's ledger in its checkpoints.
func origin(slug string) string { return "fairladle/" + slug }

func scanHash(r *sql.Rows) (h ledger.Hash, err error) {
	var b []byte
	err = r.Scan(&b)
	copy(h[:], b)
	return h, err
}

// Slip returns the entry slip of the current version of an entry.
func (db *DB) Slip(ctx context.Context, a challenge.Actor) (s ledger.Slip, err error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return s, err
	}
	err = db.read(ctx, func(q querier) error {
		o, err := ownEntry(ctx, q, a.ID)
		if err != nil {
			return err
		}
		s, err = slipOf(ctx, q, o)
		return err
	})
	return s, err
}

func slipOf(ctx context.Context, q querier, o Own) (ledger.Slip, error) {
	s := ledger.Slip{Version: ledger.SlipVersion, Challenge: o.Challenge.Title, Entry: o.Number}
	var salt, body []byte
	err := q.QueryRowContext(ctx, `SELECT v.leaf, b.salt, b.body FROM dish_version v
		JOIN ledger_body b ON b.challenge_id = ? AND b.seq = v.leaf WHERE v.dish_id = ? AND v.version = ?`,
		o.Challenge.ID, o.Recipe.Dish.ID, o.Recipe.Version).Scan(&s.Leaf, &salt, &body)
	if err != nil {
		return s, missing(err, "The slip of this entry was erased.")
	}
	s.Salt, s.Body = ledger.Salt(salt), string(body)
	if s.Checkpoint, err = checkpoint(ctx, q, o.Challenge.ID, o.Challenge.Slug); err != nil {
		return s, err
	}
	cp, err := ledger.ParseCheckpoint(s.Checkpoint)
	if err != nil {
		return s, err
	}
	s.Proof, err = ledger.Inclusion(cp.Size, s.Leaf, nodeReader(ctx, q, o.Challenge.ID))
	return s, err
}
