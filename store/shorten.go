package store

import (
	"context"
	"database/sql"
	"encoding/json"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// A shortening is what an erasure did to the record of a closed round: the
// words about the erased recipe went, marks and ranks stayed. Both are the hex
// SHA-256 of the record.
type shortening struct {
	Round int    `json:"round"` // position
	Was   string `json:"was"`
	Now   string `json:"now"`
}

// shortenRecords takes what readers and the picker wrote about the recipe, and
// may have quoted from it, out of tables and records.
func (x erasable) shortenRecords(ctx context.Context, tx *Tx) ([]shortening, error) {
	if err := execAll(ctx, tx, x.dish,
		`UPDATE mark SET note = '' WHERE dish_id = ?`,
		`UPDATE choice SET reason = '' WHERE dish_id = ?`,
		`UPDATE round_correction SET reason = '' WHERE dish_id = ?`,
		`UPDATE reading_conflict SET reason = '' WHERE dish_id = ?`,
		`UPDATE conflict SET reason = '' WHERE dish_id = ?`,
		`UPDATE tickets SET reason = '' WHERE dish_id = ?`,
		`UPDATE round_out SET note = '' WHERE dish_id = ? AND round_id IN (SELECT id FROM round WHERE kind IN ('reading', 'pick'))`); err != nil {
		return nil, err
	}
	type closed struct {
		id       int64 // of the round, or of the closing that was taken back
		position int
		document []byte
		back     bool
	}
	scan := func(r *sql.Rows) (c closed, err error) { return c, r.Scan(&c.id, &c.position, &c.document, &c.back) }
	all, err := rows(ctx, tx, scan, `SELECT round.id, position, document, 0 FROM round JOIN round_in ON round_in.round_id = round.id
			WHERE challenge_id = ?1 AND state = 'closed' AND kind IN ('reading', 'pick') AND round_in.dish_id = ?2
		UNION ALL SELECT x.id, position, x.document, 1 FROM round_reopened x JOIN round ON round.id = x.round_id JOIN round_in ON round_in.round_id = round.id
			WHERE challenge_id = ?1 AND kind IN ('reading', 'pick') AND round_in.dish_id = ?2 ORDER BY 2, 4, 1`, x.challenge, x.dish)
	if err != nil {
		return nil, err
	}
	var done []shortening
	for _, c := range all {
		short, err := withoutWords(c.document, x.dish)
		if err != nil {
			return nil, err
		}
		if string(short) == string(c.document) {
			continue
		}
		update := `UPDATE round SET document = ? WHERE id = ?`
		if c.back {
			update = `UPDATE round_reopened SET document = ? WHERE id = ?`
		}
		if _, err := tx.ExecContext(ctx, update, short, c.id); err != nil {
			return nil, err
		}
		done = append(done, shortening{c.position, hexSum(c.document), hexSum(short)})
	}
	return done, nil
}

// withoutWords leaves out of a record of a reading or a pick every text that
// stands beside the dish; how often it was marked, and its rank, stay.
func withoutWords(document []byte, dish int64) ([]byte, error) {
	var v any
	if err := json.Unmarshal(document, &v); err != nil {
		return nil, err
	}
	dropWords(v, float64(dish))
	return ledger.Canonical(v)
}

// dropWords goes through every object that is about the dish, which a mark and
// a pick call so and a line of the cut its entry.
func dropWords(v any, dish float64) {
	switch v := v.(type) {
	case []any:
		for _, x := range v {
			dropWords(x, dish)
		}
	case map[string]any:
		if v["Dish"] == dish || v["dish"] == dish || v["entry"] == dish {
			for _, words := range []string{"Note", "notes", "why", "reason"} {
				delete(v, words)
			}
		}
		for _, x := range v {
			dropWords(x, dish)
		}
	}
}

// sealsAbout are the leaves of sealed picks whose body holds words about the
// dish: they are erased with it.
func (x erasable) sealsAbout(ctx context.Context, tx *Tx) ([]int64, error) {
	return rows(ctx, tx, scanID, `SELECT seq FROM ledger_body WHERE challenge_id = ? AND kind = ? AND EXISTS (
		SELECT 1 FROM json_each(CAST(body AS TEXT), '$.detail') WHERE CASE type WHEN 'object' THEN json_extract(value, '$.dish') = ? AND json_extract(value, '$.reason') <> '' END) ORDER BY seq`,
		x.challenge, challenge.EventPickSealed, x.dish)
}

// shortened are the shortenings of a ledger, by round.
type shortened map[int]map[string]string

func shortenings(leaves []Leaf) shortened {
	all := shortened{}
	for _, e := range erasures(leaves) {
		for _, s := range e.Records {
			if all[s.Round] == nil {
				all[s.Round] = map[string]string{}
			}
			all[s.Round][s.Was] = s.Now
		}
	}
	return all
}

// lead follows a record from the form in which its round was closed to the one
// that the erasures since then left.
func (s shortened) lead(round int, document string) string {
	for range len(s[round]) {
		now, ok := s[round][document]
		if !ok {
			break
		}
		document = now
	}
	return document
}
