package store

import (
	"context"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// criteriaFor are the criteria that somebody scores: all, or for a judge who
// sees pictures only those that need no tasting.
func criteriaFor(ctx context.Context, q querier, a challenge.Actor, c challenge.Challenge) ([]tasting.Criterion, error) {
	if a.Role != challenge.Judge {
		return c.Criteria, nil
	}
	p, err := participantByID(ctx, q, c.ID, a.ID)
	if err == nil && p.Pictures {
		return tasting.FromPictures(c.Criteria), nil
	}
	return c.Criteria, err
}

// CriteriaFor are the criteria that the asker scores.
func (db *DB) CriteriaFor(ctx context.Context, a challenge.Actor, c challenge.Challenge) ([]tasting.Criterion, error) {
	return criteriaFor(ctx, db.reads, a, c)
}

// ShowPictures says whether a judge sees pictures only. It is decided before
// the judge has handed anything in.
func (db *DB) ShowPictures(ctx context.Context, a challenge.Actor, challengeID, judge int64, only bool) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		p, err := participantByID(ctx, tx, challengeID, judge)
		if err != nil {
			return err
		}
		if p.Role != challenge.Judge {
			return challenge.Refuse(challenge.Invalid, "", "Only a judge can be shown pictures instead of plates.")
		}
		if only && len(tasting.FromPictures(c.Criteria)) == 0 {
			return challenge.Refuse(challenge.Invalid, "", "Every criterion needs tasting, so there is nothing to score from pictures. Change the criteria in the settings first.")
		}
		if err := notBegun(ctx, tx, challengeID, p); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE participant SET pictures = ?1, home = CASE ?1 WHEN 1 THEN 0 ELSE home END WHERE id = ?2`, only, judge)
		return err
	})
}

// CreditAs keeps how a judge wants to be named beside what may be quoted;
// empty is "a judge".
func (db *DB) CreditAs(ctx context.Context, a challenge.Actor, challengeID int64, credit string) error {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return err
	}
	if a.Role != challenge.Judge {
		return challenge.Refuse(challenge.Barred, "", "Only a judge chooses how to be named.")
	}
	credit = withoutAddress(strings.TrimSpace(credit))
	if len(credit) > challenge.MaxName || strings.ContainsAny(credit, "\r\n") {
		return challenge.Refuse(challenge.Invalid, "credit", "Give a name of at most %v characters, on one line.", challenge.MaxName)
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE participant SET credit = ? WHERE id = ? AND challenge_id = ?`, credit, a.ID, challengeID)
		return err
	})
}
