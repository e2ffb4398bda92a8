package store

import (
	"context"
	"slices"

	"fairladle/challenge"
)

// StartNext makes the draft of the challenge that follows another, with its
// rules, rounds, criteria and kitchen. Whoever is asked again gets a private
// link of the new challenge; where an address is known, by a message.
func (db *DB) StartNext(ctx context.Context, a challenge.Actor, from int64, x challenge.Next) (slug string, err error) {
	if err := challenge.May(a, challenge.EditChallenge, from); err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, from)
		if err != nil {
			return err
		}
		if err := x.Check(c); err != nil {
			return err
		}
		var id int64
		if id, slug, err = insertChallenge(ctx, tx, x.SettingsAfter(c), x.RoundsAfter(c)); err != nil {
			return err
		}
		if err := joinSeason(ctx, tx, x, from, id); err != nil {
			return err
		}
		return inviteAgain(ctx, tx, c, id, x)
	})
	return slug, err
}

func joinSeason(ctx context.Context, tx *Tx, x challenge.Next, from, next int64) (err error) {
	in := x.Season
	if x.NewSeason != "" {
		if in, _, err = newSeason(ctx, tx, x.NewSeason); err != nil {
			return err
		}
		if err := putInSeason(ctx, tx, in, from); err != nil {
			return err
		}
	}
	if in == 0 {
		return nil
	}
	return putInSeason(ctx, tx, in, next)
}

// inviteAgain carries people over. What a judge declared or chose for the
// challenge before, diets and credits, is asked anew.
func inviteAgain(ctx context.Context, tx *Tx, before challenge.Challenge, next int64, x challenge.Next) error {
	people, err := participants(ctx, tx, before.ID)
	if err != nil {
		return err
	}
	after, err := challengeByID(ctx, tx, next)
	if err != nil {
		return err
	}
	for _, p := range people {
		if p.Removed || !slices.Contains(x.Invite, p.ID) {
			continue
		}
		if err := carryOver(ctx, tx, after, p); err != nil {
			return err
		}
	}
	return nil
}

func carryOver(ctx context.Context, tx *Tx, c challenge.Challenge, p Participant) error {
	var id, person int64
	var reachable bool
	err := tx.QueryRowContext(ctx, `INSERT INTO participant (challenge_id, role, person_id, pictures, created_at)
		SELECT ?, role, person_id, pictures, ? FROM participant WHERE id = ? RETURNING id, person_id`, c.ID, millis(tx.now), p.ID).Scan(&id, &person)
	if err != nil {
		return err
	}
	if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM address WHERE person_id = ?)`, person).Scan(&reachable); err != nil || !reachable {
		return err
	}
	token, err := newLink(ctx, tx, purposes[p.Role], c.ID, id, 0)
	if err != nil {
		return err
	}
	return addMessage(ctx, tx, c, person, invitation(p.Role), token)
}
