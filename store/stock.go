package store

import (
	"context"
	"database/sql"
	"fmt"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// Stock fills a challenge with copies of the entries it has until it has n of
// them, for measuring: each with a sender, a salt, a link and a leaf of its own.
func (db *DB) Stock(ctx context.Context, challengeID int64, n int) error {
	var s stock
	if err := db.read(ctx, func(q querier) (err error) {
		s, err = loadStock(ctx, q, challengeID)
		return err
	}); err != nil {
		return err
	}
	for s.last < n {
		// A unit holds up every other, so it is kept short.
		upTo := min(n, s.last+2000)
		if err := db.write(ctx, func(tx *Tx) error { return s.upTo(ctx, tx, upTo) }); err != nil {
			return err
		}
	}
	return nil
}

type stock struct {
	challenge int64
	last      int // the highest number
	models    []stocked
	size      int64
	nodes     []ledger.Hash
}

// A stocked is what a copy takes over.
type stocked struct {
	title, text, masked, masks, reading string
	reader, findings, parts, minutes    int
}

func loadStock(ctx context.Context, q querier, challengeID int64) (s stock, err error) {
	s.challenge = challengeID
	scan := func(r *sql.Rows) (m stocked, err error) {
		return m, r.Scan(&m.title, &m.text, &m.masked, &m.masks, &m.reading, &m.reader, &m.findings, &m.parts, &m.minutes)
	}
	if s.models, err = rows(ctx, q, scan, `SELECT dish.title, v.text, v.masked, v.masks, b.reading, b.reader, entry.findings, entry.ingredients, entry.minutes
		FROM entry JOIN dish ON dish.id = entry.dish_id JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version
		JOIN breakdown b ON b.dish_id = v.dish_id AND b.version = v.version WHERE entry.challenge_id = ? ORDER BY entry.number LIMIT 200`, challengeID); err != nil {
		return s, err
	}
	if len(s.models) == 0 {
		return s, challenge.Refuse(challenge.Invalid, "", "There is no entry to copy.")
	}
	if err = q.QueryRowContext(ctx, `SELECT last_number FROM challenge WHERE id = ?`, challengeID).Scan(&s.last); err != nil {
		return s, err
	}
	if s.size, err = ledgerSize(ctx, q, challengeID); err != nil {
		return s, err
	}
	s.nodes, err = rows(ctx, q, scanHash, `SELECT hash FROM ledger_node WHERE challenge_id = ? ORDER BY idx`, challengeID)
	return s, err
}

func (s *stock) upTo(ctx context.Context, tx *Tx, upTo int) error {
	began := s.last
	for s.last < upTo {
		s.last++
		if err := s.add(ctx, tx, s.last); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, `UPDATE challenge SET entries = entries + ?, last_number = ? WHERE id = ?`, s.last-began, s.last, s.challenge)
	return err
}

func (s *stock) add(ctx context.Context, tx *Tx, number int) error {
	m := s.models[number%len(s.models)]
	name := fmt.Sprintf("Stock %d", number)
	person, err := addPerson(ctx, tx, name, "", fmt.Sprintf("stock%d@example.net", number))
	if err != nil {
		return err
	}
	salts, err := tx.bytes(32)
	if err != nil {
		return err
	}
	content := ledger.Commit(ledger.Salt(salts[:16]), []byte(m.text))
	var dish int64
	if err := tx.QueryRowContext(ctx, `INSERT INTO dish (challenge_id, kind, title, version, created_at) VALUES (?, 'entry', ?, 1, ?) RETURNING id`,
		s.challenge, m.title, millis(tx.now)).Scan(&dish); err != nil {
		return err
	}
	body := challenge.Event{Kind: challenge.EventReceived, Entry: number, Version: 1, Content: content.String()}.Body(tx.now)
	leaf, err := s.leaf(ctx, tx, ledger.Salt(salts[16:]), body)
	if err != nil {
		return err
	}
	for _, x := range []struct {
		sql  string
		args []any
	}{
		{`INSERT INTO dish_version (dish_id, version, text, masked, masks, received_at, salt, content, leaf) VALUES (?, 1, ?, ?, ?, ?, ?, ?, ?)`,
			[]any{dish, m.text, m.masked, m.masks, millis(tx.now), salts[:16], content[:], leaf}},
		{`INSERT INTO breakdown (dish_id, version, reader, reading, derived_at) VALUES (?, 1, ?, ?, ?)`, []any{dish, m.reader, m.reading, millis(tx.now)}},
		{`INSERT INTO entry (dish_id, challenge_id, number, title, findings, ingredients, minutes, agreed) VALUES (?, ?, ?, ?, ?, ?, ?, 1)`,
			[]any{dish, s.challenge, number, m.title, m.findings, m.parts, m.minutes}},
		{`INSERT INTO entrant (dish_id, person_id, name, origin) VALUES (?, ?, ?, ?)`, []any{dish, person, name, challenge.OriginOwn}},
		{`INSERT INTO dish_search (rowid, title, text) VALUES (?, ?, ?)`, []any{dish, m.title, m.masked}},
	} {
		if _, err := tx.ExecContext(ctx, x.sql, x.args...); err != nil {
			return err
		}
	}
	for _, k := range challenge.ConsentKinds {
		if err := addConsent(ctx, tx, dish, k, true); err != nil {
			return err
		}
	}
	_, err = newLink(ctx, tx, ForEntrant, s.challenge, dish, 0)
	return err
}

// leaf is recordBody on a tree that is held in memory.
func (s *stock) leaf(ctx context.Context, tx *Tx, salt ledger.Salt, body []byte) (seq int64, err error) {
	content := ledger.Commit(salt, body)
	hashes, err := ledger.Append(s.size, content, func(indexes []int64) ([]ledger.Hash, error) {
		out := make([]ledger.Hash, len(indexes))
		for i, at := range indexes {
			out[i] = s.nodes[at]
		}
		return out, nil
	})
	if err != nil {
		return 0, err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO ledger_leaf (challenge_id, seq, content) VALUES (?, ?, ?)`, s.challenge, s.size, content[:]); err != nil {
		return 0, err
	}
	for _, h := range hashes {
		if _, err := tx.ExecContext(ctx, `INSERT INTO ledger_node (challenge_id, idx, hash) VALUES (?, ?, ?)`, s.challenge, len(s.nodes), h[:]); err != nil {
			return 0, err
		}
		s.nodes = append(s.nodes, h)
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO ledger_body (challenge_id, seq, kind, round, salt, body) VALUES (?, ?, ?, 0, ?, ?)`,
		s.challenge, s.size, challenge.EventReceived, salt[:], body)
	s.size++
	return s.size - 1, err
}
