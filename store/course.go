package store

import (
	"context"
	"crypto/ed25519"
	"database/sql"
	"encoding/json"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// A course is a draw as it is kept: what was fixed beforehand, and what
// happened since, each with its leaf of the ledger. The draw of a round and a
// rehearsal of it differ only in where they lie.
type course struct {
	id     int64  // of the round, or of the rehearsal
	kind   string // of its leaves
	insert string // the statement that keeps an event

	plan   draw.Plan
	list   *draw.List // nil until it is fixed
	leaf   int64      // that fixed it, -1 until then
	events []draw.Event
	leaves []int64 // of the events
	state  *draw.State
}

// drawOf loads and replays the draw of a round.
func drawOf(ctx context.Context, q querier, round int64) (*course, error) {
	x := &course{id: round, kind: challenge.EventDraw, insert: `INSERT INTO draw_event (round_id, seq, event, leaf) VALUES (?, ?, ?, ?)`}
	var plan []byte
	err := q.QueryRowContext(ctx, `SELECT plan, leaf FROM draw WHERE round_id = ?`, round).Scan(&plan, &x.leaf)
	if err != nil {
		return nil, missing(err, "This draw has not been opened yet.")
	}
	err = x.load(ctx, q, plan, func() (r draw.Roster, err error) {
		var b []byte
		if err := q.QueryRowContext(ctx, `SELECT roster FROM draw WHERE round_id = ?`, round).Scan(&b); err != nil {
			return nil, err
		}
		return rosterFromJSON(b)
	}, `SELECT event, leaf FROM draw_event WHERE round_id = ? ORDER BY seq`)
	return x, err
}

// load reads what a course consists of; roster is asked only where the list is
// not at hand.
func (x *course) load(ctx context.Context, q querier, plan []byte, roster func() (draw.Roster, error), events string) error {
	if err := json.Unmarshal(plan, &x.plan); err != nil {
		return err
	}
	var err error
	if x.plan.Frozen() {
		if x.list, err = worked(q).of(string(plan), roster); err != nil {
			return err
		}
	}
	scan := func(r *sql.Rows) (e draw.Event, err error) {
		var b []byte
		var leaf int64
		if err := r.Scan(&b, &leaf); err != nil {
			return e, err
		}
		x.leaves = append(x.leaves, leaf)
		return e, json.Unmarshal(b, &e)
	}
	if x.events, err = rows(ctx, q, scan, events, x.id); err != nil {
		return err
	}
	x.state, err = x.list.Replay(x.plan, x.events)
	return err
}

func (x *course) roster() draw.Roster {
	if x.list == nil {
		return nil
	}
	return x.list.Roster()
}

// add records an event that the draw allows, in its ledger and beside it.
func (x *course) add(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, e draw.Event) error {
	e.At = x.notBefore(draw.At(tx.now))
	if err := x.state.Apply(e); err != nil {
		return drawRefusal(err)
	}
	body, err := draw.EventBody(x.plan.Draw, e)
	if err != nil {
		return err
	}
	leaf, err := recordBody(ctx, tx, c.ID, x.kind, r.Position, body)
	if err != nil {
		return err
	}
	x.events, x.leaves = append(x.events, e), append(x.leaves, leaf)
	_, err = tx.ExecContext(ctx, x.insert, x.id, e.N, jsonText(e), leaf)
	return err
}

// notBefore keeps a clock that was set back from standing in the way of a
// draw: nothing is stamped earlier than what was recorded before it.
func (x *course) notBefore(at draw.Moment) draw.Moment {
	last := x.plan.FrozenAt
	if n := len(x.events); n > 0 && last.Before(x.events[n-1].At) {
		last = x.events[n-1].At
	}
	if at.Before(last) {
		return last
	}
	return at
}

// record writes the document that anyone can check. outcome is the leaf that
// commits to what was drawn, nil for a draw without one.
func (x *course) record(ctx context.Context, q querier, c challenge.Challenge, outcome *int64) ([]byte, error) {
	signed, err := checkpoint(ctx, q, c.ID, c.Slug)
	if err != nil {
		return nil, err
	}
	head, err := ledger.ParseCheckpoint(signed)
	if err != nil {
		return nil, err
	}
	key, err := ledgerKey(ctx, q)
	if err != nil {
		return nil, err
	}
	pins := draw.Pins{Checkpoint: signed, Key: draw.KeyText(key.Public().(ed25519.PublicKey)), Events: []draw.Pin{}}
	if pins.Frozen, err = pin(ctx, q, c.ID, head, x.leaf); err != nil {
		return nil, err
	}
	for _, leaf := range x.leaves {
		p, err := pin(ctx, q, c.ID, head, leaf)
		if err != nil {
			return nil, err
		}
		pins.Events = append(pins.Events, p)
	}
	if outcome != nil {
		p, err := pin(ctx, q, c.ID, head, *outcome)
		if err != nil {
			return nil, err
		}
		pins.Outcome = &p
	}
	if pins.Earlier, err = headsBefore(ctx, q, c.ID, head, x.leaf+1); err != nil {
		return nil, err
	}
	return draw.Build(x.plan, x.roster(), x.events, pins)
}

// pin ties one leaf to a head.
func pin(ctx context.Context, q querier, challengeID int64, head ledger.Checkpoint, leaf int64) (draw.Pin, error) {
	var salt []byte
	if err := q.QueryRowContext(ctx, `SELECT salt FROM ledger_body WHERE challenge_id = ? AND seq = ?`, challengeID, leaf).Scan(&salt); err != nil {
		return draw.Pin{}, err
	}
	proof, err := ledger.Inclusion(head.Size, leaf, nodeReader(ctx, q, challengeID))
	return draw.Pin{Leaf: leaf, Salt: ledger.Salt(salt), Proof: proof}, err
}

// headsBefore names the head that the public page showed when the list had
// been fixed, so that whoever kept it needs no further proof.
func headsBefore(ctx context.Context, q querier, challengeID int64, now ledger.Checkpoint, size int64) ([]draw.EarlierHead, error) {
	if size >= now.Size {
		return nil, nil
	}
	read := nodeReader(ctx, q, challengeID)
	e := draw.EarlierHead{Size: size}
	var err error
	if e.Root, err = ledger.Root(size, read); err != nil {
		return nil, err
	}
	e.Proof, err = ledger.Consistency(size, now.Size, read)
	return []draw.EarlierHead{e}, err
}
