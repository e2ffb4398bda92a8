package store

import (
	"context"
	"database/sql"
	"errors"

	"fairladle/challenge"
)

// The kinds of jobs.
const jobIndex = "index" // make a dish's words searchable, and find entries like it

// mostTries is how often a job that fails is tried again.
const mostTries = 5

func addJob(ctx context.Context, tx *Tx, kind string, subject int64) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO job (kind, subject_id, created_at) VALUES (?, ?, ?)`, kind, subject, millis(tx.now))
	return err
}

// A Job is work that outlives the request that asked for it.
type Job struct {
	ID      int64
	Kind    string
	Subject int64
	State   string
	Done    int
	Total   int
	Note    string
}

// RunJobs works off what waits, oldest first, and returns how many it did.
// A job's effect and its being done are one unit: after a crash it is either
// still waiting or done, never half.
func (db *DB) RunJobs(ctx context.Context) (n int, err error) {
	if err := errors.Join(db.grantWishes(ctx), db.grantOwnWishes(ctx)); err != nil {
		return 0, err
	}
	for ctx.Err() == nil {
		id, kind, subject, err := db.nextJob(ctx)
		if errors.Is(err, sql.ErrNoRows) {
			return n, nil
		}
		if err != nil {
			return n, err
		}
		if err := db.runJob(ctx, id, kind, subject); err != nil {
			return n, err
		}
		n++
	}
	return n, ctx.Err()
}

func (db *DB) nextJob(ctx context.Context) (id int64, kind string, subject int64, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT id, kind, subject_id FROM job WHERE state = 'waiting' ORDER BY id LIMIT 1`).Scan(&id, &kind, &subject)
	return id, kind, subject, err
}

func (db *DB) runJob(ctx context.Context, id int64, kind string, subject int64) error {
	err := db.write(ctx, func(tx *Tx) error {
		if kind != jobIndex {
			return challenge.Refuse(challenge.Invalid, "", "unknown job %v", kind)
		}
		if err := errors.Join(indexDish(ctx, tx, subject), indexLikeness(ctx, tx, subject)); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `UPDATE job SET state = 'done', done = total, finished_at = ? WHERE id = ?`, millis(tx.now), id)
		return err
	})
	if err == nil || ctx.Err() != nil {
		return ctx.Err()
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE job SET tries = tries + 1, note = ?, state = CASE WHEN tries + 1 >= ? THEN 'failed' ELSE state END
			WHERE id = ?`, err.Error(), mostTries, id)
		return err
	})
}

// indexDish puts the masked words of a dish's current version into the search
// index, replacing older ones.
func indexDish(ctx context.Context, tx *Tx, dish int64) error {
	if _, err := tx.ExecContext(ctx, `DELETE FROM dish_search WHERE rowid = ?`, dish); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO dish_search (rowid, title, text) SELECT dish.id, dish.title, v.masked
		FROM dish JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version WHERE dish.id = ?`, dish)
	return err
}
