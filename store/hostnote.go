package store

import (
	"context"
	"database/sql"
	"strings"

	"fairladle/challenge"
)

// A HostNote is what the host tasted: words beside the verdict, never a score.
type HostNote struct {
	Plate  int64  `json:"plate"`
	Note   string `json:"note"`
	Public bool   `json:"public,omitempty"` // may stand with the results
}

// HostNotes are the host's own, by plate.
func (db *DB) HostNotes(ctx context.Context, a challenge.Actor, challengeID, round int64) (map[int64]HostNote, error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return nil, err
	}
	all, err := hostNotes(ctx, db.reads, round)
	by := map[int64]HostNote{}
	for _, n := range all {
		by[n.Plate] = n
	}
	return by, err
}

func hostNotes(ctx context.Context, q querier, round int64) ([]HostNote, error) {
	scan := func(r *sql.Rows) (n HostNote, err error) { return n, r.Scan(&n.Plate, &n.Note, &n.Public) }
	return rows(ctx, q, scan, `SELECT plate_id, note, public FROM host_note WHERE round_id = ? ORDER BY plate_id`, round)
}

// SaveHostNotes keeps what the host tasted, while the tasting is open; empty
// words delete a note. Where the host scores there are sheets instead.
func (db *DB) SaveHostNotes(ctx context.Context, a challenge.Actor, challengeID, round int64, notes []HostNote) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	for _, n := range notes {
		if len(n.Note) > maxComment {
			return challenge.Refuse(challenge.Invalid, "note", "This is too long: at most %v characters.", maxComment)
		}
	}
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Tasting, 0); err != nil {
			return err
		}
		if r.Params.HostScores {
			return challenge.Refuse(challenge.Shut, "", "By the rules of this tasting you fill in sheets like every judge.")
		}
		for _, n := range notes {
			if err := saveHostNote(ctx, tx, r, n); err != nil {
				return err
			}
		}
		return nil
	})
}

func saveHostNote(ctx context.Context, tx *Tx, r challenge.Round, n HostNote) error {
	if n.Note = strings.TrimSpace(n.Note); n.Note == "" {
		_, err := tx.ExecContext(ctx, `DELETE FROM host_note WHERE round_id = ? AND plate_id = ?`, r.ID, n.Plate)
		return err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO host_note (round_id, plate_id, note, public, at)
		SELECT round_id, plate_id, ?, ?, ? FROM tasting_plate WHERE round_id = ? AND plate_id = ?
		ON CONFLICT (round_id, plate_id) DO UPDATE SET note = excluded.note, public = excluded.public, at = excluded.at`,
		n.Note, n.Public, millis(tx.now), r.ID, n.Plate)
	return err
}
