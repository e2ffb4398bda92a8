package store

import (
	"context"
	"crypto/ed25519"
	"database/sql"
	"errors"
	"slices"
	"time"

	"fairladle/challenge"
)

// Site is what holds for the whole server.
type Site struct {
	Name      string
	PublicURL string // scheme and host, no trailing slash; empty before set-up
	Language  string
	SetUpAt   time.Time
}

// Site returns the server's settings.
func (db *DB) Site(ctx context.Context) (Site, error) {
	var s Site
	var at int64
	err := db.reads.QueryRowContext(ctx, `SELECT name, public_url, language, set_up_at FROM site`).
		Scan(&s.Name, &s.PublicURL, &s.Language, &at)
	s.SetUpAt = moment(at)
	return s, err
}

// ChangeSite gives the community another name or language.
func (db *DB) ChangeSite(ctx context.Context, a challenge.Actor, s Site) error {
	if err := challenge.May(a, challenge.EditChallenge, 0); err != nil {
		return err
	}
	var bad challenge.Refusals
	if s.Name == "" || len(s.Name) > challenge.MaxTitle {
		bad.Add("site", "Give your community or this site a name.")
	}
	if !slices.Contains(challenge.Languages, s.Language) {
		bad.Add("language", "Choose a language from the list.")
	}
	if err := bad.Err(); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE site SET name = ?, language = ?`, s.Name, s.Language)
		return err
	})
}

// LedgerKey is the public half of the key that signs checkpoints.
func (db *DB) LedgerKey(ctx context.Context) (ed25519.PublicKey, error) {
	key, err := ledgerKey(ctx, db.reads)
	if err != nil {
		return nil, err
	}
	return key.Public().(ed25519.PublicKey), nil
}

func ledgerKey(ctx context.Context, q querier) (ed25519.PrivateKey, error) {
	var seed []byte
	if err := q.QueryRowContext(ctx, `SELECT ledger_key FROM site`).Scan(&seed); err != nil {
		return nil, err
	}
	return ed25519.NewKeyFromSeed(seed), nil
}

// setUpLife is how long a set-up link can be used.
const setUpLife = 24 * time.Hour

// SetUpLink makes a fresh one-time set-up link and withdraws older ones. It
// refuses when the server is set up.
func (db *DB) SetUpLink(ctx context.Context) (token string, err error) {
	err = db.write(ctx, func(tx *Tx) error {
		var at int64
		if err := tx.QueryRowContext(ctx, `SELECT set_up_at FROM site`).Scan(&at); err != nil {
			return err
		}
		if at > 0 {
			return challenge.Refuse(challenge.Over, "", "This server is set up already.")
		}
		if err := revokeLinks(ctx, tx, ForSetUp, 0); err != nil {
			return err
		}
		token, err = newLink(ctx, tx, ForSetUp, 0, 0, setUpLife)
		return err
	})
	return token, err
}

// SetUp is what the first host types. PasswordHash is already hashed.
type SetUp struct {
	SiteName, PublicURL, Language, Name, Email, PasswordHash string
}

// SetUpSite uses the set-up link and makes the first host.
func (db *DB) SetUpSite(ctx context.Context, token string, s SetUp) (host int64, err error) {
	err = db.write(ctx, func(tx *Tx) error {
		link, err := followLink(ctx, tx, ForSetUp, token, tx.now)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE link SET used_at = ? WHERE id = ?`, millis(tx.now), link.ID); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE site SET name = ?, public_url = ?, language = ?, set_up_at = ?`,
			s.SiteName, s.PublicURL, s.Language, millis(tx.now)); err != nil {
			return err
		}
		host, err = addHost(ctx, tx, s)
		return err
	})
	return host, err
}

func addHost(ctx context.Context, tx *Tx, s SetUp) (int64, error) {
	key, err := challenge.AddressKey(s.Email)
	if err != nil {
		return 0, err
	}
	person, err := addPerson(ctx, tx, s.Name, "", s.Email)
	if err != nil {
		return 0, err
	}
	var id int64
	err = tx.QueryRowContext(ctx, `INSERT INTO host (person_id, email_key, password_hash, created_at) VALUES (?, ?, ?, ?) RETURNING id`,
		person, key, s.PasswordHash, millis(tx.now)).Scan(&id)
	return id, err
}

// addPerson makes a person; a person without an address is one who was given
// a link by hand.
func addPerson(ctx context.Context, tx *Tx, name, spoken, email string) (int64, error) {
	var id int64
	err := tx.QueryRowContext(ctx, `INSERT INTO person (name, spoken, created_at) VALUES (?, ?, ?) RETURNING id`,
		name, spoken, millis(tx.now)).Scan(&id)
	if err != nil || email == "" {
		return id, err
	}
	key, err := challenge.AddressKey(email)
	if err != nil {
		return 0, err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO address (person_id, email, email_key) VALUES (?, ?, ?)`, id, email, key)
	return id, err
}

// personByAddress finds who has used an address before.
func personByAddress(ctx context.Context, q querier, key string) (id int64, known bool, err error) {
	err = q.QueryRowContext(ctx, `SELECT person_id FROM address WHERE email_key = ? ORDER BY person_id LIMIT 1`, key).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, false, nil
	}
	return id, err == nil, err
}

// A Host is an account with a password.
type Host struct {
	ID           int64
	Name         string
	PasswordHash string
}

// HostByEmail finds an account by its address.
func (db *DB) HostByEmail(ctx context.Context, email string) (Host, error) {
	key, err := challenge.AddressKey(email)
	if err != nil {
		return Host{}, err
	}
	return scanHost(db.reads.QueryRowContext(ctx, `SELECT host.id, person.name, host.password_hash
		FROM host JOIN person ON person.id = host.person_id WHERE host.email_key = ?`, key))
}

// Host finds an account.
func (db *DB) Host(ctx context.Context, id int64) (Host, error) {
	return scanHost(db.reads.QueryRowContext(ctx, `SELECT host.id, person.name, host.password_hash
		FROM host JOIN person ON person.id = host.person_id WHERE host.id = ?`, id))
}

func scanHost(r *sql.Row) (Host, error) {
	var h Host
	err := r.Scan(&h.ID, &h.Name, &h.PasswordHash)
	return h, missing(err, "There is no such account.")
}
