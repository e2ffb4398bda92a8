package store

import (
	"context"
	"database/sql"
	"strings"

	"fairladle/challenge"
)

// Told are the host's own words about what happened to an entry, by what it is
// about; what is not there is told in the usual words.
type Told map[challenge.About]string

// Words are the host's words, or else the usual ones.
func (t Told) Words(about challenge.About) string {
	if own := t[about]; own != "" {
		return own
	}
	return about.Words()
}

// Told returns the host's own words for a challenge.
func (db *DB) Told(ctx context.Context, challengeID int64) (Told, error) {
	type row struct {
		about challenge.About
		words string
	}
	scan := func(r *sql.Rows) (x row, err error) { return x, r.Scan(&x.about, &x.words) }
	all, err := rows(ctx, db.reads, scan, `SELECT about, words FROM told WHERE challenge_id = ?`, challengeID)
	t := Told{}
	for _, x := range all {
		t[x.about] = x.words
	}
	return t, err
}

// SetTold changes the host's own words; empty ones bring the usual back.
// Entries that were told before keep what they were told.
func (db *DB) SetTold(ctx context.Context, a challenge.Actor, challengeID int64, t Told) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	var bad challenge.Refusals
	for _, about := range challenge.Abouts {
		if len(t[about]) > maxReason {
			bad.Add("told-"+string(about), "This is too long: at most %v characters.", maxReason)
		}
	}
	if err := bad.Err(); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM told WHERE challenge_id = ?`, challengeID); err != nil {
			return err
		}
		for _, about := range challenge.Abouts {
			words := strings.TrimSpace(t[about])
			if words == "" || words == about.Words() {
				continue
			}
			if _, err := tx.ExecContext(ctx, `INSERT INTO told (challenge_id, about, words) VALUES (?, ?, ?)`, challengeID, about, words); err != nil {
				return err
			}
		}
		return nil
	})
}
