package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairladle/challenge"
)

// AccountEvent is a kind of thing that happens to an account.
type AccountEvent string

// What happens to accounts.
const (
	SignedIn        AccountEvent = "signed-in"
	SignInGuessed   AccountEvent = "guessed" // so many wrong passwords that further ones wait
	SessionEnded    AccountEvent = "session-ended"
	PasswordChanged AccountEvent = "password-changed"
	PasskeyAdded    AccountEvent = "passkey-added"
	PasskeyRemoved  AccountEvent = "passkey-removed"
	ResetLinkMade   AccountEvent = "reset-link" // by the command line
	AccountReset    AccountEvent = "reset"
	AccountMade     AccountEvent = "made"
	AddressMoved    AccountEvent = "address-moved" // of the site, by the command line
)

// An AccountLine is one thing that happened to an account.
type AccountLine struct {
	Kind   AccountEvent
	Detail string
	At     time.Time
}

func noteAccount(ctx context.Context, tx *Tx, host int64, k AccountEvent, detail string) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO account_event (host_id, kind, detail, at) VALUES (?, ?, ?, ?)`, host, k, detail, millis(tx.now))
	return err
}

// NoteAccount writes down something that happened to an account.
func (db *DB) NoteAccount(ctx context.Context, host int64, k AccountEvent, detail string) error {
	return db.write(ctx, func(tx *Tx) error { return noteAccount(ctx, tx, host, k, detail) })
}

// AccountLines lists what happened to an account, the newest first.
func (db *DB) AccountLines(ctx context.Context, host int64, limit int) ([]AccountLine, error) {
	scan := func(r *sql.Rows) (l AccountLine, err error) {
		var at int64
		err = r.Scan(&l.Kind, &l.Detail, &at)
		l.At = moment(at)
		return l, err
	}
	return rows(ctx, db.reads, scan, `SELECT kind, detail, at FROM account_event WHERE host_id = ? ORDER BY id DESC LIMIT ?`, host, limit)
}

// A Look is one display of a sender's address to a host. What was erased since
// has no entry.
type Look struct {
	Challenge, Slug string
	Number          int
	By              string // the host's name
	At              time.Time
}

// Looks lists whose addresses hosts were shown, the newest first, without the
// addresses.
func (db *DB) Looks(ctx context.Context, a challenge.Actor, limit int) ([]Look, error) {
	if err := challenge.May(a, challenge.SeeAddress, 0); err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (l Look, err error) {
		var at int64
		err = r.Scan(&l.Challenge, &l.Slug, &l.Number, &l.By, &at)
		l.At = moment(at)
		return l, err
	}
	return rows(ctx, db.reads, scan, `SELECT COALESCE(c.title, ''), COALESCE(c.slug, ''), COALESCE(MIN(entry.number), 0), person.name, look.at
		FROM address_look look JOIN host ON host.id = look.host_id JOIN person ON person.id = host.person_id
		LEFT JOIN entrant ON entrant.person_id = look.person_id LEFT JOIN entry ON entry.dish_id = entrant.dish_id
		LEFT JOIN challenge c ON c.id = entry.challenge_id
		WHERE look.id > (SELECT COALESCE(max(id), 0) FROM address_look) - ? GROUP BY look.id ORDER BY look.id DESC`, limit)
}

// A SignIn is a browser in which a host is signed in.
type SignIn struct {
	ID           string
	Device       string
	Began, Seen  time.Time
	Here         bool // the one that asks
	IdleDeadline time.Time
}

// IdleLife is how long a sign-in lasts unused.
const IdleLife = 7 * 24 * time.Hour

// seenEvery bounds how often the use of a sign-in is written down.
const seenEvery = 10 * time.Minute

// mostSignIns is how many places one host may be signed in at; a further one
// ends the oldest.
const mostSignIns = 20

// BeginSignIn notes a new sign-in of a host and returns its id, and a token by
// which the browser is known from then on. Times of sign-ins are real ones, as
// those of sessions are.
func (db *DB) BeginSignIn(ctx context.Context, host int64, device string) (id, known string, err error) {
	err = db.write(ctx, func(tx *Tx) error {
		secret, err := tx.bytes(2 * tokenBytes)
		if err != nil {
			return err
		}
		id, known = Token(secret[:tokenBytes]), Token(secret[tokenBytes:])
		now := millis(time.Now())
		if _, err := tx.ExecContext(ctx, `INSERT INTO signed_in (id, host_id, device, began_at, seen_at) VALUES (?, ?, ?, ?, ?)`, id, host, device, now, now); err != nil {
			return err
		}
		hash, _ := hashToken(known)
		if _, err := tx.ExecContext(ctx, `INSERT INTO known_browser (token_hash, host_id, at) VALUES (?, ?, ?)`, hash, host, now); err != nil {
			return err
		}
		for _, prune := range []string{
			`DELETE FROM signed_in WHERE host_id = ? AND id NOT IN (SELECT id FROM signed_in WHERE host_id = ? ORDER BY seen_at DESC, began_at DESC LIMIT ?)`,
			`DELETE FROM known_browser WHERE host_id = ? AND token_hash NOT IN (SELECT token_hash FROM known_browser WHERE host_id = ? ORDER BY at DESC LIMIT ?)`,
		} {
			if _, err := tx.ExecContext(ctx, prune, host, host, mostSignIns); err != nil {
				return err
			}
		}
		return noteAccount(ctx, tx, host, SignedIn, device)
	})
	return id, known, err
}

// SignInHolds says whether a sign-in of a host has neither been ended nor lain
// unused for too long, and notes its use.
func (db *DB) SignInHolds(ctx context.Context, id string, host int64) (bool, error) {
	var seen int64
	err := db.reads.QueryRowContext(ctx, `SELECT seen_at FROM signed_in WHERE id = ? AND host_id = ?`, id, host).Scan(&seen)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	now := time.Now()
	if now.Sub(moment(seen)) > IdleLife {
		return false, nil
	}
	if now.Sub(moment(seen)) < seenEvery {
		return true, nil
	}
	err = db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE signed_in SET seen_at = ? WHERE id = ?`, millis(now), id)
		return err
	})
	return true, err
}

// KnownBrowser says whether a token is of a browser in which this host signed
// in before.
func (db *DB) KnownBrowser(ctx context.Context, token string, host int64) (known bool, err error) {
	hash, ok := hashToken(token)
	if !ok {
		return false, nil
	}
	err = db.reads.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM known_browser WHERE token_hash = ? AND host_id = ?)`, hash, host).Scan(&known)
	return known, err
}

// SignIns lists where a host is signed in, the most recently used first.
func (db *DB) SignIns(ctx context.Context, host int64) ([]SignIn, error) {
	scan := func(r *sql.Rows) (s SignIn, err error) {
		var began, seen int64
		err = r.Scan(&s.ID, &s.Device, &began, &seen)
		s.Began, s.Seen = moment(began), moment(seen)
		s.IdleDeadline = s.Seen.Add(IdleLife)
		return s, err
	}
	return rows(ctx, db.reads, scan, `SELECT id, device, began_at, seen_at FROM signed_in WHERE host_id = ? AND seen_at > ?
		ORDER BY seen_at DESC, began_at DESC`, host, millis(time.Now().Add(-IdleLife)))
}

// EndSignIn ends one sign-in of a host; it is no error where it has ended.
func (db *DB) EndSignIn(ctx context.Context, host int64, id string) error {
	return db.write(ctx, func(tx *Tx) error {
		var device string
		err := tx.QueryRowContext(ctx, `DELETE FROM signed_in WHERE id = ? AND host_id = ? RETURNING device`, id, host).Scan(&device)
		if errors.Is(err, sql.ErrNoRows) {
			return nil
		}
		if err != nil {
			return err
		}
		return noteAccount(ctx, tx, host, SessionEnded, device)
	})
}

// EndOtherSignIns ends every sign-in of a host but one.
func (db *DB) EndOtherSignIns(ctx context.Context, host int64, keep string) error {
	return db.write(ctx, func(tx *Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM signed_in WHERE host_id = ? AND id <> ?`, host, keep); err != nil {
			return err
		}
		return noteAccount(ctx, tx, host, SessionEnded, "")
	})
}

// ChangePassword gives a host another password and ends every other sign-in.
func (db *DB) ChangePassword(ctx context.Context, host int64, hash, keep string) error {
	return db.write(ctx, func(tx *Tx) error {
		if err := setPassword(ctx, tx, host, hash, keep); err != nil {
			return err
		}
		return noteAccount(ctx, tx, host, PasswordChanged, "")
	})
}

func setPassword(ctx context.Context, tx *Tx, host int64, hash, keep string) error {
	if _, err := tx.ExecContext(ctx, `UPDATE host SET password_hash = ? WHERE id = ?`, hash, host); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, `DELETE FROM signed_in WHERE host_id = ? AND id <> ?`, host, keep)
	return err
}
