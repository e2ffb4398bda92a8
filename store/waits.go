package store

import (
	"context"

	"fairladle/challenge"
)

// Waits is what needs the host in a challenge besides its next step.
type Waits struct {
	Slow        int // readers or judges of an open round who have not finished
	Consent     int // entries whose sender has not agreed to take part
	Questions   int // asked of entrants, and not answered
	Untold      int // mailings that can be told and are not released
	Undelivered int // messages that were given up
}

// Any is false where nothing waits.
func (w Waits) Any() bool { return w != Waits{} }

// Waits counts what needs the host.
func (db *DB) Waits(ctx context.Context, a challenge.Actor, challengeID int64) (w Waits, err error) {
	ms, err := db.Mailings(ctx, a, challengeID)
	if err != nil {
		return w, err
	}
	for _, m := range ms {
		switch {
		case m.Kind == challenge.Reminder:
			w.Slow += m.People + m.Without
		case m.ReleasedAt.IsZero() && m.People > 0:
			w.Untold++
		}
	}
	err = db.reads.QueryRowContext(ctx, `SELECT
		(SELECT count(*) FROM entry WHERE challenge_id = ?1 AND state = 'in' AND NOT COALESCE((SELECT given FROM consent
			WHERE consent.dish_id = entry.dish_id AND kind = ?2 ORDER BY consent.id DESC LIMIT 1), 0)),
		(SELECT count(*) FROM entry JOIN question ON question.dish_id = entry.dish_id WHERE entry.challenge_id = ?1 AND answered_at = 0),
		(SELECT count(*) FROM message WHERE state = 'failed' AND id > 0 AND challenge_id = ?1)`, challengeID, challenge.Considered).
		Scan(&w.Consent, &w.Questions, &w.Undelivered)
	return w, err
}
