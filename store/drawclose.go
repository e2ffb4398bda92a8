package store

import (
	"context"
	"crypto/ed25519"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// closeDraw writes the record of a finished draw. The first place goes
// through; alternates stand ready behind it.
//
// A draw declared void decides nothing: everyone on its list goes through, to
// whatever draw is planned next.
func closeDraw(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	state, roster, events, err := loadDraw(ctx, tx, r.ID)
	if err != nil {
		return nil, nil, err
	}
	if !state.Done && !state.Void {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "The draw is not finished: there are places left to fill.")
	}
	if !state.Plan.Frozen() {
		document, err := ledger.Canonical(abandoned{Draw: state.Plan.Draw, Void: true, Events: events})
		if err != nil {
			return nil, nil, err
		}
		out, err := everyoneThrough(ctx, tx, r)
		return document, out, err
	}
	document, err := drawRecord(ctx, tx, c, r, state, roster, events)
	if err != nil {
		return nil, nil, err
	}
	if state.Void {
		out, err := everyoneThrough(ctx, tx, r)
		return document, out, err
	}
	var out []challenge.Placing
	for i, number := range state.Result {
		var dish int64
		if err := tx.QueryRowContext(ctx, `SELECT dish_id FROM entry WHERE challenge_id = ? AND number = ?`, c.ID, number).Scan(&dish); err != nil {
			return nil, nil, err
		}
		out = append(out, challenge.Placing{Dish: dish, Rank: i + 1, Through: i == 0})
	}
	return document, out, nil
}

// abandoned is the document of a draw declared void before its list was
// fixed: there is nothing to verify in it.
type abandoned struct {
	Draw   string       `json:"draw"`
	Void   bool         `json:"void"`
	Events []draw.Event `json:"events"`
}

func everyoneThrough(ctx context.Context, q querier, r challenge.Round) ([]challenge.Placing, error) {
	in, err := rows(ctx, q, scanID, `SELECT dish_id FROM round_in WHERE round_id = ? ORDER BY place`, r.ID)
	out := make([]challenge.Placing, len(in))
	for i, dish := range in {
		out[i] = challenge.Placing{Dish: dish, Rank: i + 1, Through: true, Note: "void"}
	}
	return out, err
}

// drawRecord commits to the outcome and writes the record that anyone can
// check.
func drawRecord(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, s *draw.State, roster draw.Roster, events []draw.Event) ([]byte, error) {
	leaves := []int64{}
	var frozen int64
	if err := tx.QueryRowContext(ctx, `SELECT leaf FROM draw WHERE round_id = ?`, r.ID).Scan(&frozen); err != nil {
		return nil, err
	}
	eventLeaves, err := rows(ctx, tx, scanID, `SELECT leaf FROM draw_event WHERE round_id = ? ORDER BY seq`, r.ID)
	if err != nil {
		return nil, err
	}
	leaves = append(append(leaves, frozen), eventLeaves...)
	if !s.Void {
		body, err := draw.OutcomeBody(s.Plan.Draw, s.Result)
		if err != nil {
			return nil, err
		}
		leaf, err := recordBody(ctx, tx, c.ID, challenge.EventDraw, r.Position, body)
		if err != nil {
			return nil, err
		}
		leaves = append(leaves, leaf)
	}
	pins, err := drawPins(ctx, tx, c, leaves, len(events))
	if err != nil {
		return nil, err
	}
	return draw.Build(s.Plan, roster, events, pins)
}

// drawPins ties the leaves (the frozen roster, each event, and the outcome
// where there is one) to a signed checkpoint.
func drawPins(ctx context.Context, q querier, c challenge.Challenge, leaves []int64, events int) (draw.Pins, error) {
	signed, err := checkpoint(ctx, q, c.ID, c.Slug)
	if err != nil {
		return draw.Pins{}, err
	}
	key, err := ledgerKey(ctx, q)
	if err != nil {
		return draw.Pins{}, err
	}
	pins := draw.Pins{Checkpoint: signed, Key: draw.KeyText(key.Public().(ed25519.PublicKey)), Events: []draw.Pin{}}
	for i, leaf := range leaves {
		pin, err := drawPin(ctx, q, c.ID, signed, leaf)
		switch {
		case err != nil:
			return draw.Pins{}, err
		case i == 0:
			pins.Frozen = pin
		case i <= events:
			pins.Events = append(pins.Events, pin)
		default:
			pins.Outcome = &pin
		}
	}
	pins.Earlier, err = headsBefore(ctx, q, c.ID, signed, leaves[0]+1)
	return pins, err
}

// headsBefore names the head that the public page showed when the list had
// been fixed, so that whoever kept it needs no further proof.
func headsBefore(ctx context.Context, q querier, challengeID int64, signed string, size int64) ([]draw.EarlierHead, error) {
	now, err := ledger.ParseCheckpoint(signed)
	if err != nil || size >= now.Size {
		return nil, err
	}
	read := nodeReader(ctx, q, challengeID)
	e := draw.EarlierHead{Size: size}
	if e.Root, err = ledger.Root(size, read); err != nil {
		return nil, err
	}
	e.Proof, err = ledger.Consistency(size, now.Size, read)
	return []draw.EarlierHead{e}, err
}

func drawPin(ctx context.Context, q querier, challengeID int64, signed string, leaf int64) (draw.Pin, error) {
	head, err := ledger.ParseCheckpoint(signed)
	if err != nil {
		return draw.Pin{}, err
	}
	var salt []byte
	if err := q.QueryRowContext(ctx, `SELECT salt FROM ledger_body WHERE challenge_id = ? AND seq = ?`, challengeID, leaf).Scan(&salt); err != nil {
		return draw.Pin{}, err
	}
	proof, err := ledger.Inclusion(head.Size, leaf, nodeReader(ctx, q, challengeID))
	return draw.Pin{Leaf: leaf, Salt: ledger.Salt(salt), Proof: proof}, err
}
