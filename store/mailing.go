package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// A Mailing is what can be told of a challenge, and how far its messages are.
type Mailing struct {
	challenge.Mailing
	People     int       // who would be told now: with an address, and not stopped
	Without    int       // who has no address
	ReleasedAt time.Time // by the host; zero while it is not
	MadeAt     time.Time // when the messages were made
	Sent       int
	Waiting    int
	Failed     int
}

// Mailings lists what can be told of a challenge.
func (db *DB) Mailings(ctx context.Context, a challenge.Actor, challengeID int64) (out []Mailing, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return nil, err
	}
	err = db.read(ctx, func(q querier) error {
		c, err := challengeByID(ctx, q, challengeID)
		if err != nil {
			return err
		}
		for _, m := range c.Mailings(db.now()) {
			x := Mailing{Mailing: m}
			if err := x.load(ctx, q, challengeID); err != nil {
				return err
			}
			out = append(out, x)
		}
		return nil
	})
	return out, err
}

func (m *Mailing) load(ctx context.Context, q querier, challengeID int64) error {
	people, without, err := recipients(ctx, q, challengeID, m.Mailing)
	if err != nil {
		return err
	}
	m.People, m.Without = len(people), without
	var released, made int64
	err = q.QueryRowContext(ctx, `WITH these AS (SELECT id FROM mailing WHERE challenge_id = ?1 AND round_id = ?2 AND kind = ?3)
		SELECT COALESCE(max(released_at), 0), COALESCE(max(made_at), 0),
		(SELECT count(*) FROM message WHERE mailing_id != 0 AND mailing_id IN these AND state = 'sent'),
		(SELECT count(*) FROM message WHERE mailing_id != 0 AND mailing_id IN these AND state = 'waiting'),
		(SELECT count(*) FROM message WHERE mailing_id != 0 AND mailing_id IN these AND state = 'failed')
		FROM mailing WHERE challenge_id = ?1 AND round_id = ?2 AND kind = ?3`, challengeID, m.Round.ID, m.Kind).
		Scan(&released, &made, &m.Sent, &m.Waiting, &m.Failed)
	m.ReleasedAt, m.MadeAt = moment(released), moment(made)
	return err
}

// ReleaseMailing lets a mailing go. Its messages are made by [DB.RunMailings],
// at once or when its outcome is public. A reminder can go again after a day.
func (db *DB) ReleaseMailing(ctx context.Context, a challenge.Actor, challengeID, round int64, kind challenge.MailingKind) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		m, err := c.Mailing(kind, round, tx.now)
		if err != nil {
			return err
		}
		was := Mailing{Mailing: m}
		if err := was.load(ctx, tx, challengeID); err != nil {
			return err
		}
		if err := was.mayRelease(tx.now); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO mailing (challenge_id, round_id, kind, released_at) VALUES (?, ?, ?, ?)`, challengeID, round, kind, millis(tx.now))
		return err
	})
}

// remindAgainAfter keeps people from being reminded more than once a day.
const remindAgainAfter = 24 * time.Hour

func (m Mailing) mayRelease(now time.Time) error {
	switch {
	case m.People == 0:
		return challenge.Refuse(challenge.Shut, "", "There is nobody with an address to tell this.")
	case m.Kind == challenge.Reminder && now.Sub(m.ReleasedAt) < remindAgainAfter:
		return challenge.Refuse(challenge.Often, "", "They were reminded less than a day ago. Let a day pass before you do so again.")
	case m.Kind != challenge.Reminder && !m.ReleasedAt.IsZero():
		return challenge.Refuse(challenge.Stale, "", "This was released already; nobody is told twice.")
	}
	return nil
}

// TakeMailingBack undoes the release of a mailing whose messages are not made
// yet.
func (db *DB) TakeMailingBack(ctx context.Context, a challenge.Actor, challengeID, round int64, kind challenge.MailingKind) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		res, err := tx.ExecContext(ctx, `DELETE FROM mailing WHERE challenge_id = ? AND round_id = ? AND kind = ? AND made_at = 0`, challengeID, round, kind)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return challenge.Refuse(challenge.Stale, "", "The messages are in the outbox already.")
	})
}

// RunMailings makes the messages of every released mailing whose outcome is
// public by now.
func (db *DB) RunMailings(ctx context.Context) error {
	type due struct {
		id, challenge, round int64
		kind                 challenge.MailingKind
	}
	scan := func(r *sql.Rows) (d due, err error) { return d, r.Scan(&d.id, &d.challenge, &d.round, &d.kind) }
	all, err := rows(ctx, db.reads, scan, `SELECT id, challenge_id, round_id, kind FROM mailing WHERE made_at = 0 ORDER BY id`)
	if err != nil {
		return err
	}
	for _, d := range all {
		err := db.write(ctx, func(tx *Tx) error {
			c, err := challengeByID(ctx, tx, d.challenge)
			if err != nil {
				return err
			}
			m, err := c.Mailing(d.kind, d.round, tx.now)
			if err != nil || !m.Ready {
				return nil //nolint:nilerr // a round that was taken back has nothing to tell now
			}
			return makeMailing(ctx, tx, d.id, d.challenge, m)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// makeMailing leaves a message with a fresh private link for each recipient.
func makeMailing(ctx context.Context, tx *Tx, id, challengeID int64, m challenge.Mailing) error {
	res, err := tx.ExecContext(ctx, `UPDATE mailing SET made_at = ? WHERE id = ? AND made_at = 0`, millis(tx.now), id)
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return err
	}
	people, _, err := recipients(ctx, tx, challengeID, m)
	if err != nil {
		return err
	}
	for _, p := range people {
		token, err := newLink(ctx, tx, p.purpose, challengeID, p.subject, 0)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO message (challenge_id, person_id, dish_id, kind, token, created_at, mailing_id) VALUES (?, ?, ?, ?, ?, ?, ?)`,
			challengeID, p.person, p.dish, p.kind, token, millis(tx.now), id); err != nil {
			return err
		}
	}
	return nil
}
