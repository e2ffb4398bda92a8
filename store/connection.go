package store

import (
	"context"
	"database/sql"
	"strings"

	"fairladle/challenge"
)

// A Connection is what a judge says of whom he or she is connected with. A
// judge tastes blind and cannot name a dish; the host can.
type Connection struct {
	ID       int64
	Judge    int64
	Name     string // of the judge
	Words    string
	Answered bool // the host has looked at it
}

// Connect keeps what a judge says of a connection, for the host alone. It is
// deleted when the tasting closes, and nothing of it goes into the ledger.
func (db *DB) Connect(ctx context.Context, a challenge.Actor, challengeID int64, words string) error {
	if err := mayConnect(a, challengeID); err != nil {
		return err
	}
	if words = strings.TrimSpace(words); words == "" || len(words) > maxComment {
		return challenge.Refuse(challenge.Invalid, "connection", "Say in a sentence with whom, and how.")
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := tastingAhead(ctx, tx, challengeID); err != nil {
			return err
		}
		var n int
		if err := tx.QueryRowContext(ctx, `SELECT count(*) FROM connection WHERE judge_id = ?`, a.ID).Scan(&n); err != nil {
			return err
		}
		if n >= 20 {
			return challenge.Refuse(challenge.Shut, "", "These are many connections. Speak to the host.")
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO connection (judge_id, words, at) VALUES (?, ?, ?)`, a.ID, words, millis(tx.now))
		return err
	})
}

func mayConnect(a challenge.Actor, challengeID int64) error {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return err
	}
	if a.Role != challenge.Judge {
		return challenge.Refuse(challenge.Barred, "", "Only a judge says so of themselves.")
	}
	return nil
}

// Disconnect takes back what a judge said; a dish that the host has kept from
// the judge since stays kept.
func (db *DB) Disconnect(ctx context.Context, a challenge.Actor, challengeID, id int64) error {
	if err := mayConnect(a, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM connection WHERE id = ? AND judge_id = ?`, id, a.ID)
		return err
	})
}

// OwnConnections are what a judge said.
func (db *DB) OwnConnections(ctx context.Context, a challenge.Actor, challengeID int64) ([]Connection, error) {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil || a.Role != challenge.Judge {
		return nil, err
	}
	return connections(ctx, db.reads, `connection.judge_id = ?`, a.ID)
}

// Connections are what the judges of a challenge said, for its host.
func (db *DB) Connections(ctx context.Context, a challenge.Actor, challengeID int64) ([]Connection, error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return nil, err
	}
	return connections(ctx, db.reads, `participant.challenge_id = ? AND participant.removed_at = 0`, challengeID)
}

func connections(ctx context.Context, q querier, where string, of int64) ([]Connection, error) {
	scan := func(r *sql.Rows) (c Connection, err error) {
		return c, r.Scan(&c.ID, &c.Judge, &c.Name, &c.Words, &c.Answered)
	}
	return rows(ctx, q, scan, `SELECT connection.id, connection.judge_id, person.name, connection.words, connection.answered_at > 0 FROM connection
		JOIN participant ON participant.id = connection.judge_id JOIN person ON person.id = participant.person_id WHERE `+where+` ORDER BY connection.id`, of)
}

// LookedAt notes that the host has looked at what a judge said.
func (db *DB) LookedAt(ctx context.Context, a challenge.Actor, challengeID, id int64) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE connection SET answered_at = ? WHERE id = ? AND judge_id IN (SELECT id FROM participant WHERE challenge_id = ?)`,
			millis(tx.now), id, challengeID)
		return err
	})
}

// forgetConnections deletes what the judges of a challenge said.
func forgetConnections(ctx context.Context, tx *Tx, challengeID int64) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM connection WHERE judge_id IN (SELECT id FROM participant WHERE challenge_id = ?)`, challengeID)
	return err
}
