package store

import (
	"context"
	"database/sql"
	"errors"
	"strings"

	"fairladle/challenge"
)

// An OwnPrize is a prize offered to the holder of an entry's private link.
type OwnPrize struct {
	What    string
	Offer   challenge.Offer
	Address string // as given; gone once the prize is sent
}

// OwnPrize finds the offer on an entrant's private page; ok is false for none.
func (db *DB) OwnPrize(ctx context.Context, a challenge.Actor) (p OwnPrize, ok bool, err error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return p, false, err
	}
	err = db.read(ctx, func(q querier) error {
		p, ok, err = ownPrize(ctx, q, a)
		return err
	})
	return p, ok, err
}

func ownPrize(ctx context.Context, q querier, a challenge.Actor) (p OwnPrize, ok bool, err error) {
	offers, err := rows(ctx, q, scanOffer, offerSelect+`WHERE prize_offer.dish_id = ?`, a.ID)
	if err != nil || len(offers) == 0 {
		return p, false, err
	}
	p.Offer = offers[0]
	err = q.QueryRowContext(ctx, `SELECT what, address FROM prize_offer JOIN prize ON prize.challenge_id = prize_offer.challenge_id WHERE dish_id = ?`, a.ID).Scan(&p.What, &p.Address)
	return p, err == nil, err
}

// AnswerPrize accepts or declines. Declined, it goes to whoever is next.
func (db *DB) AnswerPrize(ctx context.Context, a challenge.Actor, accept bool) error {
	return db.writeOwnPrize(ctx, a, func(tx *Tx, p OwnPrize) error {
		switch p.Offer.State(tx.now) {
		case challenge.Offered:
		case challenge.Lapsed:
			return challenge.Refuse(challenge.Shut, "", "The date to accept the prize has passed, and it goes to somebody else.")
		default:
			return challenge.Refuse(challenge.Stale, "", "You have answered already.")
		}
		answer := challenge.Declined
		if accept {
			answer = challenge.Accepted
		}
		return answered(ctx, tx, a.Challenge, p.Offer, answer, a.Role)
	})
}

// PrizeAddress keeps where an accepted prize is sent to, until it has been
// sent.
func (db *DB) PrizeAddress(ctx context.Context, a challenge.Actor, address string) error {
	if err := challenge.CheckPostal(address); err != nil {
		return err
	}
	return db.writeOwnPrize(ctx, a, func(tx *Tx, p OwnPrize) error {
		switch p.Offer.State(tx.now) {
		case challenge.Accepted:
		case challenge.Sent:
			return challenge.Refuse(challenge.Shut, "", "The prize has been sent already.")
		default:
			return challenge.Refuse(challenge.Shut, "", "Accept the prize first.")
		}
		_, err := tx.ExecContext(ctx, `UPDATE prize_offer SET address = ?, address_at = ? WHERE dish_id = ?`, strings.TrimSpace(challenge.KeptText(address)), millis(tx.now), a.ID)
		return err
	})
}

func (db *DB) writeOwnPrize(ctx context.Context, a challenge.Actor, do func(*Tx, OwnPrize) error) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		p, ok, err := ownPrize(ctx, tx, a)
		if err != nil {
			return err
		}
		if !ok {
			return challenge.NotFound("There is no prize for this entry.")
		}
		return do(tx, p)
	})
}

// PrizePostal is the address an accepted prize goes to, for the host; that it
// was looked at is kept.
func (db *DB) PrizePostal(ctx context.Context, a challenge.Actor, challengeID int64) (address string, err error) {
	if err := challenge.May(a, challenge.SeeAddress, challengeID); err != nil {
		return "", err
	}
	err = db.write(ctx, func(tx *Tx) error {
		var person int64
		err := tx.QueryRowContext(ctx, `SELECT address, entrant.person_id FROM prize_offer JOIN entrant ON entrant.dish_id = prize_offer.dish_id
			WHERE challenge_id = ? AND answer = 'accepted' AND address <> ''`, challengeID).Scan(&address, &person)
		if errors.Is(err, sql.ErrNoRows) {
			return challenge.NotFound("There is no address, or it has been deleted.")
		}
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO address_look (host_id, person_id, at) VALUES (?, ?, ?)`, a.ID, person, millis(tx.now))
		return err
	})
	return address, err
}

// PrizeSent notes that an accepted prize was sent, and deletes the address.
func (db *DB) PrizeSent(ctx context.Context, a challenge.Actor, challengeID int64) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	err := db.write(ctx, func(tx *Tx) error {
		res, err := tx.ExecContext(ctx, `UPDATE prize_offer SET address = '', sent_at = ? WHERE challenge_id = ? AND answer = 'accepted' AND sent_at = 0`, millis(tx.now), challengeID)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, challenge.Refuse(challenge.Stale, "", "There is no accepted prize that waits to be sent."))
		}
		return nil
	})
	if err != nil {
		return err
	}
	return db.emptyLog(ctx)
}
