package store

import (
	"context"
	"encoding/json"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// A cutDraw is the draw among the entries that stand level where the places of
// a reading end.
type cutDraw struct {
	open  bool // its list is fixed
	done  bool
	order []int64 // the dishes drawn, first place first
}

func cutDrawOf(ctx context.Context, q querier, r challenge.Round) (d cutDraw, err error) {
	if r.Params.CutRule().AtCut != "draw" {
		return d, nil
	}
	if d.open, err = tieOpen(ctx, q, r.ID); err != nil || !d.open {
		return d, err
	}
	x, err := drawOf(ctx, q, r.ID)
	if err != nil {
		return d, err
	}
	d.done = x.state.Done
	for _, number := range x.state.Result {
		var dish int64
		if err := q.QueryRowContext(ctx, `SELECT dish_id FROM entry WHERE challenge_id = ? AND number = ?`, r.Challenge, number).Scan(&dish); err != nil {
			return d, err
		}
		d.order = append(d.order, dish)
	}
	return d, nil
}

// settleCut opens the draw at the cut, or writes its record; false means that
// it has still to be rolled.
func settleCut(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, m material, cut Cut) (record json.RawMessage, settled bool, err error) {
	switch {
	case !m.draw.open && len(cut.Level) == 0:
		return nil, true, nil
	case !m.draw.open:
		return nil, false, openCutDraw(ctx, tx, c, r, cut)
	case !m.draw.done:
		return nil, false, challenge.Refuse(challenge.Shut, "", "The draw at the cut is not finished: roll the die until every place is filled.")
	}
	x, err := drawOf(ctx, tx, r.ID)
	if err != nil {
		return nil, false, err
	}
	record, err = recordOutcome(ctx, tx, c, r, x)
	return record, true, err
}

func openCutDraw(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, cut Cut) error {
	ids := make([]int64, len(cut.Level))
	for i, d := range cut.Level {
		ids[i] = d.ID
	}
	var roster draw.Roster
	roster, err := rows(ctx, tx, scanTicket, rosterSelect+`WHERE entry.dish_id IN (SELECT value FROM json_each(?)) ORDER BY entry.number`, jsonText(ids))
	if err != nil {
		return err
	}
	plan := draw.Plan{Draw: drawName(c, r) + ", at the cut", Challenge: c.Title, Method: draw.ByDice, Dice: &draw.Dice{Faces: []int{20}},
		Places: cut.Places, AnnouncedAt: draw.At(tx.now)}
	if at := c.ReleaseOf(r); at.After(tx.now) {
		plan.ReleaseAt = draw.At(at)
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO draw (round_id, plan) VALUES (?, ?)`, r.ID, jsonText(plan)); err != nil {
		return err
	}
	return freezeRoster(ctx, tx, c, r, roster)
}

// beforeTheDraw refuses what would change the field once the draw at the cut
// has its list.
func beforeTheDraw(ctx context.Context, q querier, round int64) error {
	drawing, err := tieOpen(ctx, q, round)
	if err == nil && drawing {
		err = challenge.Refuse(challenge.Shut, "", "The marks are in and a draw decides the last places; nothing was changed.")
	}
	return err
}
