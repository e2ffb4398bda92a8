package store

import (
	"context"
	"database/sql"
	"encoding/base64"
	"encoding/json"
	"errors"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
)

// A ThemeVote is the vote on the theme that follows a challenge. Nobody sees
// how it stands before it has ended; from then on the count follows from the
// ballots.
type ThemeVote struct {
	Method         ballot.Method
	Opened, EndsAt time.Time
	Themes         []challenge.Theme // as the host named them
	Ballots        int
	Result         *ballot.Result // once it has ended, of theme ids
}

// Ahead are the themes in front, more than one where they are level; none
// before the end, and none where nobody voted.
func (v ThemeVote) Ahead() (ts []challenge.Theme) {
	if v.Result == nil || v.Result.Counted == 0 || len(v.Result.Order) == 0 {
		return nil
	}
	for _, id := range v.Result.Order[0] {
		ts = append(ts, v.Theme(id))
	}
	return ts
}

// Theme finds one of the themes.
func (v ThemeVote) Theme(id int64) challenge.Theme {
	for _, t := range v.Themes {
		if t.ID == id {
			return t
		}
	}
	return challenge.Theme{}
}

// PutThemes opens the vote on the theme that follows a challenge. It is held
// once, and what it is about is fixed from then on.
func (db *DB) PutThemes(ctx context.Context, a challenge.Actor, challengeID int64, ts []challenge.Theme, m ballot.Method, hours int) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	if err := challenge.CheckThemes(ts, m, hours); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		if c.AnnouncedAt.IsZero() {
			return challenge.Refuse(challenge.Shut, "", "Open the challenge to the public first; the vote stands on its public page.")
		}
		res, err := tx.ExecContext(ctx, `INSERT INTO theme_vote (challenge_id, method, opened_at, ends_at) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING`,
			challengeID, m, millis(tx.now), millis(tx.now.Add(time.Duration(hours)*time.Hour)))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, challenge.Refuse(challenge.Stale, "", "The themes have been put to the vote already."))
		}
		for _, t := range ts {
			if _, err := tx.ExecContext(ctx, `INSERT INTO theme (challenge_id, title, about) VALUES (?, ?, ?)`, challengeID, t.Title, t.About); err != nil {
				return err
			}
		}
		return nil
	})
}

// ThemeVote finds the vote that follows a challenge; ok is false for none.
func (db *DB) ThemeVote(ctx context.Context, challengeID int64) (v ThemeVote, ok bool, err error) {
	err = db.read(ctx, func(q querier) error {
		if v, ok, err = themeVote(ctx, q, challengeID); err != nil || !ok {
			return err
		}
		if err := q.QueryRowContext(ctx, `SELECT count(*) FROM theme_ballot WHERE challenge_id = ?`, challengeID).Scan(&v.Ballots); err != nil || db.now().Before(v.EndsAt) {
			return err
		}
		v.Result, err = countThemes(ctx, q, challengeID, v)
		return err
	})
	return v, ok, err
}

func themeVote(ctx context.Context, q querier, challengeID int64) (v ThemeVote, ok bool, err error) {
	var opened, ends int64
	err = q.QueryRowContext(ctx, `SELECT method, opened_at, ends_at FROM theme_vote WHERE challenge_id = ?`, challengeID).Scan(&v.Method, &opened, &ends)
	if errors.Is(err, sql.ErrNoRows) {
		return v, false, nil
	}
	if err != nil {
		return v, false, err
	}
	v.Opened, v.EndsAt = moment(opened), moment(ends)
	scan := func(r *sql.Rows) (t challenge.Theme, err error) { return t, r.Scan(&t.ID, &t.Title, &t.About) }
	v.Themes, err = rows(ctx, q, scan, `SELECT id, title, about FROM theme WHERE challenge_id = ? ORDER BY id`, challengeID)
	return v, true, err
}

func (v ThemeVote) options() (ids []int64) {
	for _, t := range v.Themes {
		ids = append(ids, t.ID)
	}
	return ids
}

func countThemes(ctx context.Context, q querier, challengeID int64, v ThemeVote) (*ballot.Result, error) {
	scan := func(r *sql.Rows) (b ballot.Ballot, err error) {
		var choices string
		if err := r.Scan(&choices); err != nil {
			return nil, err
		}
		return b, json.Unmarshal([]byte(choices), &b)
	}
	cast, err := rows(ctx, q, scan, `SELECT choices FROM theme_ballot WHERE challenge_id = ? ORDER BY key`, challengeID)
	if err != nil {
		return nil, err
	}
	result, err := ballot.Counting(v.Method, v.options(), cast)
	return &result, err
}

// CastTheme takes one ballot on themes; pass and slip are as in CastBallot.
func (db *DB) CastTheme(ctx context.Context, challengeID int64, pass, slip string, choices ballot.Ballot) error {
	hash, ok := hashToken(pass)
	key, err := base64.RawURLEncoding.DecodeString(slip)
	if !ok || err != nil || len(key) != tokenBytes {
		return errOldBallot
	}
	return db.write(ctx, func(tx *Tx) error {
		v, ok, err := themeVote(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		if err := v.mayCast(ok, tx.now, choices); err != nil {
			return err
		}
		res, err := tx.ExecContext(ctx, `INSERT INTO theme_pass (challenge_id, token_hash) VALUES (?, ?) ON CONFLICT DO NOTHING`, challengeID, hash)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, challenge.Refuse(challenge.Over, "", "A ballot was cast from this browser already. The first one counts."))
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO theme_ballot (challenge_id, key, choices) VALUES (?, ?, ?)`, challengeID, key, jsonText(choices))
		return err
	})
}

func (v ThemeVote) mayCast(held bool, now time.Time, choices ballot.Ballot) error {
	switch {
	case !held:
		return challenge.NotFound("There is no vote on themes here.")
	case !now.Before(v.EndsAt):
		return challenge.Refuse(challenge.Shut, "", "The vote has ended; no more ballots are taken.")
	case len(choices) == 0:
		return challenge.Refuse(challenge.Invalid, "choice", "Choose at least one theme.")
	}
	switch err := v.Method.Check(v.options(), choices); {
	case errors.Is(err, ballot.ErrOption):
		return challenge.NotFound("A theme on this ballot is not part of the vote. Load the ballot again.")
	case errors.Is(err, ballot.ErrTwice):
		return challenge.Refuse(challenge.Invalid, "choice", "The ballot names a theme twice.")
	case errors.Is(err, ballot.ErrTooMany):
		return challenge.Refuse(challenge.Invalid, "choice", "Choose one theme only.")
	default:
		return err
	}
}

// VotedTheme says whether a browser's pass was used in a vote on themes.
func (db *DB) VotedTheme(ctx context.Context, challengeID int64, pass string) (used bool, err error) {
	hash, ok := hashToken(pass)
	if !ok {
		return false, nil
	}
	err = db.reads.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM theme_pass WHERE challenge_id = ? AND token_hash = ?)`, challengeID, hash).Scan(&used)
	return used, err
}
