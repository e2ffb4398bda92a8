package store

import (
	"context"
	"database/sql"
	"errors"
	"strings"
	"time"

	"fairladle/challenge"
)

// A PrizeGiven is a prize and to whom it was offered so far, oldest first.
type PrizeGiven struct {
	Prize  challenge.Prize
	Offers []challenge.Offer
	Next   int // number of the entry whose turn is next; 0 for none
}

// Last is the newest offer; ok is false for none.
func (p PrizeGiven) Last() (o challenge.Offer, ok bool) {
	if len(p.Offers) == 0 {
		return o, false
	}
	return p.Offers[len(p.Offers)-1], true
}

// Prize shows the prize of a challenge to its host, without any address.
func (db *DB) Prize(ctx context.Context, a challenge.Actor, c challenge.Challenge, turn challenge.Turn) (p PrizeGiven, err error) {
	if err := challenge.May(a, challenge.EditChallenge, c.ID); err != nil {
		return p, err
	}
	err = db.read(ctx, func(q querier) error {
		if p, err = prizeOf(ctx, q, c.ID); err != nil {
			return err
		}
		if p.Prize.Turn != "" {
			turn = p.Prize.Turn
		}
		dish, number, err := nextInTurn(ctx, q, c, turn, db.now())
		if dish != 0 {
			p.Next = number
		}
		return err
	})
	return p, err
}

func prizeOf(ctx context.Context, q querier, challengeID int64) (p PrizeGiven, err error) {
	err = q.QueryRowContext(ctx, `SELECT what, turn, days FROM prize WHERE challenge_id = ?`, challengeID).Scan(&p.Prize.What, &p.Prize.Turn, &p.Prize.Days)
	if errors.Is(err, sql.ErrNoRows) {
		return p, nil
	}
	if err != nil {
		return p, err
	}
	p.Offers, err = rows(ctx, q, scanOffer, offerSelect+`WHERE prize_offer.challenge_id = ? ORDER BY prize_offer.id`, challengeID)
	return p, err
}

// A message that is gone was one whose link the entrant replaced: then the
// entrant was on the page that tells of the offer.
const offerSelect = `SELECT entry.number, prize_offer.dish_id, offered_at, due_at,
	CASE WHEN message.id IS NULL THEN offered_at WHEN message.state = 'sent' THEN message.sent_at ELSE 0 END,
	answer, answered_at, address_at, prize_offer.sent_at
	FROM prize_offer JOIN entry ON entry.dish_id = prize_offer.dish_id LEFT JOIN message ON message.id = prize_offer.message_id `

func scanOffer(r *sql.Rows) (o challenge.Offer, err error) {
	var offered, due, told, answered, address, sent int64
	err = r.Scan(&o.Number, &o.Dish, &offered, &due, &told, &o.Answer, &answered, &address, &sent)
	o.OfferedAt, o.DueAt, o.ToldAt, o.AnsweredAt, o.AddressAt, o.SentAt = moment(offered), moment(due), moment(told), moment(answered), moment(address), moment(sent)
	return o, err
}

// OfferPrize offers the prize to whoever is next. The first offer fixes what
// it is, whose order decides and how long there is to accept it. Until the
// outcome that decides is released nothing is offered.
func (db *DB) OfferPrize(ctx context.Context, a challenge.Actor, challengeID int64, prize challenge.Prize) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		if !c.Prize {
			return challenge.Refuse(challenge.Shut, "", "The settings say that there is no prize.")
		}
		p, err := prizeOf(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		if last, any := p.Last(); any {
			switch state := last.State(tx.now); {
			case state == challenge.Offered && !tx.now.Before(last.DueAt), state == challenge.Lapsed && last.Answer == "":
				// The message about it never went out, or the date passed just now.
				return answered(ctx, tx, challengeID, last, challenge.Lapsed, a.Role)
			case state == challenge.Offered:
				return challenge.Refuse(challenge.Stale, "", "The prize is offered to No. %v already, and there is time to answer.", last.Number)
			case state == challenge.Accepted, state == challenge.Sent:
				return challenge.Refuse(challenge.Stale, "", "The prize has been accepted already.")
			}
		} else {
			if err := prize.Check(); err != nil {
				return err
			}
			if _, err := tx.ExecContext(ctx, `INSERT INTO prize (challenge_id, what, turn, days) VALUES (?, ?, ?, ?)
				ON CONFLICT (challenge_id) DO UPDATE SET what = excluded.what, turn = excluded.turn, days = excluded.days`,
				challengeID, strings.TrimSpace(prize.What), prize.Turn, prize.Days); err != nil {
				return err
			}
			p.Prize = prize
		}
		return offerNext(ctx, tx, c, p.Prize, a.Role)
	})
}

// offerNext makes the offer to whoever is next and leaves a message about it.
func offerNext(ctx context.Context, tx *Tx, c challenge.Challenge, prize challenge.Prize, by challenge.Role) error {
	dish, number, err := nextInTurn(ctx, tx, c, prize.Turn, tx.now)
	if err != nil {
		return err
	}
	if dish == 0 {
		return challenge.Refuse(challenge.Shut, "", "There is nobody left to offer it to, or the outcome that decides is not released yet.")
	}
	if err := tellEntrant(ctx, tx, c.ID, dish, messagePrize); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO prize_offer (challenge_id, dish_id, message_id, offered_at, due_at)
		VALUES (?, ?, (SELECT max(id) FROM message WHERE dish_id = ?2 AND kind = ?3), ?4, ?5)`,
		c.ID, dish, messagePrize, millis(tx.now), millis(tx.now.AddDate(0, 0, prize.Days))); err != nil {
		return err
	}
	return record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventPrizeOffered, Entry: number, By: by})
}

// nextInTurn is the first entry in the order that decides which still takes
// part and was not offered the prize before; 0 where there is none, or the
// order is not released.
func nextInTurn(ctx context.Context, q querier, c challenge.Challenge, turn challenge.Turn, now time.Time) (dish int64, number int, err error) {
	order, err := disclosure{ctx: ctx, q: q, challenge: c, shows: c.Shows(challenge.Public, now)}.turns(turn)
	if err != nil {
		return 0, 0, err
	}
	for _, id := range order {
		err := q.QueryRowContext(ctx, `SELECT dish_id, number FROM entry WHERE dish_id = ? AND state = 'in'
			AND NOT EXISTS (SELECT 1 FROM prize_offer WHERE prize_offer.dish_id = entry.dish_id)`, id).Scan(&dish, &number)
		if !errors.Is(err, sql.ErrNoRows) {
			return dish, number, err
		}
	}
	return 0, 0, nil
}

// turns are the dishes in the order that decides, as far as it is public.
func (d disclosure) turns(turn challenge.Turn) (order []int64, err error) {
	if turn == challenge.ByDraw {
		for _, r := range d.shown(challenge.Draw) {
			out, err := outcome(d.ctx, d.q, r.ID)
			if err != nil {
				return nil, err
			}
			if len(out) == 0 || out[0].Note == "void" {
				continue
			}
			order = nil
			for _, p := range out {
				order = append(order, p.Dish)
			}
		}
		return order, nil
	}
	x, err := d.all()
	for _, level := range x.Final {
		for _, dish := range level {
			order = append(order, dish.ID)
		}
	}
	return order, err
}

// PassOnPrizes offers a prize whose date passed without an answer to whoever
// is next, and deletes addresses that nobody used for a long time.
func (db *DB) PassOnPrizes(ctx context.Context) error {
	const open = `SELECT challenge_id FROM prize_offer WHERE answer = '' AND due_at <= ? ORDER BY due_at`
	const old = `SELECT id FROM prize_offer WHERE address <> '' AND address_at <= ?`
	now := db.now()
	kept := millis(now.AddDate(0, 0, -challenge.AddressKeptDays))
	due, err := rows(ctx, db.reads, scanID, open, millis(now))
	if err != nil {
		return err
	}
	stale, err := rows(ctx, db.reads, scanID, old, kept)
	if err != nil || len(due)+len(stale) == 0 {
		return err
	}
	err = db.write(ctx, func(tx *Tx) error {
		for _, id := range due {
			if err := passOn(ctx, tx, id); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, `UPDATE prize_offer SET address = '' WHERE address <> '' AND address_at <= ?`, kept)
		return err
	})
	if err == nil && len(stale) > 0 {
		err = db.emptyLog(ctx)
	}
	return err
}

func passOn(ctx context.Context, tx *Tx, challengeID int64) error {
	p, err := prizeOf(ctx, tx, challengeID)
	if err != nil {
		return err
	}
	last, any := p.Last()
	if !any || last.Answer != "" || last.State(tx.now) != challenge.Lapsed {
		return nil
	}
	return answered(ctx, tx, challengeID, last, challenge.Lapsed, challenge.Host)
}

// answered ends an offer and, unless it was accepted, makes the next one where
// there is somebody left.
func answered(ctx context.Context, tx *Tx, challengeID int64, o challenge.Offer, answer challenge.OfferState, by challenge.Role) error {
	if _, err := tx.ExecContext(ctx, `UPDATE prize_offer SET answer = ?, answered_at = ? WHERE dish_id = ?`, answer, millis(tx.now), o.Dish); err != nil {
		return err
	}
	if err := record(ctx, tx, challengeID, challenge.Event{Kind: challenge.EventPrizeAnswered, Entry: o.Number, By: by, Reason: string(answer)}); err != nil {
		return err
	}
	if answer == challenge.Accepted {
		return nil
	}
	c, err := challengeByID(ctx, tx, challengeID)
	if err != nil {
		return err
	}
	p, err := prizeOf(ctx, tx, challengeID)
	if err != nil {
		return err
	}
	err = offerNext(ctx, tx, c, p.Prize, by)
	if re, refused := errors.AsType[*challenge.Refusal](err); refused && re.Why == challenge.Shut {
		return nil
	}
	return err
}
