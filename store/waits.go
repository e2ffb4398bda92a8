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
	err = db.reads.QueryRowContext(ctx, waitsSelect, challengeID).Scan(&w.Consent, &w.Questions, &w.Undelivered)
	return w, err
}

// waitsSelect reads what is open, and nothing of the many entries that want
// nothing.
const waitsSelect = `SELECT
	(SELECT count(*) FROM entry WHERE challenge_id = ?1 AND state = 'in' AND agreed = 0),
	(SELECT count(*) FROM question CROSS JOIN entry ON entry.dish_id = question.dish_id WHERE answered_at = 0 AND challenge_id = ?1),
	(SELECT count(*) FROM message WHERE state = 'failed' AND id > 0 AND challenge_id = ?1)`
