package store

import (
	"context"
	"database/sql"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// A Postponement is a tasting that was put off because too few judges had
// handed in. Sealed sheets stay sealed.
type Postponement struct {
	Until  string    `json:"until"` // a date, YYYY-MM-DD, in the challenge's zone
	Reason string    `json:"reason"`
	Judges int       `json:"judges"` // who had handed in by then
	At     time.Time `json:"at"`
}

// Postpone puts a tasting off to another day, where the locked rule says so and
// too few judges have handed in. It stays open: what is sealed stays, and the
// rest can be handed in until then.
func (db *DB) Postpone(ctx context.Context, a challenge.Actor, challengeID, round int64, until, reason string) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxComment {
		return challenge.Refuse(challenge.Invalid, "postpone", "Say in a sentence why; judges read it.")
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		day, err := time.ParseInLocation(time.DateOnly, until, c.Location())
		if err != nil || day.AddDate(0, 0, 1).Before(tx.now) || day.After(tx.now.AddDate(1, 0, 0)) {
			return challenge.Refuse(challenge.Invalid, "until", "Choose a day from today on, within a year.")
		}
		judges, err := mayPostpone(ctx, tx, r)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO postponement (round_id, until, reason, judges, at) VALUES (?, ?, ?, ?, ?)`, r.ID, until, reason, judges, millis(tx.now)); err != nil {
			return err
		}
		return record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventPostponed, Round: r.Position, By: a.Role, Reason: reason,
			Detail: map[string]any{"until": until, "judges": judges}})
	})
}

func mayPostpone(ctx context.Context, tx *Tx, r challenge.Round) (judges int, err error) {
	if err := roundUnderWay(ctx, tx, r.Challenge, r.ID, challenge.Tasting, 0); err != nil {
		return 0, err
	}
	rule := r.Params.Rule
	if rule.Below != tasting.Postpone {
		return 0, challenge.Refuse(challenge.Shut, "", "The rules of this tasting do not have it put off.")
	}
	if judges, err = handedIn(ctx, tx, r); err == nil && judges >= rule.SmallestPanel {
		err = challenge.Refuse(challenge.Shut, "", "Enough judges have handed in; there is nothing to put off.")
	}
	return judges, err
}

// handedIn counts the judges with a sealed sheet for a plate that counts.
func handedIn(ctx context.Context, q querier, r challenge.Round) (n int, err error) {
	err = q.QueryRowContext(ctx, `SELECT count(DISTINCT judge_id) FROM sheet JOIN tasting_plate t ON t.round_id = sheet.round_id
		AND t.plate_id = sheet.plate_id AND t.withdrawn = 0 JOIN plate ON plate.id = sheet.plate_id
		WHERE sheet.round_id = ? AND sealed_at > 0
		AND NOT EXISTS (SELECT 1 FROM conflict WHERE conflict.judge_id = sheet.judge_id AND conflict.dish_id = plate.dish_id AND lifted_at = 0)`, r.ID).Scan(&n)
	return n, err
}

// Postponements are those of a tasting, the newest last.
func (db *DB) Postponements(ctx context.Context, round int64) ([]Postponement, error) {
	return postponements(ctx, db.reads, round)
}

func postponements(ctx context.Context, q querier, round int64) ([]Postponement, error) {
	scan := func(r *sql.Rows) (p Postponement, err error) {
		var at int64
		err = r.Scan(&p.Until, &p.Reason, &p.Judges, &at)
		p.At = moment(at)
		return p, err
	}
	return rows(ctx, q, scan, `SELECT until, reason, judges, at FROM postponement WHERE round_id = ? ORDER BY id`, round)
}

// mayClosePostponed keeps a tasting open that the rules want put off: it can
// be given up, without a verdict, once the day that it was put off to has come.
func mayClosePostponed(ctx context.Context, tx *Tx, c challenge.Challenge, v tasting.Verdict, all []Postponement) error {
	if v.Outcome != tasting.TooFew || v.Below != tasting.Postpone {
		return nil
	}
	if len(all) == 0 {
		return challenge.Refuse(challenge.Shut, "", "Too few judges have handed in, and by the rules the tasting is put off then. Put it off to another day; sealed sheets stay.")
	}
	if until := all[len(all)-1].Until; tx.now.In(c.Location()).Format(time.DateOnly) < until {
		return challenge.Refuse(challenge.Shut, "", "The tasting is put off until %v. It can be closed from then on, or when enough judges have handed in.", until)
	}
	return nil
}
