package store

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// A Choice is what a person decided about a dish by hand, and why.
type Choice struct {
	Dish   int64  `json:"dish"`
	Chosen bool   `json:"chosen"`
	Reason string `json:"reason,omitempty"`
}

// A PickState is where a pick stands. Choices are filled only for who may see
// them: the picker, and after the opening everyone the release lets.
type PickState struct {
	SealedAt time.Time
	Choices  []Choice
}

// maxReason bounds a reason or note.
const maxReason = 2000

// Choose saves one choice of a draft of a pick. The cut of a reading round is
// MoveByHand's.
func (db *DB) Choose(ctx context.Context, a challenge.Actor, challengeID, round int64, ch Choice) error {
	if len(ch.Reason) > maxReason {
		return challenge.Refuse(challenge.Invalid, "reason", "The reason is too long: at most %v characters.", maxReason)
	}
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := mayChoose(a, challengeID, r); err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, r.Kind, ch.Dish); err != nil {
			return err
		}
		if at, err := sealedAt(ctx, tx, round); err != nil || !at.IsZero() {
			return errors.Join(err, challenge.Refuse(challenge.Sealed, "", "This pick is sealed; nothing was changed."))
		}
		plan, err := pickPlan(ctx, tx, round)
		if err != nil {
			return err
		}
		if err := plan.mayPickNow(a, tx.now); err != nil {
			return err
		}
		return keepChoice(ctx, tx, round, ch, true)
	})
}

// mayChoose: a pick is the co-host's, or the host's where it is not sealed
// from the host.
func mayChoose(a challenge.Actor, challengeID int64, r challenge.Round) error {
	switch {
	case r.Kind != challenge.Pick:
		return challenge.NotFound("There is no such round in this challenge.")
	case a.Role == challenge.Host && !r.Params.Sealed:
		return nil
	}
	return challenge.May(a, challenge.MakePick, challengeID)
}

func sealedAt(ctx context.Context, q querier, round int64) (time.Time, error) {
	var at int64
	err := q.QueryRowContext(ctx, `SELECT sealed_at FROM pick_seal WHERE round_id = ?`, round).Scan(&at)
	if errors.Is(err, sql.ErrNoRows) {
		return time.Time{}, nil
	}
	return moment(at), err
}

func choicesOf(ctx context.Context, q querier, round int64) ([]Choice, error) {
	scan := func(r *sql.Rows) (c Choice, err error) { return c, r.Scan(&c.Dish, &c.Chosen, &c.Reason) }
	return rows(ctx, q, scan, `SELECT choice.dish_id, chosen, reason FROM choice
		JOIN round_in ON round_in.round_id = choice.round_id AND round_in.dish_id = choice.dish_id
		LEFT JOIN entry ON entry.dish_id = choice.dish_id
		WHERE choice.round_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY round_in.place`, round)
}

// PickState says where a pick or a cut stands. Until the round is closed, a
// sealed pick shows its choices to the picker alone.
func (db *DB) PickState(ctx context.Context, a challenge.Actor, challengeID, round int64) (p PickState, err error) {
	err = db.read(ctx, func(q querier) error {
		_, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		if p.SealedAt, err = sealedAt(ctx, q, round); err != nil {
			return err
		}
		open := r.State == challenge.Done && challenge.May(a, challenge.SeeMarks, challengeID) == nil
		if mayChoose(a, challengeID, r) == nil || open {
			p.Choices, err = choicesOf(ctx, q, round)
		}
		return err
	})
	return p, err
}

// SealPick ends the picking: the choice is committed to the ledger and nobody
// can change it. It stays unseen until the round is closed.
func (db *DB) SealPick(ctx context.Context, a challenge.Actor, challengeID, round int64) error {
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := mayChoose(a, challengeID, r); err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Pick, 0); err != nil {
			return err
		}
		plan, err := pickPlan(ctx, tx, round)
		if err != nil {
			return err
		}
		if err := plan.mayPickNow(a, tx.now); err != nil {
			return err
		}
		document, err := pickDocument(ctx, tx, r)
		if err != nil {
			return err
		}
		res, err := tx.ExecContext(ctx, `INSERT INTO pick_seal (round_id, by_id, sealed_at) VALUES (?, ?, ?) ON CONFLICT DO NOTHING`,
			round, readerID(a), millis(tx.now))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, challenge.Refuse(challenge.Stale, "", "This pick is sealed already; nothing was changed."))
		}
		return record(ctx, tx, challengeID, challenge.Event{Kind: challenge.EventPickSealed, Round: r.Position, By: a.Role,
			Detail: pickSeal{hexSum(document)}})
	})
}

// A pickSeal commits to a pick while it is sealed. The words of the picker stay
// in the round's record, where they can be erased.
type pickSeal struct {
	Document string `json:"document"` // hex SHA-256 of the pick
}

// pickDocument writes a pick down, and refuses one that is not complete: every
// finalist has its sentence why.
func pickDocument(ctx context.Context, q querier, r challenge.Round) ([]byte, error) {
	in, err := pickDishesOf(ctx, q, r.ID)
	if err != nil {
		return nil, err
	}
	picked, err := pickedDishes(ctx, q, r.ID)
	if err != nil {
		return nil, err
	}
	if want := min(r.Params.Keep, len(in)); len(picked) != want {
		return nil, challenge.Refuse(challenge.Invalid, "", "Finalists wanted: %v. Chosen so far: %v.", want, len(picked))
	}
	var bad challenge.Refusals
	for _, d := range picked {
		if strings.TrimSpace(d.Reason) == "" {
			bad.Add(reasonField(d.Dish), "Say in one sentence why it is a finalist. The rest of your pick is kept.")
		}
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	return ledger.Canonical(picked)
}

// pickedDishes are the finalists that still take part.
func pickedDishes(ctx context.Context, q querier, round int64) ([]pickedDish, error) {
	all, err := choicesOf(ctx, q, round)
	if err != nil {
		return nil, err
	}
	var ids []int64
	reasons := map[int64]string{}
	for _, c := range all {
		if c.Chosen {
			ids, reasons[c.Dish] = append(ids, c.Dish), c.Reason
		}
	}
	ds, err := dishesByID(ctx, q, ids)
	if err != nil {
		return nil, err
	}
	doc := make([]pickedDish, 0, len(ds))
	for _, d := range ds {
		doc = append(doc, pickedDish{d.ID, d.Label(), reasons[d.ID]})
	}
	return doc, nil
}

type pickedDish struct {
	Dish   int64  `json:"dish"`
	Label  string `json:"label"`
	Reason string `json:"reason"`
}

// closePick opens the sealed pick. A finalist who withdrew since then is missing
// from it; the seal in the ledger still says who was picked.
func closePick(ctx context.Context, tx *Tx, _ challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	at, err := sealedAt(ctx, tx, r.ID)
	if err != nil {
		return nil, nil, err
	}
	if at.IsZero() {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "The pick has not been sealed yet. It can be opened when its picker has finished.")
	}
	picked, err := pickedDishes(ctx, tx, r.ID)
	if err != nil {
		return nil, nil, err
	}
	document, err := ledger.Canonical(picked)
	if err != nil {
		return nil, nil, err
	}
	var out []challenge.Placing
	for i, p := range picked {
		out = append(out, challenge.Placing{Dish: p.Dish, Rank: i + 1, Through: true, Note: p.Reason})
	}
	return document, out, nil
}
