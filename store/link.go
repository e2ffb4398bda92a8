package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"errors"
	"time"

	"fairladle/challenge"
)

// Purpose is what a private link is for.
type Purpose string

// The purposes of private links.
const (
	ForSetUp   Purpose = "setup"
	ForEntrant Purpose = "entrant"
	ForCohost  Purpose = "cohost"
	ForReader  Purpose = "reader"
	ForJudge   Purpose = "judge"
	ForStandIn Purpose = "standin" // makes judges of guests at the table
	ForReset   Purpose = "reset"   // a host's, to choose a new password
	ForPerson  Purpose = "person"  // shows all entries that came from one address
)

// tokenBytes is the size of a link's secret: 128 bits.
const tokenBytes = 16

// Token spells a link's secret for an address: 22 characters of base64url.
func Token(secret []byte) string { return base64.RawURLEncoding.EncodeToString(secret) }

// NewToken draws a secret that a form can carry before the link exists.
func (db *DB) NewToken() (string, error) {
	b, err := (&Tx{random: db.random}).bytes(tokenBytes)
	return Token(b), err
}

// hashToken is the form in which a token is stored; ok is false for what
// cannot be a token.
func hashToken(token string) (hash []byte, ok bool) {
	secret, err := base64.RawURLEncoding.DecodeString(token)
	if err != nil || len(secret) != tokenBytes {
		return nil, false
	}
	sum := sha256.Sum256(secret)
	return sum[:], true
}

// newLink makes a link and returns its token, which is nowhere else.
func newLink(ctx context.Context, tx *Tx, p Purpose, challengeID, subject int64, life time.Duration) (string, error) {
	secret, err := tx.bytes(tokenBytes)
	if err != nil {
		return "", err
	}
	token := Token(secret)
	return token, saveLink(ctx, tx, p, challengeID, subject, token, life)
}

func saveLink(ctx context.Context, tx *Tx, p Purpose, challengeID, subject int64, token string, life time.Duration) error {
	hash, ok := hashToken(token)
	if !ok {
		return challenge.Refuse(challenge.Invalid, "", "This form is out of date. Load it again; your browser keeps what you typed.")
	}
	expires := int64(0)
	if life > 0 {
		expires = millis(tx.now.Add(life))
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO link (purpose, challenge_id, subject_id, token_hash, created_at, expires_at)
		VALUES (?, ?, ?, ?, ?, ?)`, p, challengeID, subject, hash, millis(tx.now), expires)
	return err
}

// A Link is a private link that was followed.
type Link struct {
	ID        int64
	Purpose   Purpose
	Challenge int64
	Subject   int64
}

var errForeignLink = challenge.Refuse(challenge.Missing, "",
	"This link is not valid. Copy it whole from the message you were sent, or ask for it again.")

// FollowLink finds the link behind a token. A link that was never made, and
// one for another purpose, get the same answer.
func (db *DB) FollowLink(ctx context.Context, p Purpose, token string) (Link, error) {
	return followLink(ctx, db.reads, p, token, db.now())
}

func followLink(ctx context.Context, q querier, p Purpose, token string, now time.Time) (Link, error) {
	hash, ok := hashToken(token)
	if !ok {
		return Link{}, errForeignLink
	}
	l := Link{Purpose: p}
	var created, expires, used, revoked, release int64
	err := q.QueryRowContext(ctx, `SELECT link.id, challenge_id, subject_id, link.created_at, expires_at, used_at, revoked_at, COALESCE(challenge.release_at, 0)
		FROM link LEFT JOIN challenge ON challenge.id = link.challenge_id WHERE token_hash = ? AND purpose = ?`, hash, p).
		Scan(&l.ID, &l.Challenge, &l.Subject, &created, &expires, &used, &revoked, &release)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return Link{}, errForeignLink
	case err != nil:
		return Link{}, err
	case revoked > 0:
		return Link{}, challenge.Refuse(challenge.Over, "", "This link has been withdrawn. Ask the host for a new one.")
	case used > 0:
		return Link{}, challenge.Refuse(challenge.Over, "", "This link has been used and works only once.")
	case expires > 0 && millis(now) >= expires, linkRunsOut(p, moment(max(created, release)), now):
		return Link{}, challenge.Refuse(challenge.Over, "", "This link has expired. Ask for a new one.")
	}
	return l, nil
}

// linkRunsOut says whether a link of a challenge is too old: the later of its
// making and the release of the results counts, so that a challenge that moves
// takes its links along.
func linkRunsOut(p Purpose, since, now time.Time) bool {
	switch p {
	case ForCohost, ForReader, ForJudge:
		return now.After(since.Add(challenge.HelpersLinkLife))
	case ForEntrant:
		return now.After(since.Add(challenge.EntrantsLinkLife))
	}
	return false
}

// Actor is who holds the link. The set-up link makes nobody yet.
func (l Link) Actor() challenge.Actor {
	roles := map[Purpose]challenge.Role{ForEntrant: challenge.Entrant, ForCohost: challenge.Cohost,
		ForReader: challenge.Reader, ForJudge: challenge.Judge}
	role, ok := roles[l.Purpose]
	if !ok {
		role = challenge.Public
	}
	return challenge.Actor{Role: role, ID: l.Subject, Challenge: l.Challenge}
}

func revokeLinks(ctx context.Context, tx *Tx, p Purpose, subject int64) error {
	_, err := tx.ExecContext(ctx, `UPDATE link SET revoked_at = ? WHERE purpose = ? AND subject_id = ? AND revoked_at = 0`,
		millis(tx.now), p, subject)
	return err
}

// RenewOwn gives an entrant another private link; every earlier one stops.
func (db *DB) RenewOwn(ctx context.Context, a challenge.Actor) (token string, err error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		if err := revokeLinks(ctx, tx, ForEntrant, a.ID); err != nil {
			return err
		}
		// A message that waits would bring a link that has stopped.
		if _, err := tx.ExecContext(ctx, `DELETE FROM message WHERE dish_id = ? AND state = 'waiting' AND token <> ''`, a.ID); err != nil {
			return err
		}
		token, err = newLink(ctx, tx, ForEntrant, a.Challenge, a.ID, 0)
		return err
	})
	return token, err
}
