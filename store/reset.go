package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// resetLife is how long a link that makes a new password can be used.
const resetLife = time.Hour

// A HostLine is an account as the command line lists it.
type HostLine struct {
	ID          int64
	Name, Email string
}

// Hosts lists the accounts of a server, for whoever runs it.
func (db *DB) Hosts(ctx context.Context) ([]HostLine, error) {
	scan := func(r *sql.Rows) (h HostLine, err error) { return h, r.Scan(&h.ID, &h.Name, &h.Email) }
	return rows(ctx, db.reads, scan, `SELECT host.id, person.name, address.email FROM host JOIN person ON person.id = host.person_id
		JOIN address ON address.person_id = person.id ORDER BY host.id`)
}

// ResetLink makes a one-time link by which a host chooses a new password, and
// writes that down. Older ones stop. It is for whoever runs the server: no
// page reaches it.
func (db *DB) ResetLink(ctx context.Context, host int64) (token string, err error) {
	err = db.write(ctx, func(tx *Tx) error {
		if err := revokeLinks(ctx, tx, ForReset, host); err != nil {
			return err
		}
		if token, err = newLink(ctx, tx, ForReset, 0, host, resetLife); err != nil {
			return err
		}
		return noteAccount(ctx, tx, host, ResetLinkMade, "")
	})
	return token, err
}

// AddHost makes a further account and the one-time link by which its owner
// chooses a password.
func (db *DB) AddHost(ctx context.Context, name, email string) (token string, err error) {
	key, err := challenge.AddressKey(email)
	if err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		var taken bool
		if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM host WHERE email_key = ?)`, key).Scan(&taken); err != nil {
			return err
		}
		if taken {
			return challenge.Refuse(challenge.Shut, "email", "There is an account with this address already.")
		}
		host, err := addHost(ctx, tx, SetUp{Name: name, Email: email})
		if err != nil {
			return err
		}
		if token, err = newLink(ctx, tx, ForReset, 0, host, resetLife); err != nil {
			return err
		}
		return noteAccount(ctx, tx, host, AccountMade, "")
	})
	return token, err
}

// Reset uses a link to give its host a new password. Every sign-in ends, and
// passkeys and known browsers are forgotten: whoever took the account over may
// have added some.
func (db *DB) Reset(ctx context.Context, token, hash string) (host int64, err error) {
	err = db.write(ctx, func(tx *Tx) error {
		link, err := followLink(ctx, tx, ForReset, token, tx.now)
		if err != nil {
			return err
		}
		host = link.Subject
		if _, err := tx.ExecContext(ctx, `UPDATE link SET used_at = ? WHERE id = ?`, millis(tx.now), link.ID); err != nil {
			return err
		}
		if err := setPassword(ctx, tx, host, hash, ""); err != nil {
			return err
		}
		if err := execAll(ctx, tx, host, `DELETE FROM passkey WHERE host_id = ?`, `DELETE FROM known_browser WHERE host_id = ?`); err != nil {
			return err
		}
		return noteAccount(ctx, tx, host, AccountReset, "")
	})
	return host, err
}

// MoveSite gives the site another public address, for whoever runs the server.
func (db *DB) MoveSite(ctx context.Context, address string) error {
	return db.write(ctx, func(tx *Tx) error {
		if _, err := tx.ExecContext(ctx, `UPDATE site SET public_url = ? WHERE set_up_at > 0`, address); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO account_event (host_id, kind, detail, at) SELECT id, ?, ?, ? FROM host`, AddressMoved, address, millis(tx.now))
		return err
	})
}
