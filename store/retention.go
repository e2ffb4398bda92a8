package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairladle/challenge"
)

// A Retention says what a challenge's time does to people's data, and when.
type Retention struct {
	Days      int       // after the release of the results; 0: until somebody deletes them
	On        time.Time // zero for never
	Forgotten time.Time // when it was done; zero before
	// Whole entries are erased with everything; of Public ones, whose recipe
	// stays on its page as agreed, only who sent them is. Helpers are co-hosts,
	// readers and judges whose addresses and links go.
	Whole, Public, Helpers, Imports int
}

// The bounds of a retention time, in days.
const (
	minKeepDays = 7
	maxKeepDays = 3650
)

// SetRetention says how many days after its results a challenge keeps
// people's data; 0 for until somebody deletes them.
func (db *DB) SetRetention(ctx context.Context, a challenge.Actor, challengeID int64, days int) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	if days != 0 && (days < minKeepDays || days > maxKeepDays) {
		return challenge.Refuse(challenge.Invalid, "days", "Give %v to %v days, or 0 to keep them until you delete them.", minKeepDays, maxKeepDays)
	}
	return db.write(ctx, func(tx *Tx) error {
		res, err := tx.ExecContext(ctx, `UPDATE challenge SET keep_days = ? WHERE id = ? AND forgotten_at = 0`, days, challengeID)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return challenge.Refuse(challenge.Shut, "", "The time of this challenge is over and the data are gone.")
	})
}

// KeptDays is how many days after its results a challenge keeps people's
// data; 0 for no end.
func (db *DB) KeptDays(ctx context.Context, challengeID int64) (days int, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT keep_days FROM challenge WHERE id = ?`, challengeID).Scan(&days)
	return days, missing(err, noChallenge)
}

// staysPublic is what makes a recipe stay on its page: it was cooked, and its
// entrant's newest answer is that it may be published.
const staysPublic = `entry.state = 'in' AND EXISTS (SELECT 1 FROM plate WHERE plate.dish_id = entry.dish_id)
	AND COALESCE((SELECT given FROM consent c WHERE c.dish_id = entry.dish_id AND c.kind = 'published' ORDER BY c.id DESC LIMIT 1), 0)`

// Retention is what will happen, or has.
func (db *DB) Retention(ctx context.Context, a challenge.Actor, challengeID int64) (r Retention, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return r, err
	}
	err = db.read(ctx, func(q querier) error {
		var release, forgotten int64
		err := q.QueryRowContext(ctx, `SELECT keep_days, forgotten_at, release_at,
			(SELECT count(*) FROM entry JOIN entrant ON entrant.dish_id = entry.dish_id WHERE entry.challenge_id = ?1 AND NOT (`+staysPublic+`)),
			(SELECT count(*) FROM entry JOIN entrant ON entrant.dish_id = entry.dish_id WHERE entry.challenge_id = ?1 AND entrant.person_id <> (SELECT nobody_id FROM site) AND `+staysPublic+`),
			(SELECT count(*) FROM participant JOIN address ON address.person_id = participant.person_id WHERE challenge_id = ?1),
			(SELECT count(*) FROM import WHERE challenge_id = ?1)
			FROM challenge WHERE id = ?1`, challengeID).Scan(&r.Days, &forgotten, &release, &r.Whole, &r.Public, &r.Helpers, &r.Imports)
		r.Forgotten = moment(forgotten)
		if r.Days > 0 {
			r.On = moment(release).AddDate(0, 0, r.Days)
		}
		return missing(err, noChallenge)
	})
	return r, err
}

// forgetAtOnce bounds the entries of one unit, so that pages do not wait.
const forgetAtOnce = 25

// Forget erases people's data of challenges whose time is over, a few entries
// at a call; it returns how many. A challenge with a round whose results are
// still to come waits for them.
func (db *DB) Forget(ctx context.Context) (n int, err error) {
	var id int64
	err = db.reads.QueryRowContext(ctx, `SELECT id FROM challenge WHERE keep_days > 0 AND forgotten_at = 0
		AND release_at + keep_days * 86400000 <= ?1 AND NOT EXISTS (SELECT 1 FROM round WHERE challenge_id = challenge.id
		AND (round.state = 'open' OR round.release_at > ?1)) ORDER BY id LIMIT 1`, millis(db.now())).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	if err != nil {
		return 0, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		n, err = forgetSome(ctx, tx, id)
		if err != nil || n == forgetAtOnce {
			return err
		}
		return forgetRest(ctx, tx, id)
	})
	if err != nil {
		return 0, err
	}
	return n, db.emptyLog(ctx)
}

func forgetSome(ctx context.Context, tx *Tx, challengeID int64) (int, error) {
	type owned struct {
		erasable
		public bool
	}
	scan := func(r *sql.Rows) (o owned, err error) {
		return o, r.Scan(&o.dish, &o.challenge, &o.number, &o.person, &o.public)
	}
	all, err := rows(ctx, tx, scan, `SELECT entry.dish_id, entry.challenge_id, entry.number, entrant.person_id, `+staysPublic+`
		FROM entry JOIN entrant ON entrant.dish_id = entry.dish_id WHERE entry.challenge_id = ?
		AND entrant.person_id <> (SELECT nobody_id FROM site) ORDER BY entry.number LIMIT ?`, challengeID, forgetAtOnce)
	if err != nil {
		return 0, err
	}
	for _, o := range all {
		o.timeOver = true
		if o.public {
			err = o.unname(ctx, tx)
		} else {
			err = o.erase(ctx, tx, challenge.Host)
		}
		if err != nil {
			return 0, err
		}
	}
	return len(all), nil
}

// unname takes from a published recipe who sent it, and leaves what was agreed
// to stand on its page.
func (x erasable) unname(ctx context.Context, tx *Tx) error {
	nobody, err := nobodyID(ctx, tx)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE entrant SET person_id = ?, name = '', spoken = '', origin_note = '',
		credit = CASE WHEN COALESCE((SELECT given FROM consent c WHERE c.dish_id = entrant.dish_id AND c.kind = 'credited' ORDER BY c.id DESC LIMIT 1), 0)
			THEN credit ELSE '' END WHERE dish_id = ?`, nobody, x.dish); err != nil {
		return err
	}
	if err := execAll(ctx, tx, x.dish,
		`DELETE FROM message WHERE dish_id = ?`,
		`DELETE FROM link WHERE purpose = 'entrant' AND subject_id = ?`,
		`DELETE FROM question WHERE dish_id = ?`,
		`UPDATE prize_offer SET address = '' WHERE dish_id = ?`,
		`DELETE FROM import_item WHERE dish_id = ?`); err != nil {
		return err
	}
	return x.dropPerson(ctx, tx)
}

// nobodyID is the person who stands for those whose time was over.
func nobodyID(ctx context.Context, tx *Tx) (id int64, err error) {
	if err := tx.QueryRowContext(ctx, `SELECT nobody_id FROM site`).Scan(&id); err != nil || id > 0 {
		return id, err
	}
	if id, err = addPerson(ctx, tx, "(no longer kept)", "", ""); err != nil {
		return 0, err
	}
	_, err = tx.ExecContext(ctx, `UPDATE site SET nobody_id = ?`, id)
	return id, err
}

// forgetRest erases what hangs on no entry, and notes that it is done.
func forgetRest(ctx context.Context, tx *Tx, challengeID int64) error {
	helpers, err := rows(ctx, tx, scanID, `SELECT DISTINCT person_id FROM participant WHERE challenge_id = ?`, challengeID)
	if err != nil {
		return err
	}
	if err := execAll(ctx, tx, challengeID,
		`DELETE FROM message WHERE challenge_id = ?`,
		`DELETE FROM link WHERE challenge_id = ?`,
		`DELETE FROM import WHERE challenge_id = ?`,
		`DELETE FROM link_wish WHERE challenge_id = ?`,
		`UPDATE reading_conflict SET reason = '' WHERE challenge_id = ?`,
		`UPDATE conflict SET reason = '' WHERE dish_id IN (SELECT id FROM dish WHERE challenge_id = ?)`); err != nil {
		return err
	}
	for _, p := range helpers {
		if _, err := tx.ExecContext(ctx, `DELETE FROM address WHERE person_id = ?1 AND NOT EXISTS (SELECT 1 FROM host WHERE person_id = ?1)
			AND NOT EXISTS (SELECT 1 FROM entrant WHERE person_id = ?1)
			AND NOT EXISTS (SELECT 1 FROM participant JOIN challenge c ON c.id = participant.challenge_id
				WHERE participant.person_id = ?1 AND c.id <> ?2 AND c.forgotten_at = 0)`, p, challengeID); err != nil {
			return err
		}
	}
	_, err = tx.ExecContext(ctx, `UPDATE challenge SET forgotten_at = ? WHERE id = ?`, millis(tx.now), challengeID)
	return err
}
