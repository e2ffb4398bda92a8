package store

import (
	"context"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// maxStandIns bounds the judges of a challenge once stand-ins are let in.
const maxStandIns = 60

// StandInLink makes a link that lets guests at the table score, where the
// locked rule says so. It works until the next day, or until the tasting
// closes.
func (db *DB) StandInLink(ctx context.Context, a challenge.Actor, challengeID, round int64) (token string, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := mayStandIn(ctx, tx, r); err != nil {
			return err
		}
		token, err = newLink(ctx, tx, ForStandIn, challengeID, round, 24*time.Hour)
		return err
	})
	return token, err
}

func mayStandIn(ctx context.Context, q querier, r challenge.Round) error {
	if err := roundUnderWay(ctx, q, r.Challenge, r.ID, challenge.Tasting, 0); err != nil {
		return err
	}
	if r.Params.Rule.Below != tasting.StandIns {
		return challenge.Refuse(challenge.Shut, "", "The rules of this tasting have no stand-ins.")
	}
	settling, err := tieOpen(ctx, q, r.ID)
	if err == nil && settling {
		err = challenge.Refuse(challenge.Shut, "", "The tasting is over: a tie is being settled by a draw.")
	}
	return err
}

// StandIn finds the tasting behind a stand-ins' link.
func (db *DB) StandIn(ctx context.Context, token string) (c challenge.Challenge, err error) {
	l, err := db.FollowLink(ctx, ForStandIn, token)
	if err != nil {
		return c, err
	}
	err = db.read(ctx, func(q querier) error {
		var r challenge.Round
		if c, r, err = challengeAndRound(ctx, q, l.Challenge, l.Subject); err != nil {
			return err
		}
		return mayStandIn(ctx, q, r)
	})
	return c, err
}

// TakeSeat makes a guest a judge and returns the token of their private link.
func (db *DB) TakeSeat(ctx context.Context, token, name string) (judge string, err error) {
	if name = strings.TrimSpace(name); name == "" || len(name) > challenge.MaxName || strings.ContainsAny(name, "\r\n") {
		return "", challenge.Refuse(challenge.Invalid, "name", "Give your name, on one line.")
	}
	err = db.write(ctx, func(tx *Tx) error {
		l, err := followLink(ctx, tx, ForStandIn, token, tx.now)
		if err != nil {
			return err
		}
		_, r, err := challengeAndRound(ctx, tx, l.Challenge, l.Subject)
		if err != nil {
			return err
		}
		if err := mayStandIn(ctx, tx, r); err != nil {
			return err
		}
		judge, err = seatStandIn(ctx, tx, r, name)
		return err
	})
	return judge, err
}

func seatStandIn(ctx context.Context, tx *Tx, r challenge.Round, name string) (string, error) {
	var judges int
	if err := tx.QueryRowContext(ctx, `SELECT count(*) FROM participant WHERE challenge_id = ? AND role = 'judge'`, r.Challenge).Scan(&judges); err != nil {
		return "", err
	}
	if judges >= maxStandIns {
		return "", challenge.Refuse(challenge.Shut, "", "Every seat at this table is taken. Tell the host.")
	}
	person, err := addPerson(ctx, tx, name+" (stand-in)", "", "")
	if err != nil {
		return "", err
	}
	var id int64
	if err := tx.QueryRowContext(ctx, `INSERT INTO participant (challenge_id, role, person_id, created_at) VALUES (?, 'judge', ?, ?) RETURNING id`,
		r.Challenge, person, millis(tx.now)).Scan(&id); err != nil {
		return "", err
	}
	return newLink(ctx, tx, ForJudge, r.Challenge, id, 0)
}
