package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"strings"
	"time"

	"fairladle/challenge"
)

// ReopenRound takes the closing of a round back, with a reason that stays
// visible. What came out is forgotten; the record stays, as the one that was
// closed then.
func (db *DB) ReopenRound(ctx context.Context, a challenge.Actor, id, round int64, reason string) error {
	if err := challenge.May(a, challenge.RunRound, id); err != nil {
		return err
	}
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxReason {
		return challenge.Refuse(challenge.Invalid, "reopen_reason", "Say in a sentence why it is opened again; it stays visible.")
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, id, round)
		if err != nil {
			return err
		}
		if err := c.MayReopen(r, tx.now); err != nil {
			return err
		}
		if drawn, err := tieOpen(ctx, tx, round); err != nil || drawn {
			return orRefuse(err, challenge.Refuse(challenge.Shut, "", "A draw decided in this round, and a draw is never repeated. It cannot be opened again."))
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO round_reopened (round_id, document, reason, at) SELECT id, document, ?, ? FROM round WHERE id = ?`,
			reason, millis(tx.now), round); err != nil {
			return err
		}
		if err := execAll(ctx, tx, round, `DELETE FROM round_out WHERE round_id = ?`, `DELETE FROM pick_seal WHERE round_id = ?`,
			`UPDATE round SET state = 'open', closed_at = 0, document = NULL WHERE id = ?`); err != nil {
			return err
		}
		return record(ctx, tx, id, challenge.Event{Kind: challenge.EventReopened, Round: r.Position, By: a.Role, Reason: reason})
	})
}

// orRefuse is err where there is one, and the refusal otherwise.
func orRefuse(err error, refusal *challenge.Refusal) error {
	if err != nil {
		return err
	}
	return refusal
}

// A Correction is what was put right about a closed round. Number 0 is the
// round as a whole.
type Correction struct {
	Number   int
	Move     challenge.Move
	Reason   string
	At       time.Time
	Reopened bool // its closing was taken back
}

// CorrectRound puts something right about a closed round, where the next one
// has begun. An entry can be moved as long as the next round can take it.
func (db *DB) CorrectRound(ctx context.Context, a challenge.Actor, id, round int64, x Correction) error {
	if err := challenge.May(a, challenge.RunRound, id); err != nil {
		return err
	}
	x.Reason = strings.TrimSpace(x.Reason)
	if len(x.Reason) > maxReason {
		return challenge.Refuse(challenge.Invalid, "reason", "The reason is too long: at most %v characters.", maxReason)
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, id, round)
		if err != nil {
			return err
		}
		if err := c.MayCorrect(r, x.Move, x.Reason, tx.now); err != nil {
			return err
		}
		var dish sql.NullInt64
		if x.Number != 0 || x.Move != challenge.MoveNone {
			if dish.Int64, err = outOf(ctx, tx, c, r, x); err != nil {
				return err
			}
			dish.Valid = true
		}
		if x.Move != challenge.MoveNone {
			if err := moveOn(ctx, tx, c, r, dish.Int64, x.Move); err != nil {
				return err
			}
		}
		leaf, err := recordLeaf(ctx, tx, id, challenge.Event{Kind: challenge.EventCorrected, Round: r.Position, Entry: x.Number, By: a.Role,
			Reason: x.Reason, Detail: corrected{x.Move}})
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO round_correction (round_id, dish_id, move, reason, at, leaf) VALUES (?, ?, ?, ?, ?, ?)`,
			round, dish, x.Move, x.Reason, millis(tx.now), leaf)
		return err
	})
}

// corrected is the detail of a correction's event.
type corrected struct {
	Move challenge.Move `json:"move"`
}

// outOf is the dish of an entry that came out of the round, on the side from
// which the move takes it.
func outOf(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, x Correction) (dish int64, err error) {
	var through bool
	var state string
	err = tx.QueryRowContext(ctx, `SELECT entry.dish_id, round_out.through, entry.state FROM entry
		JOIN round_out ON round_out.round_id = ? AND round_out.dish_id = entry.dish_id WHERE entry.challenge_id = ? AND entry.number = ?`,
		r.ID, c.ID, x.Number).Scan(&dish, &through, &state)
	switch {
	case err != nil:
		if err = ignoreNoRows(err); err == nil {
			err = challenge.Refuse(challenge.Invalid, "number", "Give the number of a recipe that was part of the round.")
		}
	case x.Move == challenge.MoveIn && through, x.Move == challenge.MoveOut && !through:
		err = challenge.Refuse(challenge.Invalid, "number", "This is how No. %v stands already; nothing was changed.", x.Number)
	case x.Move == challenge.MoveIn && state != "in":
		err = challenge.Refuse(challenge.Invalid, "number", "No. %v takes no part. Take it back in first.", x.Number)
	}
	return dish, err
}

// moveOn lets an entry into the next round after all, or takes it out of it.
func moveOn(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, dish int64, move challenge.Move) error {
	next, _ := c.Receiver(r) // MayCorrect has asked
	if at, err := sealedAt(ctx, tx, next.ID); err != nil || !at.IsZero() {
		return orRefuse(err, challenge.Refuse(challenge.Sealed, "move", "“%v” is sealed, so nothing can move into it or out of it. Put the correction on record only.", next.Title))
	}
	if _, err := tx.ExecContext(ctx, `UPDATE round_out SET through = ? WHERE round_id = ? AND dish_id = ?`, move == challenge.MoveIn, r.ID, dish); err != nil {
		return err
	}
	if move == challenge.MoveIn {
		if _, err := tx.ExecContext(ctx, `INSERT INTO round_in (round_id, dish_id, place)
			SELECT ?1, ?2, 1 + COALESCE(max(place), 0) FROM round_in WHERE round_id = ?1`, next.ID, dish); err != nil {
			return err
		}
	} else {
		for _, q := range []string{`DELETE FROM round_in WHERE round_id = ? AND dish_id = ?`, `DELETE FROM choice WHERE round_id = ? AND dish_id = ?`,
			`DELETE FROM reading_share WHERE round_id = ? AND dish_id = ?`, `DELETE FROM reading_again WHERE round_id = ? AND dish_id = ?`} {
			if _, err := tx.ExecContext(ctx, q, next.ID, dish); err != nil {
				return err
			}
		}
	}
	if next.Kind != challenge.Reading {
		return nil
	}
	return deal(ctx, tx, c, next)
}

// Corrections lists what was put right about a closed round, oldest first, for
// those who may see its outcome.
func (db *DB) Corrections(ctx context.Context, round int64) ([]Correction, error) {
	return roundCorrections(ctx, db.reads, round)
}

func roundCorrections(ctx context.Context, q querier, round int64) ([]Correction, error) {
	scan := func(r *sql.Rows) (x Correction, err error) {
		var at int64
		err = r.Scan(&x.Number, &x.Move, &x.Reason, &at, &x.Reopened)
		x.At = moment(at)
		return x, err
	}
	return rows(ctx, q, scan, `SELECT COALESCE(entry.number, 0), move, reason, at, 0 FROM round_correction
			LEFT JOIN entry ON entry.dish_id = round_correction.dish_id WHERE round_id = ?1
		UNION ALL SELECT 0, '', reason, at, 1 FROM round_reopened WHERE round_id = ?1 ORDER BY 4`, round)
}

// MoveRelease gives a round that has begun another release time; zero is the
// challenge's own.
func (db *DB) MoveRelease(ctx context.Context, a challenge.Actor, id, round int64, to time.Time, reason string) error {
	if err := challenge.May(a, challenge.EditChallenge, id); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, id, round)
		if err != nil {
			return err
		}
		reason = strings.TrimSpace(reason)
		if err := c.MayMoveRelease(r, to, reason, tx.now); err != nil {
			return err
		}
		var fixed bool
		if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM draw WHERE round_id = ? AND leaf >= 0)`, round).Scan(&fixed); err != nil || fixed {
			return orRefuse(err, challenge.Refuse(challenge.Shut, "release_at", "The release time was fixed together with the list of the draw and cannot change any more."))
		}
		if _, err := tx.ExecContext(ctx, `UPDATE round SET release_at = ? WHERE id = ?`, millis(to), round); err != nil {
			return err
		}
		moved := r
		moved.ReleaseAt = to
		return record(ctx, tx, id, challenge.Event{Kind: challenge.EventReleaseChanged, Round: r.Position, By: a.Role, Reason: reason,
			Detail: map[string]string{"from": stamp(c.ReleaseOf(r)), "to": stamp(c.ReleaseOf(moved))}})
	})
}

func stamp(at time.Time) string { return at.UTC().Format(challenge.Stamp) }

// corrections compares each stored correction with the leaf that holds it.
func (k checking) corrections() error {
	type stored struct {
		leaf   int64
		number int
		move   challenge.Move
		reason string
	}
	scan := func(r *sql.Rows) (s stored, err error) { return s, r.Scan(&s.leaf, &s.number, &s.move, &s.reason) }
	all, err := rows(k.ctx, k.q, scan, `SELECT x.leaf, COALESCE(entry.number, 0), x.move, x.reason FROM round_correction x
		JOIN round ON round.id = x.round_id LEFT JOIN entry ON entry.dish_id = x.dish_id WHERE round.challenge_id = ? ORDER BY x.leaf`, k.id)
	for _, s := range all {
		k.expect(s.leaf, func(body []byte) bool {
			var e struct {
				Entry  int
				Reason string
				Detail corrected
			}
			return json.Unmarshal(body, &e) == nil && e.Entry == s.number && e.Reason == s.reason && e.Detail.Move == s.move
		}, "the stored correction is not what was recorded")
	}
	return err
}
