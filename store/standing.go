package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// A Standing says whether an entry stands in a list that was fixed.
type Standing struct {
	// Position is that of the draw's round, 0 for the list of all entries that
	// was fixed when they closed.
	Position int
	Title    string
	FixedAt  time.Time
	In       bool
	// Out says why it is not in the list; it is for the entrant alone.
	Out Cause
	// Unaltered says that the list holds the entry in its newest version.
	Unaltered  bool
	Tickets    int64
	Root       ledger.Hash
	Commitment ledger.Commitment
	// Index is the entry's line in the list, from 0, and Proof shows it under
	// Root.
	Index int64
	Proof ledger.Proof
}

// A Cause is why an entry is not in a list.
type Cause string

// The causes. Publicly an entry that is out is only "not in the list".
const (
	OutWithdrawn Cause = "withdrawn"  // by its entrant
	OutBarred    Cause = "barred"     // by the host
	OutBefore    Cause = "before"     // it did not come so far
	OutStoodBack Cause = "stood-back" // another entry of the same person stands there
	OutLater     Cause = "later"      // it was received after the list was fixed
)

// Standings says of each list fixed so far whether the entrant's entry is in
// it.
func (db *DB) Standings(ctx context.Context, a challenge.Actor) (all []Standing, err error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return nil, err
	}
	err = db.read(ctx, func(q querier) error {
		o, err := ownEntry(ctx, q, a.ID)
		if err != nil {
			return err
		}
		var content []byte
		err = q.QueryRowContext(ctx, `SELECT l.content FROM dish_version v JOIN ledger_leaf l ON l.challenge_id = ? AND l.seq = v.leaf
			WHERE v.dish_id = ? AND v.version = ?`, o.Challenge.ID, a.ID, o.Recipe.Version).Scan(&content)
		if err != nil {
			return err
		}
		all, err = standings(ctx, q, o, ledger.Commitment(content))
		return err
	})
	return all, err
}

func standings(ctx context.Context, q querier, o Own, content ledger.Commitment) ([]Standing, error) {
	l, err := closingList(ctx, q, o.Challenge.ID)
	if err != nil {
		return nil, ignoreNoRows(err)
	}
	s, err := standingAt(Standing{FixedAt: l.FixedAt}, l.List, o.Number, content)
	if err != nil {
		return nil, err
	}
	if !s.In {
		s.Out = causeOf(o.State, OutLater)
	}
	all := []Standing{s}
	for _, r := range o.Challenge.Of(challenge.Draw) {
		if r.State == challenge.Planned {
			continue
		}
		x, err := drawOf(ctx, q, r.ID)
		if err != nil {
			return nil, err
		}
		if !x.plan.Frozen() {
			continue
		}
		s, err := standingAt(Standing{Position: r.Position, Title: r.Title, FixedAt: x.plan.FrozenAt.Time()}, x.list, o.Number, content)
		if err != nil {
			return nil, err
		}
		if !s.In {
			if s.Out, err = outOfDraw(ctx, q, r.ID, o); err != nil {
				return nil, err
			}
		}
		all = append(all, s)
	}
	return all, nil
}

func ignoreNoRows(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	return err
}

func causeOf(state string, other Cause) Cause {
	switch state {
	case "withdrawn":
		return OutWithdrawn
	case "barred":
		return OutBarred
	}
	return other
}

func outOfDraw(ctx context.Context, q querier, round int64, o Own) (Cause, error) {
	var back, went bool
	err := q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM stood_back WHERE round_id = ?1 AND dish_id = ?2),
		EXISTS (SELECT 1 FROM round_in WHERE round_id = ?1 AND dish_id = ?2)`, round, o.Recipe.Dish.ID).Scan(&back, &went)
	switch {
	case back:
		return OutStoodBack, err
	case !went:
		return causeOf(o.State, OutBefore), err
	}
	return causeOf(o.State, ""), err
}
