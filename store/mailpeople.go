package store

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"strconv"
	"strings"

	"fairladle/challenge"
)

// A recipient is somebody a mailing tells, and what its link is for.
type recipient struct {
	person, dish, subject int64
	purpose               Purpose
	kind                  messageKind
	email                 string
}

// told says whom each kind of mailing reaches. ?1 is the challenge, ?2 the
// round; the columns are person, dish (0 for none), the link's subject.
var told = map[challenge.MailingKind]string{
	challenge.Shortlisted: `SELECT entrant.person_id, entry.dish_id, entry.dish_id FROM round_out JOIN entry ON entry.dish_id = round_out.dish_id
		JOIN entrant ON entrant.dish_id = entry.dish_id WHERE round_out.round_id = ?2 AND round_out.through = 1 AND entry.state = 'in' AND entry.challenge_id = ?1`,
	challenge.NotThisTime: `SELECT entrant.person_id, entry.dish_id, entry.dish_id FROM round_in JOIN entry ON entry.dish_id = round_in.dish_id
		JOIN entrant ON entrant.dish_id = entry.dish_id WHERE round_in.round_id = ?2 AND entry.state = 'in' AND entry.challenge_id = ?1
		AND NOT EXISTS (SELECT 1 FROM round_out WHERE round_out.round_id = ?2 AND round_out.dish_id = entry.dish_id AND round_out.through = 1)`,
	challenge.WasDrawn: `SELECT entrant.person_id, entry.dish_id, entry.dish_id FROM round_out JOIN entry ON entry.dish_id = round_out.dish_id
		JOIN entrant ON entrant.dish_id = entry.dish_id WHERE round_out.round_id = ?2 AND round_out.through = 1 AND round_out.rank = 1
		AND entry.state = 'in' AND entry.challenge_id = ?1`,
	challenge.ResultIsOut: `SELECT entrant.person_id, min(entry.dish_id), min(entry.dish_id) FROM entry JOIN entrant ON entrant.dish_id = entry.dish_id
		WHERE entry.challenge_id = ?1 AND entry.state = 'in' AND ?2 > 0 GROUP BY entrant.person_id`,
}

// slow are the readers or judges who have something left to do in a round.
var slow = map[challenge.Kind]string{
	challenge.Reading: `SELECT participant.person_id, 0, participant.id FROM participant WHERE challenge_id = ?1 AND role = 'reader' AND removed_at = 0
		AND EXISTS (SELECT 1 FROM reading_share s WHERE s.round_id = ?2 AND s.reader_id = participant.id AND NOT EXISTS
		(SELECT 1 FROM mark WHERE mark.round_id = ?2 AND mark.reader_id = participant.id AND mark.dish_id = s.dish_id))`,
	challenge.Tasting: `SELECT participant.person_id, 0, participant.id FROM participant WHERE challenge_id = ?1 AND role = 'judge' AND removed_at = 0
		AND NOT EXISTS (SELECT 1 FROM sheet WHERE sheet.round_id = ?2 AND sheet.judge_id = participant.id AND sealed_at > 0)`,
}

// recipients lists whom a mailing tells, without those who stopped mailings;
// without counts who has no address.
func recipients(ctx context.Context, q querier, challengeID int64, m challenge.Mailing) (list []recipient, without int, err error) {
	query, base := told[m.Kind], recipient{purpose: ForEntrant, kind: messageKind(m.Kind)}
	if m.Kind == challenge.Reminder {
		query, base = slow[m.Round.Kind], recipient{purpose: ForReader, kind: messageRemindReader}
		if m.Round.Kind == challenge.Tasting {
			base = recipient{purpose: ForJudge, kind: messageRemindJudge}
		}
	}
	scan := func(r *sql.Rows) (recipient, error) {
		p := base
		return p, r.Scan(&p.person, &p.dish, &p.subject, &p.email)
	}
	all, err := rows(ctx, q, scan, `WITH told (person, dish, subject) AS (`+query+`)
		SELECT person, dish, subject, COALESCE(address.email_key, '') FROM told LEFT JOIN address ON address.person_id = person ORDER BY dish, person`,
		challengeID, m.Round.ID)
	if err != nil {
		return nil, 0, err
	}
	key, err := stopKey(ctx, q)
	if err != nil {
		return nil, 0, err
	}
	for _, p := range all {
		if p.email == "" {
			without++
			continue
		}
		stopped, err := hasStopped(ctx, q, key, p.email)
		if err != nil {
			return nil, 0, err
		}
		if !stopped {
			list = append(list, p)
		}
	}
	return list, without, nil
}

// stopKey is a key of its own, derived from the server's secret.
func stopKey(ctx context.Context, q querier) ([]byte, error) {
	key, err := ledgerKey(ctx, q)
	if err != nil {
		return nil, err
	}
	return mac(key.Seed(), "fairladle: links and lists that stop mailings"), nil
}

func mac(key []byte, text string) []byte {
	h := hmac.New(sha256.New, key)
	h.Write([]byte(text))
	return h.Sum(nil)
}

func hasStopped(ctx context.Context, q querier, key []byte, email string) (stopped bool, err error) {
	err = q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM mail_stop WHERE address_mac = ?)`, mac(key, "address "+email)).Scan(&stopped)
	return stopped, err
}

// stopToken names a person in the link that stops mailings; nobody else can
// make one.
func stopToken(key []byte, person int64) string {
	id := strconv.FormatInt(person, 36)
	return id + "-" + base64.RawURLEncoding.EncodeToString(mac(key, "person "+id)[:16])
}

// MayStop says whether a token stops mailings to somebody.
func (db *DB) MayStop(ctx context.Context, token string) error {
	_, _, err := stops(ctx, db.reads, token)
	return err
}

// Stop ends mailings to the address behind a token, and drops those that wait
// for it. Doing it again changes nothing.
func (db *DB) Stop(ctx context.Context, token string) error {
	return db.write(ctx, func(tx *Tx) error {
		email, key, err := stops(ctx, tx, token)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO mail_stop (address_mac, at) VALUES (?, ?)`, mac(key, "address "+email), millis(tx.now)); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `DELETE FROM message WHERE state != 'sent' AND (mailing_id != 0 OR kind = ?)
			AND person_id IN (SELECT person_id FROM address WHERE email_key = ?)`, messageVoter, email)
		return err
	})
}

func stops(ctx context.Context, q querier, token string) (email string, key []byte, err error) {
	key, err = stopKey(ctx, q)
	if err != nil {
		return "", nil, err
	}
	id, _, _ := strings.Cut(token, "-")
	person, err := strconv.ParseInt(id, 36, 64)
	if err != nil || !hmac.Equal([]byte(stopToken(key, person)), []byte(token)) {
		return "", nil, challenge.NotFound(noStop)
	}
	err = q.QueryRowContext(ctx, `SELECT email_key FROM address WHERE person_id = ?`, person).Scan(&email)
	return email, key, missing(err, noStop)
}

const noStop = "This link stops nothing: it is not whole, or the address it was for has been deleted here."
