package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"fmt"
	"io"
	"io/fs"

	"fairladle/migrations"
)

type migration struct{ name, sql, sum string }

// known lists the embedded migrations in order.
func known() ([]migration, error) {
	names, err := fs.Glob(migrations.Files, "*.sql")
	if err != nil {
		return nil, err
	}
	var ms []migration
	for _, n := range names {
		b, err := migrations.Files.ReadFile(n)
		if err != nil {
			return nil, err
		}
		sum := sha256.Sum256(b)
		ms = append(ms, migration{n, string(b), hex.EncodeToString(sum[:])})
	}
	return ms, nil
}

// migrate applies what is missing, all of it or nothing.
func migrate(ctx context.Context, w *sql.DB, o Options) error {
	ms, err := known()
	if err != nil {
		return err
	}
	return migrateTo(ctx, w, o, ms)
}

func migrateTo(ctx context.Context, w *sql.DB, o Options, ms []migration) error {
	tx, err := w.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback() //nolint:errcheck // after Commit it does nothing
	applied, err := appliedSums(ctx, tx)
	if err != nil {
		return err
	}
	if len(applied) > len(ms) {
		return fmt.Errorf("it was written by a newer version of Fairladle (schema %d, this program knows %d); run that version, nothing was changed",
			len(applied), len(ms))
	}
	for i, m := range ms {
		if i < len(applied) {
			if applied[i] != m.sum {
				return fmt.Errorf("migration %s was applied in another form than this program holds; nothing was changed", m.name)
			}
			continue
		}
		if err := apply(ctx, tx, i+1, m, o); err != nil {
			return err
		}
	}
	return tx.Commit()
}

func appliedSums(ctx context.Context, tx *sql.Tx) ([]string, error) {
	const table = `CREATE TABLE IF NOT EXISTS migration (
		number INTEGER PRIMARY KEY, name TEXT NOT NULL, checksum TEXT NOT NULL, applied_at INTEGER NOT NULL) STRICT`
	if _, err := tx.ExecContext(ctx, table); err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (s string, err error) { return s, r.Scan(&s) }
	return rows(ctx, tx, scan, `SELECT checksum FROM migration ORDER BY number`)
}

func apply(ctx context.Context, tx *sql.Tx, number int, m migration, o Options) error {
	if _, err := tx.ExecContext(ctx, m.sql); err != nil {
		return fmt.Errorf("migration %s: %w", m.name, err)
	}
	if number == 1 {
		if err := firstSite(ctx, tx, o.Random); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO migration (number, name, checksum, applied_at) VALUES (?, ?, ?, ?)`,
		number, m.name, m.sum, millis(o.Now()))
	return err
}

// firstSite makes the keys that a data folder keeps for its whole life.
func firstSite(ctx context.Context, tx *sql.Tx, random io.Reader) error {
	keys := make([]byte, 64)
	if _, err := io.ReadFull(random, keys); err != nil {
		return fmt.Errorf("random keys: %w", err)
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO site (id, ledger_key, erasure_key) VALUES (1, ?, ?)`, keys[:32], keys[32:])
	return err
}
