package store

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/likeness"
	"fairladle/challenge/recipe"
)

// indexLikeness signs an entry's current version, looks up which entries of
// the challenge share a band with it, and keeps the pairs that are alike. A
// changed text is compared anew; what a host decided about a pair stays.
func indexLikeness(ctx context.Context, tx *Tx, dish int64) error {
	var challengeID int64
	var reading, masked string
	var reader int
	err := tx.QueryRowContext(ctx, `SELECT entry.challenge_id, b.reader, b.reading, v.text FROM entry JOIN dish ON dish.id = entry.dish_id
		JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version
		JOIN breakdown b ON b.dish_id = dish.id AND b.version = dish.version WHERE entry.dish_id = ?`, dish).Scan(&challengeID, &reader, &reading, &masked)
	if errors.Is(err, sql.ErrNoRows) {
		return nil // a house dish
	}
	if err != nil {
		return err
	}
	var b recipe.Breakdown
	if reader != recipe.Version {
		b = recipe.Read(masked)
	} else if err := json.Unmarshal([]byte(reading), &b); err != nil {
		return err
	}
	signature := likeness.Sign(likeness.Of(b))
	if err := saveSignature(ctx, tx, challengeID, dish, signature); err != nil {
		return err
	}
	return findAlike(ctx, tx, challengeID, dish, signature)
}

func saveSignature(ctx context.Context, tx *Tx, challengeID, dish int64, s likeness.Signature) error {
	if _, err := tx.ExecContext(ctx, `INSERT INTO likeness (dish_id, signature) VALUES (?, ?)
		ON CONFLICT DO UPDATE SET signature = excluded.signature`, dish, s.Bytes()); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM likeness_band WHERE dish_id = ?`, dish); err != nil {
		return err
	}
	keys := s.Keys()
	_, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO likeness_band (challenge_id, key, dish_id) SELECT ?, value, ? FROM json_each(?)`,
		challengeID, dish, jsonText(keys[:]))
	return err
}

func findAlike(ctx context.Context, tx *Tx, challengeID, dish int64, s likeness.Signature) error {
	if _, err := tx.ExecContext(ctx, `DELETE FROM alike WHERE (first_id = ?1 OR second_id = ?1) AND decision = ''`, dish); err != nil {
		return err
	}
	found, err := lookUpAlike(ctx, tx, challengeID, s)
	if err != nil {
		return err
	}
	for _, o := range found {
		if o.dish == dish {
			continue
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO alike (first_id, second_id, likeness) VALUES (?, ?, ?)
			ON CONFLICT DO UPDATE SET likeness = excluded.likeness`, min(dish, o.dish), max(dish, o.dish), o.like); err != nil {
			return err
		}
	}
	return nil
}

// alikeTo is an entry that is much like what was looked up.
type alikeTo struct {
	dish int64
	like float64
}

// mostFollowed bounds how many entries a look-up compares, so that a flood of
// copies does not slow it.
const mostFollowed = 2000

// lookUpAlike finds the entries of a challenge that are likeness.Alike or more,
// in the index that a job keeps behind the acknowledgement; the most alike first.
// CROSS JOIN holds the database to going from the keys to the entries: the other
// way round it reads the bands of the whole challenge.
func lookUpAlike(ctx context.Context, q querier, challengeID int64, s likeness.Signature) ([]alikeTo, error) {
	type other struct {
		dish      int64
		signature []byte
	}
	scan := func(r *sql.Rows) (o other, err error) { return o, r.Scan(&o.dish, &o.signature) }
	keys := s.Keys()
	others, err := rows(ctx, q, scan, `SELECT likeness.dish_id, likeness.signature FROM likeness WHERE likeness.dish_id IN (
		SELECT DISTINCT band.dish_id FROM json_each(?) AS wanted CROSS JOIN likeness_band AS band ON band.challenge_id = ? AND band.key = wanted.value LIMIT ?)`,
		jsonText(keys[:]), challengeID, mostFollowed)
	if err != nil {
		return nil, err
	}
	var out []alikeTo
	for _, o := range others {
		t, ok := likeness.ParseSignature(o.signature)
		if like := s.Like(&t); ok && like >= likeness.Alike {
			out = append(out, alikeTo{o.dish, like})
		}
	}
	slices.SortStableFunc(out, func(a, b alikeTo) int { return cmp.Compare(b.like, a.like) })
	return out, nil
}

// An AlikePair is two entries that have much in common.
type AlikePair struct {
	First, Second Dish
	Like          float64
	Decision      string // "", both-stay, barred
	Reason        string
	DecidedAt     time.Time
}

const alikeSelect = `SELECT a.id, a.kind, ea.number, a.title, a.version, b.id, b.kind, eb.number, b.title, b.version,
	alike.likeness, alike.decision, alike.reason, alike.decided_at
	FROM alike CROSS JOIN dish AS a ON a.id = alike.first_id CROSS JOIN entry AS ea ON ea.dish_id = a.id
	CROSS JOIN dish AS b ON b.id = alike.second_id CROSS JOIN entry AS eb ON eb.dish_id = b.id `

func scanAlike(r *sql.Rows) (p AlikePair, err error) {
	var at int64
	err = r.Scan(&p.First.ID, &p.First.Kind, &p.First.Number, &p.First.Title, &p.First.Version, &p.Second.ID, &p.Second.Kind, &p.Second.Number,
		&p.Second.Title, &p.Second.Version, &p.Like, &p.Decision, &p.Reason, &at)
	p.DecidedAt = moment(at)
	return p, err
}

// AlikePairs lists the near-duplicates among the entries that take part: the
// undecided first, the most alike first.
func (db *DB) AlikePairs(ctx context.Context, a challenge.Actor, challengeID int64) ([]AlikePair, error) {
	if err := challenge.May(a, challenge.SeeField, challengeID); err != nil {
		return nil, err
	}
	return rows(ctx, db.reads, scanAlike, alikeSelect+`WHERE ea.challenge_id = ? AND (alike.decision <> '' OR ea.state = 'in' AND eb.state = 'in')
		ORDER BY alike.decision <> '', alike.likeness DESC, ea.number, eb.number LIMIT 500`, challengeID)
}

// A Beside is two entries side by side, masked, with what they share.
type Beside struct {
	Pair    AlikePair
	A, B    Recipe
	Overlap likeness.Overlap
}

// Beside loads two entries of a challenge to be compared; Pair.Like is 0 where
// they are not near-duplicates.
func (db *DB) Beside(ctx context.Context, a challenge.Actor, challengeID int64, first, second int64) (x Beside, err error) {
	if err := challenge.May(a, challenge.ReadBlind, challengeID); err != nil {
		return x, err
	}
	err = db.read(ctx, func(q querier) error {
		if x.A, err = recipeOf(ctx, q, first, 0, true); err != nil {
			return err
		}
		if x.B, err = recipeOf(ctx, q, second, 0, true); err != nil {
			return err
		}
		pairs, err := rows(ctx, q, scanAlike, alikeSelect+`WHERE alike.first_id = ? AND alike.second_id = ? AND ea.challenge_id = ?`,
			min(first, second), max(first, second), challengeID)
		if len(pairs) > 0 {
			x.Pair = pairs[0]
		}
		return err
	})
	if err == nil {
		x.Overlap = likeness.Shared(x.A.Reading, x.A.Text, x.B.Reading, x.B.Text)
	}
	return x, err
}

// KeepBoth decides that two near-duplicates are entries of their own.
func (db *DB) KeepBoth(ctx context.Context, a challenge.Actor, challengeID, first, second int64, reason string) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxReason {
		return challenge.Refuse(challenge.Invalid, "reason", "Say in a sentence why both stay; it is kept.")
	}
	return db.write(ctx, func(tx *Tx) error { return decideAlike(ctx, tx, first, second, "both-stay", reason) })
}

func decideAlike(ctx context.Context, tx *Tx, first, second int64, decision, reason string) error {
	res, err := tx.ExecContext(ctx, `UPDATE alike SET decision = ?, reason = ?, decided_at = ? WHERE first_id = ? AND second_id = ?`,
		decision, reason, millis(tx.now), min(first, second), max(first, second))
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, challenge.NotFound("These two entries are not among the near-duplicates."))
	}
	return nil
}

// Nearest says for each dish which of the others is most like it, where the
// entries have been signed; Like is the estimate, 0 to 1.
type Nearest struct {
	Dish, Other int64
	Like        float64
}

// NearestOf compares every two of some dishes.
func (db *DB) NearestOf(ctx context.Context, dishes []int64) ([]Nearest, error) {
	type signed struct {
		dish int64
		s    likeness.Signature
	}
	scan := func(r *sql.Rows) (x signed, err error) {
		var b []byte
		if err = r.Scan(&x.dish, &b); err != nil {
			return x, err
		}
		s, ok := likeness.ParseSignature(b)
		if !ok {
			return x, errors.New("a stored signature has another length")
		}
		x.s = s
		return x, nil
	}
	all, err := rows(ctx, db.reads, scan, `SELECT dish_id, signature FROM likeness JOIN json_each(?) AS wanted ON wanted.value = dish_id ORDER BY wanted.key`, jsonText(dishes))
	var out []Nearest
	for i := range all {
		n := Nearest{Dish: all[i].dish}
		for j := range all {
			if like := all[i].s.Like(&all[j].s); i != j && like > n.Like {
				n.Other, n.Like = all[j].dish, like
			}
		}
		out = append(out, n)
	}
	return out, err
}
