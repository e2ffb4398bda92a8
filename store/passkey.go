package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// A Passkey is a credential of a host (Web Authentication). Record is the
// JSON of the library that checks it.
type Passkey struct {
	ID            int64
	Host          int64
	Name          string
	Credential    []byte
	Record        []byte
	Created, Used time.Time // Used is zero where it never was
}

// mostPasskeys bounds the passkeys of one host.
const mostPasskeys = 10

// AddPasskey keeps a new passkey of a host.
func (db *DB) AddPasskey(ctx context.Context, p Passkey) error {
	return db.write(ctx, func(tx *Tx) error {
		var n int
		if err := tx.QueryRowContext(ctx, `SELECT count(*) FROM passkey WHERE host_id = ?`, p.Host).Scan(&n); err != nil {
			return err
		}
		if n >= mostPasskeys {
			return challenge.Refuse(challenge.Shut, "", "There are %v passkeys already. Remove one first.", n)
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO passkey (host_id, name, credential, record, created_at) VALUES (?, ?, ?, ?, ?)`,
			p.Host, p.Name, p.Credential, string(p.Record), millis(tx.now)); err != nil {
			return err
		}
		return noteAccount(ctx, tx, p.Host, PasskeyAdded, p.Name)
	})
}

const passkeyColumns = `id, host_id, name, credential, record, created_at, used_at`

func scanPasskey(r scanner) (Passkey, error) {
	var p Passkey
	var created, used int64
	err := r.Scan(&p.ID, &p.Host, &p.Name, &p.Credential, &p.Record, &created, &used)
	p.Created, p.Used = moment(created), moment(used)
	return p, err
}

// Passkeys lists a host's.
func (db *DB) Passkeys(ctx context.Context, host int64) ([]Passkey, error) {
	scan := func(r *sql.Rows) (Passkey, error) { return scanPasskey(r) }
	return rows(ctx, db.reads, scan, `SELECT `+passkeyColumns+` FROM passkey WHERE host_id = ? ORDER BY id`, host)
}

// UsedPasskey keeps the state of a passkey after it was used.
func (db *DB) UsedPasskey(ctx context.Context, credential, record []byte) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE passkey SET record = ?, used_at = ? WHERE credential = ?`, string(record), millis(tx.now), credential)
		return err
	})
}

// RemovePasskey forgets a passkey of a host.
func (db *DB) RemovePasskey(ctx context.Context, host, id int64) error {
	return db.write(ctx, func(tx *Tx) error {
		var name string
		err := tx.QueryRowContext(ctx, `DELETE FROM passkey WHERE id = ? AND host_id = ? RETURNING name`, id, host).Scan(&name)
		if err != nil {
			return missing(err, "There is no such passkey.")
		}
		return noteAccount(ctx, tx, host, PasskeyRemoved, name)
	})
}
