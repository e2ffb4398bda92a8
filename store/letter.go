package store

import (
	"context"
	"database/sql"
	"errors"

	"fairladle/challenge"
)

// Letter is how the host worded a kind of message, or none.
func (db *DB) Letter(ctx context.Context, a challenge.Actor, challengeID int64, kind string) (l challenge.Letter, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return l, err
	}
	err = db.reads.QueryRowContext(ctx, `SELECT subject, body FROM letter WHERE challenge_id = ? AND kind = ?`, challengeID, kind).Scan(&l.Subject, &l.Body)
	if errors.Is(err, sql.ErrNoRows) {
		return l, nil
	}
	return l, err
}

// ExampleEntry is the newest entry that takes part, to fill a preview from; 0
// for none.
func (db *DB) ExampleEntry(ctx context.Context, challengeID int64) (number int, title string, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT entry.number, dish.title FROM entry JOIN dish ON dish.id = entry.dish_id
		WHERE entry.challenge_id = ? AND entry.state = 'in' ORDER BY entry.number DESC LIMIT 1`, challengeID).Scan(&number, &title)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, "", nil
	}
	return number, title, err
}

// OwnLetters are the kinds of messages that a challenge words its own way.
func (db *DB) OwnLetters(ctx context.Context, a challenge.Actor, challengeID int64) ([]string, error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return nil, err
	}
	return rows(ctx, db.reads, scanText, `SELECT kind FROM letter WHERE challenge_id = ?`, challengeID)
}

// SaveLetter words a kind of message anew; brings says that it carries a
// private link.
func (db *DB) SaveLetter(ctx context.Context, a challenge.Actor, challengeID int64, kind string, brings bool, l challenge.Letter) error {
	if err := errors.Join(challenge.May(a, challenge.EditChallenge, challengeID), l.Check(brings)); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT INTO letter (challenge_id, kind, subject, body) VALUES (?, ?, ?, ?)
			ON CONFLICT (challenge_id, kind) DO UPDATE SET subject = excluded.subject, body = excluded.body`, challengeID, kind, l.Subject, l.Body)
		return err
	})
}

// UsualLetter goes back to the usual words.
func (db *DB) UsualLetter(ctx context.Context, a challenge.Actor, challengeID int64, kind string) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM letter WHERE challenge_id = ? AND kind = ?`, challengeID, kind)
		return err
	})
}
