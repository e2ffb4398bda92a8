package store

import (
	"context"
	"database/sql"
	"errors"

	"fairladle/challenge"
)

// Publication is what the host has put down for the result page, whether or
// not it may be seen yet.
func (db *DB) Publication(ctx context.Context, a challenge.Actor, challengeID int64) (challenge.Publication, error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return challenge.Publication{}, err
	}
	return publication(ctx, db.reads, challengeID)
}

func publication(ctx context.Context, q querier, challengeID int64) (p challenge.Publication, err error) {
	err = q.QueryRowContext(ctx, `SELECT video_url, video_title, COALESCE(lower(hex(photo.sha256)), ''), sponsor, sponsor_url, open_scores
		FROM publication LEFT JOIN photo ON photo.id = still_id WHERE challenge_id = ?`, challengeID).
		Scan(&p.VideoURL, &p.VideoTitle, &p.Still, &p.Sponsor, &p.SponsorURL, &p.OpenScores)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return p, err
}

// Publish saves the host's words, Markdown, and what stands beside them on the
// result page. A picture that nothing shows any more is deleted.
func (db *DB) Publish(ctx context.Context, a challenge.Actor, challengeID int64, words string, p challenge.Publication) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	if err := p.Check(); err != nil {
		return err
	}
	if len(words) > challenge.MaxBrief {
		return challenge.Refuse(challenge.Invalid, "words", "This is too long: at most %v characters.", challenge.MaxBrief)
	}
	return db.write(ctx, func(tx *Tx) error {
		still, err := photoBySum(ctx, tx, p.Still)
		if err != nil {
			return err
		}
		before, err := rows(ctx, tx, scanID, `SELECT still_id FROM publication WHERE challenge_id = ? AND still_id IS NOT NULL`, challengeID)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE challenge SET host_words = ? WHERE id = ?`, words, challengeID); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO publication (challenge_id, video_url, video_title, still_id, sponsor, sponsor_url, open_scores)
			VALUES (?, ?, ?, NULLIF(?, 0), ?, ?, ?) ON CONFLICT (challenge_id) DO UPDATE SET video_url = excluded.video_url, video_title = excluded.video_title,
			still_id = excluded.still_id, sponsor = excluded.sponsor, sponsor_url = excluded.sponsor_url, open_scores = excluded.open_scores`,
			challengeID, p.VideoURL, p.VideoTitle, still, p.Sponsor, p.SponsorURL, p.OpenScores); err != nil {
			return err
		}
		return dropPhotos(ctx, tx, before)
	})
}

// dropPhotos deletes those of the pictures that nothing shows any more.
func dropPhotos(ctx context.Context, tx *Tx, ids []int64) error {
	for _, id := range ids {
		if _, err := tx.ExecContext(ctx, `DELETE FROM photo WHERE id = ? AND NOT EXISTS (SELECT 1 FROM dish_version WHERE photo_id = photo.id)
			AND NOT EXISTS (SELECT 1 FROM publication WHERE still_id = photo.id) AND NOT EXISTS (SELECT 1 FROM dish_picture WHERE photo_id = photo.id)`, id); err != nil {
			return err
		}
	}
	return nil
}
