package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairladle/challenge"
)

// A PickPlan says until when a pick is to be made, and who makes it instead
// from then on.
type PickPlan struct {
	DueAt       time.Time // zero: no deadline
	StandIn     int64     // a co-host; 0 for nobody
	StandInName string
	RemindedAt  time.Time
}

// remindBefore is how long before its deadline a pick is reminded of, once.
const remindBefore = 24 * time.Hour

// PickPlan is the deadline of a pick and its stand-in.
func (db *DB) PickPlan(ctx context.Context, a challenge.Actor, challengeID, round int64) (PickPlan, error) {
	if err := challenge.May(a, challenge.ReadBlind, challengeID); err != nil {
		return PickPlan{}, err
	}
	return pickPlan(ctx, db.reads, round)
}

func pickPlan(ctx context.Context, q querier, round int64) (p PickPlan, err error) {
	var due, reminded int64
	err = q.QueryRowContext(ctx, `SELECT due_at, stand_in, COALESCE(person.name, ''), reminded_at FROM pick_plan
		LEFT JOIN participant ON participant.id = stand_in LEFT JOIN person ON person.id = participant.person_id WHERE round_id = ?`, round).
		Scan(&due, &p.StandIn, &p.StandInName, &reminded)
	if errors.Is(err, sql.ErrNoRows) {
		return p, nil
	}
	p.DueAt, p.RemindedAt = moment(due), moment(reminded)
	return p, err
}

// SetPickPlan changes the deadline and the stand-in of a pick that is not
// sealed yet. A new deadline is reminded of anew.
func (db *DB) SetPickPlan(ctx context.Context, a challenge.Actor, challengeID, round int64, p PickPlan) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		sealed, err := sealedAt(ctx, tx, round)
		if err != nil {
			return err
		}
		if r.Kind != challenge.Pick || r.State == challenge.Done || !sealed.IsZero() {
			return challenge.Refuse(challenge.Sealed, "", "This pick is sealed; nothing was changed.")
		}
		if err := checkStandIn(ctx, tx, challengeID, p); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO pick_plan (round_id, due_at, stand_in) VALUES (?1, ?2, ?3)
			ON CONFLICT DO UPDATE SET reminded_at = CASE WHEN due_at = ?2 THEN reminded_at ELSE 0 END,
			called_at = CASE WHEN due_at = ?2 AND stand_in = ?3 THEN called_at ELSE 0 END, due_at = ?2, stand_in = ?3`,
			round, millis(p.DueAt), p.StandIn); err != nil {
			return err
		}
		type detail struct {
			Due     string `json:"due,omitempty"`
			StandIn bool   `json:"stand_in"`
		}
		d := detail{StandIn: p.StandIn != 0}
		if !p.DueAt.IsZero() {
			d.Due = p.DueAt.UTC().Format(challenge.Stamp)
		}
		return record(ctx, tx, challengeID, challenge.Event{Kind: challenge.EventPickPlan, Round: r.Position, By: a.Role, Detail: d})
	})
}

func checkStandIn(ctx context.Context, tx *Tx, challengeID int64, p PickPlan) error {
	var bad challenge.Refusals
	if !p.DueAt.IsZero() && !p.DueAt.After(tx.now) {
		bad.Add("due_at", "The deadline has to lie in the future.")
	}
	if p.StandIn != 0 {
		who, err := participantByID(ctx, tx, challengeID, p.StandIn)
		if err != nil || who.Removed || who.Role != challenge.Cohost {
			bad.Add("stand_in", "A stand-in is one of the co-hosts. Invite that person as co-host first.")
		}
		if p.DueAt.IsZero() {
			bad.Add("due_at", "Set a deadline; from then on the stand-in makes the pick.")
		}
	}
	return bad.Err()
}

// mayPickNow keeps a stand-in out until the deadline, and everybody else from
// then on.
func (p PickPlan) mayPickNow(a challenge.Actor, now time.Time) error {
	if p.StandIn == 0 || a.Role != challenge.Cohost {
		return nil
	}
	due := !now.Before(p.DueAt)
	switch {
	case a.ID == p.StandIn && !due:
		return challenge.Refuse(challenge.Shut, "", "You are named as stand-in. The pick becomes yours if it has not been made by its deadline.")
	case a.ID != p.StandIn && due:
		return challenge.Refuse(challenge.Shut, "", "The deadline has passed, and the stand-in makes the pick now. Nothing was changed.")
	}
	return nil
}

// RemindPickers leaves one reminder for the pickers of every pick whose
// deadline is near, and one message for a stand-in whose turn has come.
func (db *DB) RemindPickers(ctx context.Context) error {
	now := db.now()
	type due struct {
		round, challenge, standIn int64
		call                      bool
	}
	scan := func(r *sql.Rows) (d due, err error) { return d, r.Scan(&d.round, &d.challenge, &d.standIn, &d.call) }
	const waits = `SELECT pick_plan.round_id, round.challenge_id, pick_plan.stand_in, pick_plan.due_at <= ?1
		FROM pick_plan JOIN round ON round.id = pick_plan.round_id LEFT JOIN pick_seal ON pick_seal.round_id = round.id
		WHERE round.state = 'open' AND pick_seal.round_id IS NULL AND due_at > 0
			AND (due_at > ?1 AND due_at <= ?2 AND reminded_at = 0 OR due_at <= ?1 AND stand_in > 0 AND called_at = 0)`
	args := []any{millis(now), millis(now.Add(remindBefore))}
	waiting, err := rows(ctx, db.reads, scan, waits, args...)
	if err != nil || len(waiting) == 0 {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		waiting, err := rows(ctx, tx, scan, waits, args...)
		for _, d := range waiting {
			if err == nil {
				err = remindOf(ctx, tx, d.round, d.challenge, d.standIn, d.call)
			}
		}
		return err
	})
}

func remindOf(ctx context.Context, tx *Tx, round, challengeID, standIn int64, call bool) error {
	column, kind := "reminded_at", messagePickDue
	if call {
		column, kind = "called_at", messageStandIn
	}
	if _, err := tx.ExecContext(ctx, `UPDATE pick_plan SET `+column+` = ? WHERE round_id = ?`, millis(tx.now), round); err != nil {
		return err
	}
	type picker struct{ id, person int64 }
	scan := func(r *sql.Rows) (p picker, err error) { return p, r.Scan(&p.id, &p.person) }
	all, err := rows(ctx, tx, scan, `SELECT participant.id, participant.person_id FROM participant JOIN address ON address.person_id = participant.person_id
		WHERE challenge_id = ?1 AND role = 'cohost' AND removed_at = 0 AND (participant.id = ?2) = ?3 ORDER BY participant.id`, challengeID, standIn, call)
	if err != nil {
		return err
	}
	c, err := challengeByID(ctx, tx, challengeID)
	if err != nil {
		return err
	}
	for _, p := range all {
		token, err := newLink(ctx, tx, ForCohost, challengeID, p.id, 0)
		if err != nil {
			return err
		}
		if err := addMessage(ctx, tx, c, p.person, kind, token); err != nil {
			return err
		}
	}
	return nil
}

// PickDishes lists what a pick chooses from: what went in and still takes
// part.
func (db *DB) PickDishes(ctx context.Context, round int64) ([]Dish, error) {
	return pickDishesOf(ctx, db.reads, round)
}

func pickDishesOf(ctx context.Context, q querier, round int64) ([]Dish, error) {
	return rows(ctx, q, scanDish, dishSelect+`JOIN round_in ON round_in.dish_id = dish.id
		WHERE round_in.round_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY round_in.place`, round)
}
