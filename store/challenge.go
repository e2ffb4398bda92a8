package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"fairladle/challenge"
)

const challengeColumns = `id, slug, title, brief, rules, zone, announced_at, opens_at, closes_at, release_at,
	entries_per_person, photos, prize, kitchen, criteria, host_words, entries, last_number, settings_version, language`

const noChallenge = "There is no challenge at this address."

// ChallengeBySlug finds a challenge by its address.
func (db *DB) ChallengeBySlug(ctx context.Context, slug string) (c challenge.Challenge, err error) {
	err = db.read(ctx, func(q querier) error {
		c, err = challengeWhere(ctx, q, "slug = ?", slug)
		return err
	})
	return c, err
}

// Challenge finds a challenge.
func (db *DB) Challenge(ctx context.Context, id int64) (c challenge.Challenge, err error) {
	err = db.read(ctx, func(q querier) error {
		c, err = challengeByID(ctx, q, id)
		return err
	})
	return c, err
}

func challengeByID(ctx context.Context, q querier, id int64) (challenge.Challenge, error) {
	return challengeWhere(ctx, q, "id = ?", id)
}

// challengeWhere loads one challenge with its rounds; condition is one of the
// two literals above, never something typed.
func challengeWhere(ctx context.Context, q querier, condition string, arg any) (challenge.Challenge, error) {
	c, err := scanChallenge(q.QueryRowContext(ctx, `SELECT `+challengeColumns+` FROM challenge WHERE `+condition, arg))
	if err != nil {
		return c, missing(err, noChallenge)
	}
	return withRounds(ctx, q, c)
}

func withRounds(ctx context.Context, q querier, c challenge.Challenge) (challenge.Challenge, error) {
	rs, err := rows(ctx, q, scanRound, `SELECT id, challenge_id, position, kind, title, state, params, release_at, opened_at, closed_at
		FROM round WHERE challenge_id = ? ORDER BY position`, c.ID)
	c.Rounds = rs
	for _, r := range rs {
		if r.State != challenge.Planned {
			c.FirstRoundHasOpened = true
			c.CriteriaLocked = c.CriteriaLocked || r.Kind == challenge.Tasting
		}
	}
	return c, err
}

type scanner interface{ Scan(dest ...any) error }

func scanChallenge(r scanner) (challenge.Challenge, error) {
	var c challenge.Challenge
	var announced, opens, closes, release int64
	var kitchen, criteria string
	err := r.Scan(&c.ID, &c.Slug, &c.Title, &c.Brief, &c.Rules, &c.Zone, &announced, &opens, &closes, &release,
		&c.EntriesPerPerson, &c.Photos, &c.Prize, &kitchen, &criteria, &c.HostWords, &c.Entries, &c.LastNumber, &c.SettingsVersion, &c.Language)
	if err != nil {
		return c, err
	}
	c.AnnouncedAt, c.OpensAt, c.ClosesAt, c.ReleaseAt = moment(announced), moment(opens), moment(closes), moment(release)
	return c, errors.Join(json.Unmarshal([]byte(kitchen), &c.Kitchen), json.Unmarshal([]byte(criteria), &c.Criteria))
}

func scanRound(r *sql.Rows) (challenge.Round, error) {
	var x challenge.Round
	var params string
	var release, opened, closed int64
	if err := r.Scan(&x.ID, &x.Challenge, &x.Position, &x.Kind, &x.Title, &x.State, &params, &release, &opened, &closed); err != nil {
		return x, err
	}
	x.ReleaseAt, x.OpenedAt, x.ClosedAt = moment(release), moment(opened), moment(closed)
	return x, json.Unmarshal([]byte(params), &x.Params)
}

// Challenges lists all challenges, the newest first.
func (db *DB) Challenges(ctx context.Context) (cs []challenge.Challenge, err error) {
	err = db.read(ctx, func(q querier) error {
		scan := func(r *sql.Rows) (challenge.Challenge, error) { return scanChallenge(r) }
		cs, err = rows(ctx, q, scan, `SELECT `+challengeColumns+` FROM challenge ORDER BY id DESC LIMIT 200`)
		for i := range cs {
			if err == nil {
				cs[i], err = withRounds(ctx, q, cs[i])
			}
		}
		return err
	})
	return cs, err
}

// CreateChallenge makes a draft with the usual run of rounds.
func (db *DB) CreateChallenge(ctx context.Context, a challenge.Actor, s challenge.Settings) (slug string, err error) {
	return db.CreateWithRun(ctx, a, s, challenge.UsualRun())
}

// CreateWithRun makes a draft with rounds of its own.
func (db *DB) CreateWithRun(ctx context.Context, a challenge.Actor, s challenge.Settings, run []challenge.Round) (slug string, err error) {
	if err := errors.Join(challenge.May(a, challenge.EditChallenge, 0), s.Check()); err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		_, slug, err = insertChallenge(ctx, tx, s, run)
		return err
	})
	return slug, err
}

// insertChallenge makes a draft with these rounds.
func insertChallenge(ctx context.Context, tx *Tx, s challenge.Settings, rounds []challenge.Round) (id int64, slug string, err error) {
	if slug, err = freeSlug(ctx, tx, challenge.Slug(s.Title)); err != nil {
		return 0, "", err
	}
	err = tx.QueryRowContext(ctx, `INSERT INTO challenge (slug, title, brief, rules, zone, opens_at, closes_at, release_at,
		entries_per_person, photos, prize, kitchen, criteria, created_at, language) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
		slug, s.Title, s.Brief, s.Rules, s.Zone, millis(s.OpensAt), millis(s.ClosesAt), millis(s.Release),
		s.EntriesPerPerson, s.Photos, s.Prize, jsonText(s.Kitchen), jsonText(s.Criteria), millis(tx.now), s.Language).Scan(&id)
	if err != nil {
		return 0, "", err
	}
	for _, r := range rounds {
		if err := insertRound(ctx, tx, id, r); err != nil {
			return 0, "", err
		}
	}
	return id, slug, nil
}

func jsonText(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("settings hold only plain values: %v", err))
	}
	return string(b)
}

func freeSlug(ctx context.Context, q querier, wanted string) (string, error) {
	return freeName(ctx, q, `SELECT EXISTS (SELECT 1 FROM challenge WHERE slug = ?)`, wanted)
}

// freeName is the wanted name of an address, or one with a number behind it
// where that is taken.
func freeName(ctx context.Context, q querier, taken, wanted string) (string, error) {
	name := wanted
	for n := 2; ; n++ {
		var is bool
		if err := q.QueryRowContext(ctx, taken, name).Scan(&is); err != nil || !is {
			return name, err
		}
		name = fmt.Sprintf("%s-%d", wanted, n)
	}
}

// ChangeSettings changes a challenge; version is the one the form was filled
// from. Once announced, a change needs a reason and stays in the ledger.
func (db *DB) ChangeSettings(ctx context.Context, a challenge.Actor, id int64, version int, s challenge.Settings) error {
	if err := challenge.May(a, challenge.EditChallenge, id); err != nil {
		return err
	}
	if err := s.Check(); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, id)
		if err != nil {
			return err
		}
		if err := c.MayChange(s, version, tx.now); err != nil {
			return err
		}
		if !c.AnnouncedAt.IsZero() {
			e := challenge.Event{Kind: challenge.EventSettings, By: a.Role, Reason: s.Reason, Detail: c.Differences(s)}
			if err := record(ctx, tx, id, e); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, `UPDATE challenge SET title = ?, brief = ?, rules = ?, zone = ?, opens_at = ?, closes_at = ?,
			release_at = ?, entries_per_person = ?, photos = ?, prize = ?, kitchen = ?, criteria = ?, language = ?, settings_version = settings_version + 1
			WHERE id = ?`, s.Title, s.Brief, s.Rules, s.Zone, millis(s.OpensAt), millis(s.ClosesAt), millis(s.Release),
			s.EntriesPerPerson, s.Photos, s.Prize, jsonText(s.Kitchen), jsonText(s.Criteria), s.Language, id)
		return err
	})
}

// Announce makes a draft public: from now on it has an address, and its brief,
// dates, criteria and rounds are in the ledger.
func (db *DB) Announce(ctx context.Context, a challenge.Actor, id int64) error {
	if err := challenge.May(a, challenge.EditChallenge, id); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, id)
		if err != nil {
			return err
		}
		if err := c.MayAnnounce(tx.now); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE challenge SET announced_at = ? WHERE id = ?`, millis(tx.now), id); err != nil {
			return err
		}
		return record(ctx, tx, id, challenge.Event{Kind: challenge.EventAnnounced, By: a.Role, Detail: c.Terms()})
	})
}

// CloseDue records in the ledger every closing whose time has come. What may
// be sent is decided by the time alone; this only writes it down.
func (db *DB) CloseDue(ctx context.Context) error {
	return db.write(ctx, func(tx *Tx) error {
		scan := func(r *sql.Rows) (id int64, err error) { return id, r.Scan(&id) }
		due, err := rows(ctx, tx, scan, `SELECT id FROM challenge WHERE announced_at > 0 AND closed_at = 0 AND closes_at <= ?`, millis(tx.now))
		for _, id := range due {
			if err == nil {
				err = recordClosing(ctx, tx, id)
			}
		}
		return err
	})
}
