package store

import (
	"context"
	"encoding/json"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// A ClosingList is the list of all entries that took part when entries closed,
// by number only.
type ClosingList struct {
	FixedAt    time.Time
	List       *draw.List
	Leaf       int64 // the ledger leaf that names its root
	Checkpoint string
}

// recordClosing writes down that entries have closed, and fixes the list of
// all entries that take part: its root is in the event.
func recordClosing(ctx context.Context, tx *Tx, id int64) error {
	c, err := challengeByID(ctx, tx, id)
	if err != nil {
		return err
	}
	res, err := tx.ExecContext(ctx, `UPDATE challenge SET closed_at = ? WHERE id = ? AND closed_at = 0`, millis(tx.now), id)
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return err
	}
	var roster draw.Roster
	roster, err = rows(ctx, tx, scanTicket, rosterSelect+`WHERE entry.challenge_id = ? AND entry.state = 'in' ORDER BY entry.number`, id)
	if err != nil {
		return err
	}
	leaf, err := recordLeaf(ctx, tx, id, challenge.Event{Kind: challenge.EventEntriesClosed,
		Detail: closing{Entries: c.Entries, LastNumber: c.LastNumber, List: roster.Extent()}})
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO closing_list (challenge_id, roster, fixed_at, leaf) VALUES (?, ?, ?, ?)`,
		id, jsonText(append(draw.Roster{}, roster...)), millis(tx.now), leaf)
	return err
}

// closing is the detail of the event that entries have closed.
type closing struct {
	Entries    int         `json:"entries"`
	LastNumber int         `json:"last_number"`
	List       draw.Extent `json:"list"`
}

// Listed says whether the list of all entries is fixed.
func (db *DB) Listed(ctx context.Context, challengeID int64) (listed bool, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM closing_list WHERE challenge_id = ?)`, challengeID).Scan(&listed)
	return listed, err
}

// ClosingList returns the list of all entries as it stood when entries closed;
// it refuses (Missing) before that.
func (db *DB) ClosingList(ctx context.Context, c challenge.Challenge) (l ClosingList, err error) {
	err = db.read(ctx, func(q querier) error {
		if l, err = closingList(ctx, q, c.ID); err != nil {
			return missing(err, "The list of entries is fixed when entries have closed. It appears here then.")
		}
		l.Checkpoint, err = checkpoint(ctx, q, c.ID, c.Slug)
		return err
	})
	return l, err
}

// closingList reads what a database holds; the list itself is worked out once.
func closingList(ctx context.Context, q querier, challengeID int64) (l ClosingList, err error) {
	var at int64
	err = q.QueryRowContext(ctx, `SELECT fixed_at, leaf FROM closing_list WHERE challenge_id = ?`, challengeID).Scan(&at, &l.Leaf)
	if err != nil {
		return l, err
	}
	var content []byte // what the leaf commits to names the list's root, and so the list
	if err = q.QueryRowContext(ctx, `SELECT content FROM ledger_leaf WHERE challenge_id = ? AND seq = ?`, challengeID, l.Leaf).Scan(&content); err != nil {
		return l, err
	}
	l.FixedAt = moment(at)
	l.List, err = worked(q).of(string(content), func() (draw.Roster, error) {
		var roster []byte
		if err := q.QueryRowContext(ctx, `SELECT roster FROM closing_list WHERE challenge_id = ?`, challengeID).Scan(&roster); err != nil {
			return nil, err
		}
		return rosterFromJSON(roster)
	})
	return l, err
}

// closings compares the closing list with the leaf that fixed it.
func (k checking) closings() error {
	var leaf int64
	var stored []byte
	err := k.q.QueryRowContext(k.ctx, `SELECT leaf, roster FROM closing_list WHERE challenge_id = ?`, k.id).Scan(&leaf, &stored)
	if err != nil {
		return ignoreNoRows(err)
	}
	k.expect(leaf, func(body []byte) bool {
		var e struct{ Detail closing }
		roster, err := rosterFromJSON(stored)
		return err == nil && json.Unmarshal(body, &e) == nil && e.Detail.List == roster.Extent()
	}, "the stored list of entries is not what was fixed when they closed")
	return nil
}

// standingAt says whether an entry stands in a list.
func standingAt(s Standing, l *draw.List, number int, content ledger.Commitment) (_ Standing, err error) {
	s.Root = l.Extent().Root
	index, in := l.Find(number)
	if !in {
		return s, nil
	}
	t := l.Roster()[index]
	s.In, s.Index, s.Commitment, s.Unaltered, s.Tickets = true, int64(index), t.Commitment, t.Commitment == content, t.Weight
	s.Proof, err = l.Inclusion(index)
	return s, err
}
