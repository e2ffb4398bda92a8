package store

import (
	"context"
	"slices"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// TieOpen says whether a tasting waits for the draw that settles a tie.
func (db *DB) TieOpen(ctx context.Context, round int64) (bool, error) {
	return tieOpen(ctx, db.reads, round)
}

func tieOpen(ctx context.Context, q querier, round int64) (open bool, err error) {
	err = q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM draw WHERE round_id = ?)`, round).Scan(&open)
	return open, err
}

// settleTie opens the draw among tied plates, by their blind codes, or applies
// its result; false means that the draw has still to be rolled.
func settleTie(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, rec *TastingRecord) (bool, error) {
	open, err := tieOpen(ctx, tx, r.ID)
	if err != nil {
		return false, err
	}
	if !open {
		return false, openTieDraw(ctx, tx, c, r, rec)
	}
	x, err := drawOf(ctx, tx, r.ID)
	if err != nil {
		return false, err
	}
	if !x.state.Done {
		return false, challenge.Refuse(challenge.Shut, "", "The tie is not settled yet: roll the die until every place is filled.")
	}
	for _, group := range slices.Clone(rec.Verdict.NeedsDraw) {
		var order []int64
		for _, code := range x.state.Result {
			if p := rec.plateByCode(code); slices.Contains(group, p) {
				order = append(order, p)
			}
		}
		if rec.Verdict, err = rec.Verdict.Drawn(order); err != nil {
			return false, err
		}
	}
	rec.Draw, err = recordOutcome(ctx, tx, c, r, x)
	return true, err
}

func (rec TastingRecord) plateByCode(code int) int64 {
	for _, p := range rec.Plates {
		if p.Code == code {
			return p.ID
		}
	}
	return 0
}

// openTieDraw freezes a roster of the tied plates: the number of each is its
// blind code, its commitment the salted one of the plate's recipe.
func openTieDraw(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, rec *TastingRecord) error {
	var roster draw.Roster
	for _, p := range rec.Plates {
		if !slices.ContainsFunc(rec.Verdict.NeedsDraw, func(g []int64) bool { return slices.Contains(g, p.ID) }) {
			continue
		}
		t := draw.Ticket{Number: p.Code, Weight: 1}
		var content []byte
		if err := tx.QueryRowContext(ctx, `SELECT content FROM dish_version WHERE dish_id = ? AND version = ?`, p.Dish.ID, p.Version).Scan(&content); err != nil {
			return err
		}
		copy(t.Commitment[:], content)
		roster = append(roster, t)
	}
	plan := draw.Plan{Draw: drawName(c, r) + ", tie", Challenge: c.Title, Method: draw.ByDice, Dice: &draw.Dice{Faces: []int{20}},
		Places: len(roster), AnnouncedAt: draw.At(tx.now)}
	if at := c.ReleaseOf(r); at.After(tx.now) {
		plan.ReleaseAt = draw.At(at)
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO draw (round_id, plan) VALUES (?, ?)`, r.ID, jsonText(plan)); err != nil {
		return err
	}
	return freezeRoster(ctx, tx, c, r, roster)
}
