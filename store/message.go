package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// The kinds of messages. Each has a subject and a body in the catalogue.
type messageKind string

const (
	messageSlip   messageKind = "entry-received"
	messageLink   messageKind = "link-again"
	messageCohost messageKind = "invite-cohost"
	messageReader messageKind = "invite-reader"
	messageJudge  messageKind = "invite-judge"
)

func invitation(r challenge.Role) messageKind {
	return map[challenge.Role]messageKind{challenge.Cohost: messageCohost, challenge.Reader: messageReader, challenge.Judge: messageJudge}[r]
}

// addMessage leaves a message in the outbox. Its words are made when it is
// sent or shown; the token in it is the only copy, and goes when it is sent.
func addMessage(ctx context.Context, tx *Tx, c challenge.Challenge, person int64, k messageKind, token string) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO message (challenge_id, person_id, kind, token, created_at) VALUES (?, ?, ?, ?, ?)`,
		c.ID, person, k, token, millis(tx.now))
	return err
}

// A Message is mail that waits to be sent.
type Message struct {
	ID        int64
	Kind      string
	Challenge string // title
	Token     string
	To, Name  string
	CreatedAt time.Time
	Tries     int
}

// Waiting lists the outbox, oldest first.
func (db *DB) Waiting(ctx context.Context, limit int) ([]Message, error) {
	scan := func(r *sql.Rows) (m Message, err error) {
		var at int64
		err = r.Scan(&m.ID, &m.Kind, &m.Challenge, &m.Token, &m.To, &m.Name, &at, &m.Tries)
		m.CreatedAt = moment(at)
		return m, err
	}
	return rows(ctx, db.reads, scan, `SELECT message.id, message.kind, COALESCE(challenge.title, ''), message.token, address.email, person.name,
		message.created_at, message.tries FROM message JOIN person ON person.id = message.person_id
		JOIN address ON address.person_id = person.id LEFT JOIN challenge ON challenge.id = message.challenge_id
		WHERE message.state = 'waiting' ORDER BY message.id LIMIT ?`, limit)
}

// Sent marks a message as sent and forgets the token in it.
func (db *DB) Sent(ctx context.Context, id int64) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE message SET state = 'sent', token = '', sent_at = ? WHERE id = ? AND state = 'waiting'`, millis(tx.now), id)
		return err
	})
}

// NotSent counts a failed try; after enough of them the message rests as
// failed and the host is told.
func (db *DB) NotSent(ctx context.Context, id int64) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE message SET tries = tries + 1, state = CASE WHEN tries + 1 >= 20 THEN 'failed' ELSE state END WHERE id = ?`, id)
		return err
	})
}

// AskLinkAgain leaves a message with a fresh private link for each entry that
// an address sent to a challenge. It answers alike whether there are any.
func (db *DB) AskLinkAgain(ctx context.Context, challengeID int64, email string) error {
	key, err := challenge.AddressKey(email)
	if err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		type own struct{ dish, person int64 }
		scan := func(r *sql.Rows) (o own, err error) { return o, r.Scan(&o.dish, &o.person) }
		owned, err := rows(ctx, tx, scan, `SELECT entry.dish_id, entrant.person_id FROM address JOIN entrant ON entrant.person_id = address.person_id
			JOIN entry ON entry.dish_id = entrant.dish_id WHERE address.email_key = ? AND entry.challenge_id = ? ORDER BY entry.number LIMIT 20`, key, challengeID)
		if err != nil {
			return err
		}
		for _, o := range owned {
			token, err := newLink(ctx, tx, ForEntrant, challengeID, o.dish, 0)
			if err != nil {
				return err
			}
			if err := addMessage(ctx, tx, c, o.person, messageLink, token); err != nil {
				return err
			}
		}
		return nil
	})
}
