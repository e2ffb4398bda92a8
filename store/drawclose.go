package store

import (
	"context"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// closeDraw writes the record of a finished draw. The first place goes
// through; alternates stand ready behind it.
//
// A draw declared void decides nothing: everyone on its list goes through, to
// whatever draw is planned next.
func closeDraw(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	x, err := drawOf(ctx, tx, r.ID)
	if err != nil {
		return nil, nil, err
	}
	state := x.state
	if !state.Done && !state.Void {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "The draw is not finished: there are places left to fill.")
	}
	if !state.Plan.Frozen() {
		document, err := ledger.Canonical(abandoned{Draw: state.Plan.Draw, Void: true, Events: x.events})
		if err != nil {
			return nil, nil, err
		}
		out, err := everyoneThrough(ctx, tx, r)
		return document, out, err
	}
	document, err := recordOutcome(ctx, tx, c, r, x)
	if err != nil {
		return nil, nil, err
	}
	if state.Void {
		out, err := everyoneThrough(ctx, tx, r)
		return document, out, err
	}
	var out []challenge.Placing
	for i, number := range state.Result {
		var dish int64
		if err := tx.QueryRowContext(ctx, `SELECT dish_id FROM entry WHERE challenge_id = ? AND number = ?`, c.ID, number).Scan(&dish); err != nil {
			return nil, nil, err
		}
		out = append(out, challenge.Placing{Dish: dish, Rank: i + 1, Through: i == 0})
	}
	return document, out, nil
}

// abandoned is the document of a draw declared void before its list was
// fixed: there is nothing to verify in it.
type abandoned struct {
	Draw   string       `json:"draw"`
	Void   bool         `json:"void"`
	Events []draw.Event `json:"events"`
}

func everyoneThrough(ctx context.Context, q querier, r challenge.Round) ([]challenge.Placing, error) {
	in, err := rows(ctx, q, scanID, `SELECT dish_id FROM round_in WHERE round_id = ? ORDER BY place`, r.ID)
	out := make([]challenge.Placing, len(in))
	for i, dish := range in {
		out[i] = challenge.Placing{Dish: dish, Rank: i + 1, Through: true, Note: "void"}
	}
	return out, err
}

// recordOutcome commits to the outcome of a draw and writes its record.
func recordOutcome(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, x *course) ([]byte, error) {
	if x.state.Void {
		return x.record(ctx, tx, c, nil)
	}
	body, err := draw.OutcomeBody(x.plan.Draw, x.state.Result)
	if err != nil {
		return nil, err
	}
	leaf, err := recordBody(ctx, tx, c.ID, challenge.EventDraw, r.Position, body)
	if err != nil {
		return nil, err
	}
	return x.record(ctx, tx, c, &leaf)
}
