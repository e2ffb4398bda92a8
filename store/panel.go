package store

import (
	"context"
	"database/sql"
	"strings"

	"fairladle/challenge"
)

// Conflicted is a judge and a dish that must be kept apart.
type Conflicted struct{ Judge, Dish int64 }

// A Conflict says why.
type Conflict struct {
	Conflicted
	Name   string // of the judge
	Title  string // of the dish
	Reason string
}

// Conflicts lists who is kept from which dish. It is for whoever serves.
func (db *DB) Conflicts(ctx context.Context, a challenge.Actor, challengeID int64) ([]Conflict, error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (c Conflict, err error) {
		return c, r.Scan(&c.Judge, &c.Dish, &c.Name, &c.Title, &c.Reason)
	}
	return rows(ctx, db.reads, scan, `SELECT conflict.judge_id, conflict.dish_id, person.name, dish.title, conflict.reason FROM conflict
		JOIN participant ON participant.id = conflict.judge_id JOIN person ON person.id = participant.person_id
		JOIN dish ON dish.id = conflict.dish_id WHERE participant.challenge_id = ? AND lifted_at = 0 ORDER BY person.name, conflict.judge_id, dish.id`, challengeID)
}

func keptApart(ctx context.Context, q querier, challengeID int64) (map[Conflicted]bool, error) {
	scan := func(r *sql.Rows) (c Conflicted, err error) { return c, r.Scan(&c.Judge, &c.Dish) }
	all, err := rows(ctx, q, scan, `SELECT judge_id, conflict.dish_id FROM conflict JOIN participant ON participant.id = judge_id WHERE challenge_id = ? AND lifted_at = 0`, challengeID)
	apart := map[Conflicted]bool{}
	for _, c := range all {
		apart[c] = true
	}
	return apart, err
}

// KeepApart keeps a judge from a dish: it is not served to them, and a sheet
// they have handed in for it does not count. It can be said until the tasting
// closes. The ledger has that it was said; the reason, which may be private,
// stays with the host.
func (db *DB) KeepApart(ctx context.Context, a challenge.Actor, challengeID, round int64, c Conflicted, reason string) error {
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxComment {
		return challenge.Refuse(challenge.Invalid, "conflict", "Say in a sentence what connects them.")
	}
	return db.changeConflict(ctx, a, challengeID, round, c, challenge.EventConflict, func(tx *Tx) (sql.Result, error) {
		return tx.ExecContext(ctx, `INSERT INTO conflict (judge_id, dish_id, reason) VALUES (?, ?, ?)
			ON CONFLICT (judge_id, dish_id) DO UPDATE SET reason = excluded.reason, lifted_at = 0, lifted = ''`, c.Judge, c.Dish, reason)
	})
}

// ServeAgain takes back that a judge is kept from a dish, with a reason. Sheets
// that did not count for it count again.
func (db *DB) ServeAgain(ctx context.Context, a challenge.Actor, challengeID, round int64, c Conflicted, reason string) error {
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxComment {
		return challenge.Refuse(challenge.Invalid, "again", "Say in a sentence why they are no longer kept apart.")
	}
	return db.changeConflict(ctx, a, challengeID, round, c, challenge.EventConflictLifted, func(tx *Tx) (sql.Result, error) {
		return tx.ExecContext(ctx, `UPDATE conflict SET lifted_at = ?, lifted = ? WHERE judge_id = ? AND dish_id = ? AND lifted_at = 0`,
			millis(tx.now), reason, c.Judge, c.Dish)
	})
}

// changeConflict changes what keeps a judge from a dish while that is still
// allowed, and records it where it changed anything.
func (db *DB) changeConflict(ctx context.Context, a challenge.Actor, challengeID, round int64, c Conflicted, kind string, change func(tx *Tx) (sql.Result, error)) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if r.Kind != challenge.Tasting || r.State == challenge.Done {
			return challenge.Refuse(challenge.Shut, "", "The tasting is closed; nothing was changed.")
		}
		if err := mayKeepApart(ctx, tx, r, c); err != nil {
			return err
		}
		labels, err := dishLabels(ctx, tx, []int64{c.Dish})
		if err != nil {
			return err
		}
		res, err := change(tx)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return err
		}
		return record(ctx, tx, challengeID, challenge.Event{Kind: kind, Round: r.Position, By: a.Role,
			Detail: map[string]any{"judge": c.Judge, "dish": labels[0]}})
	})
}

func mayKeepApart(ctx context.Context, tx *Tx, r challenge.Round, c Conflicted) error {
	p, err := participantByID(ctx, tx, r.Challenge, c.Judge)
	if err != nil {
		return err
	}
	var served bool
	if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM plate WHERE challenge_id = ? AND dish_id = ?)`, r.Challenge, c.Dish).Scan(&served); err != nil {
		return err
	}
	if p.Role != challenge.Judge || !served {
		return challenge.Refuse(challenge.Invalid, "conflict", "Choose a judge and a dish.")
	}
	settling, err := tieOpen(ctx, tx, r.ID)
	if err == nil && settling {
		err = challenge.Refuse(challenge.Shut, "", "The sheets are tallied and a tie is being settled; nothing was changed.")
	}
	return err
}
