package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/season"
)

// A Season is a run of challenges with standings.
type Season struct {
	ID      int64
	Slug    string
	Title   string
	About   string // Markdown
	Rule    season.Rule
	RuledAt time.Time // when the rule was set last
}

const seasonSelect = `SELECT id, slug, title, about, rule, ruled_at FROM season `

const noSeason = "There is no season at this address."

func scanSeason(r scanner) (s Season, err error) {
	var rule string
	var at int64
	if err := r.Scan(&s.ID, &s.Slug, &s.Title, &s.About, &rule, &at); err != nil {
		return s, err
	}
	s.RuledAt = moment(at)
	return s, json.Unmarshal([]byte(rule), &s.Rule)
}

// Seasons lists all seasons, the newest first.
func (db *DB) Seasons(ctx context.Context) ([]Season, error) {
	scan := func(r *sql.Rows) (Season, error) { return scanSeason(r) }
	return rows(ctx, db.reads, scan, seasonSelect+`ORDER BY id DESC LIMIT 200`)
}

// ShownSeasons lists those that hold a public challenge, the newest first.
func (db *DB) ShownSeasons(ctx context.Context) ([]Season, error) {
	scan := func(r *sql.Rows) (Season, error) { return scanSeason(r) }
	return rows(ctx, db.reads, scan, seasonSelect+`WHERE EXISTS (SELECT 1 FROM season_challenge x JOIN challenge ON challenge.id = x.challenge_id
		WHERE x.season_id = season.id AND challenge.announced_at > 0) ORDER BY id DESC LIMIT 200`)
}

// SeasonOf finds the season that a challenge belongs to; ok is false for none.
func (db *DB) SeasonOf(ctx context.Context, challengeID int64) (s Season, ok bool, err error) {
	s, err = scanSeason(db.reads.QueryRowContext(ctx, seasonSelect+`WHERE id = (SELECT season_id FROM season_challenge WHERE challenge_id = ?)`, challengeID))
	if errors.Is(err, sql.ErrNoRows) {
		return s, false, nil
	}
	return s, err == nil, err
}

// CheckSeason refuses a season that cannot be shown.
func CheckSeason(title, about string, rule season.Rule) error {
	var bad challenge.Refusals
	switch {
	case strings.TrimSpace(title) == "":
		bad.Add("title", "Give the season a title.")
	case len(title) > challenge.MaxTitle || strings.ContainsAny(title, "\r\n"):
		bad.Add("title", "The title is too long: at most %v characters.", challenge.MaxTitle)
	}
	if len(about) > challenge.MaxBrief {
		bad.Add("about", "This is too long: at most %v characters.", challenge.MaxBrief)
	}
	switch err := rule.Check(); {
	case errors.Is(err, season.ErrPlaces):
		bad.Add("places", "At most %v places can give points.", season.MaxPlaces)
	case errors.Is(err, season.ErrRising):
		bad.Add("places", "A later place cannot give more points than an earlier one.")
	case errors.Is(err, season.ErrNone):
		bad.Add("places", "Something must give a point.")
	case err != nil:
		bad.Add("places", "Points are whole numbers from 0 to %v.", season.MaxPoints)
	}
	return bad.Err()
}

// SaveSeason changes a season and which challenges it holds. A challenge
// belongs to one season.
func (db *DB) SaveSeason(ctx context.Context, a challenge.Actor, s Season, challenges []int64) error {
	if err := challenge.May(a, challenge.EditChallenge, 0); err != nil {
		return err
	}
	if err := CheckSeason(s.Title, s.About, s.Rule); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		was, err := scanSeason(tx.QueryRowContext(ctx, seasonSelect+`WHERE id = ?`, s.ID))
		if err != nil {
			return missing(err, noSeason)
		}
		ruled := was.RuledAt
		if jsonText(was.Rule) != jsonText(s.Rule) {
			ruled = tx.now
		}
		if _, err := tx.ExecContext(ctx, `UPDATE season SET title = ?, about = ?, rule = ?, ruled_at = ? WHERE id = ?`,
			strings.TrimSpace(s.Title), s.About, jsonText(s.Rule), millis(ruled), s.ID); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM season_challenge WHERE season_id = ?`, s.ID); err != nil {
			return err
		}
		for _, id := range challenges {
			if err := putInSeason(ctx, tx, s.ID, id); err != nil {
				return err
			}
		}
		return nil
	})
}

// NewSeason begins a season and returns its address.
func (db *DB) NewSeason(ctx context.Context, a challenge.Actor, title string, challenges []int64) (slug string, err error) {
	if err := challenge.May(a, challenge.EditChallenge, 0); err != nil {
		return "", err
	}
	if err := CheckSeason(title, "", season.DefaultRule()); err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		var id int64
		if id, slug, err = newSeason(ctx, tx, title); err != nil {
			return err
		}
		for _, c := range challenges {
			if err := putInSeason(ctx, tx, id, c); err != nil {
				return err
			}
		}
		return nil
	})
	return slug, err
}

func newSeason(ctx context.Context, tx *Tx, title string) (id int64, slug string, err error) {
	if slug, err = freeName(ctx, tx, `SELECT EXISTS (SELECT 1 FROM season WHERE slug = ?)`, challenge.Slug(title)); err != nil {
		return 0, "", err
	}
	err = tx.QueryRowContext(ctx, `INSERT INTO season (slug, title, rule, ruled_at, created_at) VALUES (?, ?, ?, ?, ?) RETURNING id`,
		slug, strings.TrimSpace(title), jsonText(season.DefaultRule()), millis(tx.now), millis(tx.now)).Scan(&id)
	return id, slug, err
}

func putInSeason(ctx context.Context, tx *Tx, seasonID, challengeID int64) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO season_challenge (challenge_id, season_id) SELECT challenge.id, season.id FROM challenge, season
		WHERE challenge.id = ? AND season.id = ? ON CONFLICT (challenge_id) DO UPDATE SET season_id = excluded.season_id`, challengeID, seasonID)
	return err
}
