package store

import (
	"context"

	"fairladle/challenge"
	"fairladle/challenge/intake"
)

// Export returns every recipe that takes part, for taking out: in the words
// that blind pages show, without names or addresses.
func (db *DB) Export(ctx context.Context, a challenge.Actor, challengeID int64) (out []intake.Out, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return nil, err
	}
	err = db.read(ctx, func(q querier) error {
		in, err := rows(ctx, q, scanID, `SELECT dish_id FROM entry WHERE challenge_id = ? AND state = 'in' ORDER BY number`, challengeID)
		if err != nil {
			return err
		}
		for _, dish := range in {
			x, err := recipeOf(ctx, q, dish, 0, true)
			if err != nil {
				return err
			}
			out = append(out, intake.Out{Number: x.Dish.Number, Title: x.Dish.Title, Text: x.Text, Received: x.Received, Reading: x.Reading})
		}
		return nil
	})
	return out, err
}
