package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairladle/challenge/recipe"
)

// An Origin says where an entry that was brought in came from. File and Place
// are masked: who reads blind may see them.
type Origin struct {
	File, Place string
	Sent        time.Time // zero where the sender's program did not say
}

// keepOrigin notes where an entry came from, and what pictures came besides the
// first.
func keepOrigin(ctx context.Context, tx *Tx, w ImportWork, dish int64, more []int64) error {
	file, _ := recipe.Mask(w.file, []string{w.name})
	place, _ := recipe.Mask(w.place, []string{w.name})
	if _, err := tx.ExecContext(ctx, `INSERT INTO entry_origin (dish_id, file, place, sent_at) VALUES (?, ?, ?, ?)`, dish, file, place, w.sent); err != nil {
		return err
	}
	for i, photo := range more {
		if _, err := tx.ExecContext(ctx, `INSERT INTO dish_picture (dish_id, place, photo_id) VALUES (?, ?, ?)`, dish, i+1, photo); err != nil {
			return err
		}
	}
	return nil
}

// Origin says where an entry was brought in from; ok is false for one that came
// through the form.
func (db *DB) Origin(ctx context.Context, dish int64) (o Origin, ok bool, err error) {
	var sent int64
	err = db.reads.QueryRowContext(ctx, `SELECT file, place, sent_at FROM entry_origin WHERE dish_id = ?`, dish).Scan(&o.File, &o.Place, &sent)
	if errors.Is(err, sql.ErrNoRows) {
		return o, false, nil
	}
	if sent != 0 {
		o.Sent = moment(sent)
	}
	return o, err == nil, err
}

// picturesOf are the addresses of the pictures besides the first.
func picturesOf(ctx context.Context, q querier, dish int64) ([]string, error) {
	return rows(ctx, q, func(r *sql.Rows) (s string, err error) { return s, r.Scan(&s) },
		`SELECT lower(hex(photo.sha256)) FROM dish_picture JOIN photo ON photo.id = dish_picture.photo_id WHERE dish_picture.dish_id = ? ORDER BY dish_picture.place`, dish)
}
