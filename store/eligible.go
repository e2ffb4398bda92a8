package store

import (
	"context"
	"database/sql"
	"strings"
	"time"

	"fairladle/challenge"
)

// A Bar says why an entry takes no part, for the record and for its author.
type Bar struct {
	Cause    challenge.Cause
	Reason   string // the host's own
	Words    string // what the entrant reads
	At       time.Time
	LiftedAt time.Time
	Lifted   string // why it was taken back in
}

// Bar takes an entry out for a stated cause. other is the entry it doubles, 0
// for none. The entrant finds words on the private page, and a message in the
// outbox says that there is news.
func (db *DB) Bar(ctx context.Context, a challenge.Actor, challengeID, dish int64, b Bar, other int64) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	b.Reason, b.Words = strings.TrimSpace(b.Reason), strings.TrimSpace(b.Words)
	if err := checkBar(b); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		number, err := entryInChallenge(ctx, tx, challengeID, dish)
		if err != nil {
			return err
		}
		res, err := tx.ExecContext(ctx, `UPDATE entry SET state = 'barred' WHERE dish_id = ? AND state = 'in'`, dish)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return challenge.Refuse(challenge.Stale, "", "This entry takes no part any more; nothing was changed.")
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO bar (dish_id, cause, reason, words, at) VALUES (?, ?, ?, ?, ?)`,
			dish, b.Cause, b.Reason, b.Words, millis(tx.now)); err != nil {
			return err
		}
		if other != 0 {
			if err := decideAlike(ctx, tx, dish, other, "barred", b.Reason); err != nil {
				return err
			}
		}
		if err := record(ctx, tx, challengeID, challenge.Event{Kind: challenge.EventBarred, Entry: number, By: a.Role,
			Detail: map[string]string{"cause": string(b.Cause)}, Reason: b.Reason}); err != nil {
			return err
		}
		return tellEntrant(ctx, tx, challengeID, dish, messageNews)
	})
}

func checkBar(b Bar) error {
	var bad challenge.Refusals
	if !b.Cause.Known() {
		bad.Add("cause", "Choose one of the causes in the list.")
	}
	if b.Reason == "" || len(b.Reason) > maxReason {
		bad.Add("reason", "Say in a sentence why; it is kept with the record.")
	}
	if b.Words == "" || len(b.Words) > maxReason {
		bad.Add("words", "Write what the entrant reads on the private page.")
	}
	return bad.Err()
}

func entryInChallenge(ctx context.Context, q querier, challengeID, dish int64) (number int, err error) {
	err = q.QueryRowContext(ctx, `SELECT number FROM entry WHERE dish_id = ? AND challenge_id = ?`, dish, challengeID).Scan(&number)
	return number, missing(err, noEntry)
}

// tellEntrant leaves a message with a fresh private link for the author of an
// entry, without telling anyone who that is.
func tellEntrant(ctx context.Context, tx *Tx, challengeID, dish int64, k messageKind) error {
	var person int64
	if err := tx.QueryRowContext(ctx, `SELECT person_id FROM entrant WHERE dish_id = ?`, dish).Scan(&person); err != nil {
		return missing(err, noEntry)
	}
	token, err := newLink(ctx, tx, ForEntrant, challengeID, dish, 0)
	if err != nil {
		return err
	}
	return addEntryMessage(ctx, tx, challengeID, person, dish, k, token)
}

// LiftBar takes a barred entry back in. That is possible until a round has
// been opened or closed without it.
func (db *DB) LiftBar(ctx context.Context, a challenge.Actor, challengeID, dish int64, reason string) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxReason {
		return challenge.Refuse(challenge.Invalid, "lifted", "Say in a sentence why it takes part again; it is kept with the record.")
	}
	return db.write(ctx, func(tx *Tx) error {
		number, err := entryInChallenge(ctx, tx, challengeID, dish)
		if err != nil {
			return err
		}
		bars, err := barsOf(ctx, tx, dish)
		if err != nil {
			return err
		}
		if len(bars) == 0 || !bars[len(bars)-1].LiftedAt.IsZero() {
			return challenge.Refuse(challenge.Stale, "", "This entry takes part; nothing was changed.")
		}
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		if r, moved := c.MovedSince(bars[len(bars)-1].At); moved {
			return challenge.Refuse(challenge.Shut, "", "“%s” went on without this entry since then. It cannot come back any more.", r.Title)
		}
		if _, err := tx.ExecContext(ctx, `UPDATE bar SET lifted_at = ?, lifted = ? WHERE dish_id = ? AND lifted_at = 0`, millis(tx.now), reason, dish); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE entry SET state = 'in' WHERE dish_id = ?`, dish); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE alike SET decision = '', reason = '', decided_at = 0 WHERE decision = 'barred' AND (first_id = ?1 OR second_id = ?1)`, dish); err != nil {
			return err
		}
		if err := record(ctx, tx, challengeID, challenge.Event{Kind: challenge.EventReadmitted, Entry: number, By: a.Role, Reason: reason}); err != nil {
			return err
		}
		if err := tellEntrant(ctx, tx, challengeID, dish, messageNews); err != nil {
			return err
		}
		return dealAgain(ctx, tx, challengeID)
	})
}

// Bars lists what was decided about an entry's part, oldest first, for the
// host's team.
func (db *DB) Bars(ctx context.Context, a challenge.Actor, challengeID, dish int64) ([]Bar, error) {
	if err := challenge.May(a, challenge.SeeField, challengeID); err != nil {
		return nil, err
	}
	return barsOf(ctx, db.reads, dish)
}

func barsOf(ctx context.Context, q querier, dish int64) ([]Bar, error) {
	scan := func(r *sql.Rows) (b Bar, err error) {
		var at, lifted int64
		err = r.Scan(&b.Cause, &b.Reason, &b.Words, &at, &lifted, &b.Lifted)
		b.At, b.LiftedAt = moment(at), moment(lifted)
		return b, err
	}
	return rows(ctx, q, scan, `SELECT cause, reason, words, at, lifted_at, lifted FROM bar WHERE dish_id = ? ORDER BY id`, dish)
}

// OwnBar is what the author of a barred entry reads; ok is false for an entry
// that takes part.
func (db *DB) OwnBar(ctx context.Context, a challenge.Actor) (b Bar, ok bool, err error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return b, false, err
	}
	bars, err := barsOf(ctx, db.reads, a.ID)
	if err != nil || len(bars) == 0 || !bars[len(bars)-1].LiftedAt.IsZero() {
		return b, false, err
	}
	last := bars[len(bars)-1]
	return Bar{Cause: last.Cause, Words: last.Words, At: last.At}, true, nil
}

// EntryState says whether an entry takes part: in, withdrawn or barred.
func (db *DB) EntryState(ctx context.Context, challengeID, dish int64) (state string, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT state FROM entry WHERE dish_id = ? AND challenge_id = ?`, dish, challengeID).Scan(&state)
	return state, missing(err, noEntry)
}
