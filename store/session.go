package store

import (
	"context"
	"database/sql"
	"errors"
	"time"
)

// Sessions keeps the sessions of package scs, which stores only a hash of the
// cookie's value. It implements scs.CtxStore. Expiry times come from that
// package and its clock, so they are compared with the real time.
type Sessions struct{ db *DB }

// Sessions returns the store of host sessions.
func (db *DB) Sessions() Sessions { return Sessions{db} }

// FindCtx returns a session that has not expired.
func (s Sessions) FindCtx(ctx context.Context, token string) (b []byte, found bool, err error) {
	err = s.db.reads.QueryRowContext(ctx, `SELECT data FROM session WHERE token = ? AND expires_at > ?`,
		token, millis(time.Now())).Scan(&b)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	return b, err == nil, err
}

// CommitCtx saves a session and drops those that have expired.
func (s Sessions) CommitCtx(ctx context.Context, token string, b []byte, expiry time.Time) error {
	return s.db.write(ctx, func(tx *Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM session WHERE expires_at <= ?`, millis(time.Now())); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO session (token, data, expires_at) VALUES (?, ?, ?)
			ON CONFLICT (token) DO UPDATE SET data = excluded.data, expires_at = excluded.expires_at`, token, b, millis(expiry))
		return err
	})
}

// DeleteCtx ends a session.
func (s Sessions) DeleteCtx(ctx context.Context, token string) error {
	return s.db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM session WHERE token = ?`, token)
		return err
	})
}

// Find is FindCtx without a context, as scs.Store asks.
func (s Sessions) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context, as scs.Store asks.
func (s Sessions) Commit(token string, b []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, b, expiry)
}

// Delete is DeleteCtx without a context, as scs.Store asks.
func (s Sessions) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }
