package store

import (
	"context"
	"database/sql"
	"strings"

	"fairladle/challenge"
)

// A Participant is a co-host, reader or judge of a challenge.
type Participant struct {
	ID      int64
	Role    challenge.Role
	Name    string
	Removed bool
	Credit  string // a judge's own choice: the name beside what may be quoted; empty for none
	// Pictures: a judge who sees pictures only, and scores what needs no
	// tasting.
	Pictures bool
	// Home: a judge who cooks at home, and for how many; 0 sits at the table.
	Home int
}

// Invite makes a participant and the token of a private link. Email may be
// empty: then the host passes the link on by hand.
func (db *DB) Invite(ctx context.Context, a challenge.Actor, challengeID int64, role challenge.Role, name, email string) (token string, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return "", err
	}
	var bad challenge.Refusals
	if name = strings.TrimSpace(name); name == "" || len(name) > challenge.MaxName || strings.ContainsAny(name, "\r\n") {
		bad.Add("name", "Give the name of the person you invite, on one line.")
	}
	if email = strings.TrimSpace(email); email != "" {
		if _, err := challenge.AddressKey(email); err != nil {
			bad.Add("email", "This does not look like an e-mail address. Check it for typing errors.")
		}
	}
	purpose, ok := purposes[role]
	if !ok {
		bad.Add("role", "Choose co-host, reader or judge.")
	}
	if len(bad) > 0 {
		return "", bad
	}
	err = db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		person, err := addPerson(ctx, tx, name, "", email)
		if err != nil {
			return err
		}
		var id int64
		err = tx.QueryRowContext(ctx, `INSERT INTO participant (challenge_id, role, person_id, created_at) VALUES (?, ?, ?, ?) RETURNING id`,
			challengeID, role, person, millis(tx.now)).Scan(&id)
		if err != nil {
			return err
		}
		if err := dealAgain(ctx, tx, challengeID); err != nil {
			return err
		}
		if token, err = newLink(ctx, tx, purpose, challengeID, id, 0); err != nil || email == "" {
			return err
		}
		return addMessage(ctx, tx, c, person, invitation(role), token)
	})
	return token, err
}

var purposes = map[challenge.Role]Purpose{challenge.Cohost: ForCohost, challenge.Reader: ForReader, challenge.Judge: ForJudge}

// Participants lists who takes part in a challenge besides its entrants.
func (db *DB) Participants(ctx context.Context, a challenge.Actor, challengeID int64) ([]Participant, error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return nil, err
	}
	return participants(ctx, db.reads, challengeID)
}

func participants(ctx context.Context, q querier, challengeID int64) ([]Participant, error) {
	scan := func(r *sql.Rows) (p Participant, err error) {
		return p, r.Scan(&p.ID, &p.Role, &p.Name, &p.Removed, &p.Credit, &p.Pictures, &p.Home)
	}
	return rows(ctx, q, scan, `SELECT participant.id, participant.role, person.name, participant.removed_at > 0, credit, pictures, home
		FROM participant JOIN person ON person.id = participant.person_id WHERE challenge_id = ? ORDER BY participant.role, participant.id`, challengeID)
}

// RenewLink withdraws a participant's links and makes a new one.
func (db *DB) RenewLink(ctx context.Context, a challenge.Actor, challengeID, participant int64) (token string, err error) {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		p, err := participantByID(ctx, tx, challengeID, participant)
		if err != nil {
			return err
		}
		if p.Removed {
			return challenge.Refuse(challenge.Shut, "", "This person no longer takes part. Invite them again.")
		}
		if err := revokeLinks(ctx, tx, purposes[p.Role], p.ID); err != nil {
			return err
		}
		token, err = newLink(ctx, tx, purposes[p.Role], challengeID, p.ID, 0)
		return err
	})
	return token, err
}

// Remove ends a participant's part: the links stop working, what was marked or
// sealed stays.
func (db *DB) Remove(ctx context.Context, a challenge.Actor, challengeID, participant int64) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		p, err := participantByID(ctx, tx, challengeID, participant)
		if err != nil {
			return err
		}
		if err := revokeLinks(ctx, tx, purposes[p.Role], p.ID); err != nil {
			return err
		}
		if _, err = tx.ExecContext(ctx, `UPDATE participant SET removed_at = ? WHERE id = ?`, millis(tx.now), p.ID); err != nil {
			return err
		}
		return dealAgain(ctx, tx, challengeID)
	})
}

// Participant finds one participant.
func (db *DB) Participant(ctx context.Context, challengeID, id int64) (Participant, error) {
	return participantByID(ctx, db.reads, challengeID, id)
}

func participantByID(ctx context.Context, q querier, challengeID, id int64) (Participant, error) {
	var p Participant
	err := q.QueryRowContext(ctx, `SELECT participant.id, participant.role, person.name, participant.removed_at > 0, credit, pictures, home
		FROM participant JOIN person ON person.id = participant.person_id WHERE participant.challenge_id = ? AND participant.id = ?`,
		challengeID, id).Scan(&p.ID, &p.Role, &p.Name, &p.Removed, &p.Credit, &p.Pictures, &p.Home)
	return p, missing(err, "There is no such participant.")
}
