package store

import (
	"context"
	"crypto/ed25519"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// ServerParty is the name under which the server gives a secret of its own to
// a draw by sealed seeds.
const ServerParty = "server"

// A DrawState is a draw as far as it has come, and the dishes on its roster.
type DrawState struct {
	State  *draw.State
	Awaits draw.Awaits
	Dishes map[int]Dish // by entry number
}

// openDraw announces the draw. Dice need nothing more before the roll, so
// their roster is frozen in the same unit; sealed seeds are sealed first.
func openDraw(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, in []int64) error {
	plan := drawPlan(tx, c, r, len(in))
	if err := plan.Check(); err != nil {
		return drawRefusal(err)
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO draw (round_id, plan) VALUES (?, ?)`, r.ID, jsonText(plan)); err != nil {
		return err
	}
	if plan.Method == draw.ByDice {
		return freeze(ctx, tx, c, r)
	}
	for _, p := range plan.Seeds.Parties {
		if p == ServerParty {
			return sealServerSeed(ctx, tx, c, r, plan)
		}
	}
	return nil
}

// drawName names a draw for ever: no two draws share it.
func drawName(c challenge.Challenge, r challenge.Round) string {
	return fmt.Sprintf("%s, round %d", c.Slug, r.Position)
}

func drawPlan(tx *Tx, c challenge.Challenge, r challenge.Round, in int) draw.Plan {
	p := draw.Plan{Draw: drawName(c, r), Challenge: c.Title, Method: draw.Method(r.Params.Method),
		Places: min(r.Params.Places, in), AnnouncedAt: draw.At(tx.now)}
	if at := c.ReleaseOf(r); at.After(tx.now) {
		p.ReleaseAt = draw.At(at)
	}
	switch p.Method {
	case draw.ByDice:
		p.Dice = &draw.Dice{Faces: r.Params.Faces}
	case draw.BySeeds:
		step := int64(r.Params.Minutes) * 60_000
		p.Seeds = &draw.Seeds{Parties: r.Params.Parties, CommitBy: draw.At(moment(millis(tx.now) + step)), RevealBy: draw.At(moment(millis(tx.now) + 2*step))}
		p.Fallback = &draw.Dice{Faces: []int{20}}
	}
	return p
}

// drawRefusal turns a refusal of package draw into one a page can show.
func drawRefusal(err error) error {
	d, ok := errors.AsType[draw.Refusal](err)
	if !ok {
		return err
	}
	why := challenge.Invalid
	switch d.Code {
	case draw.Stale, draw.Repeated:
		why = challenge.Stale
	case draw.AlreadyDone, draw.AlreadyVoid, draw.TooEarly, draw.TooLate, draw.NotAwaited:
		why = challenge.Shut
	}
	return challenge.Refuse(why, "dice", "%v", d.Text)
}

// loadDraw replays a draw from its plan, roster and events.
func loadDraw(ctx context.Context, q querier, round int64) (*draw.State, draw.Roster, []draw.Event, error) {
	var planText, rosterText []byte
	err := q.QueryRowContext(ctx, `SELECT plan, roster FROM draw WHERE round_id = ?`, round).Scan(&planText, &rosterText)
	if err != nil {
		return nil, nil, nil, missing(err, "This draw has not been opened yet.")
	}
	var plan draw.Plan
	var roster draw.Roster
	if err := json.Unmarshal(planText, &plan); err != nil {
		return nil, nil, nil, err
	}
	if rosterText != nil {
		if err := json.Unmarshal(rosterText, &roster); err != nil {
			return nil, nil, nil, err
		}
	}
	scan := func(r *sql.Rows) (e draw.Event, err error) {
		var b []byte
		if err := r.Scan(&b); err != nil {
			return e, err
		}
		return e, json.Unmarshal(b, &e)
	}
	events, err := rows(ctx, q, scan, `SELECT event FROM draw_event WHERE round_id = ? ORDER BY seq`, round)
	if err != nil {
		return nil, nil, nil, err
	}
	state, err := draw.Replay(plan, roster, events)
	return state, roster, events, err
}

// DrawState replays a draw for a page.
func (db *DB) DrawState(ctx context.Context, round int64) (d DrawState, err error) {
	err = db.read(ctx, func(q querier) error {
		var roster draw.Roster
		if d.State, roster, _, err = loadDraw(ctx, q, round); err != nil {
			return err
		}
		d.Awaits = d.State.AwaitsAt(draw.At(db.now()))
		d.Dishes = make(map[int]Dish, len(roster))
		ds, err := rows(ctx, q, scanDish, dishSelect+`JOIN round_in ON round_in.dish_id = dish.id WHERE round_in.round_id = ?`, round)
		for _, x := range ds {
			d.Dishes[x.Number] = x
		}
		return err
	})
	return d, err
}

// Freeze fixes the roster of a draw by sealed seeds, when every party has
// sealed its secret or the time for it is over.
func (db *DB) Freeze(ctx context.Context, a challenge.Actor, challengeID, round int64) error {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Draw, 0); err != nil {
			return err
		}
		state, _, _, err := loadDraw(ctx, tx, round)
		if err != nil {
			return err
		}
		switch {
		case state.Plan.Frozen():
			return challenge.Refuse(challenge.Stale, "", "The list is fixed already; nothing was changed.")
		case state.AwaitsAt(draw.At(tx.now)) == draw.ForCommitments:
			return challenge.Refuse(challenge.Shut, "", "Not every party has sealed its secret yet. The list can be fixed when they have, or when the time for sealing is over.")
		}
		return freeze(ctx, tx, c, r)
	})
}

// freeze fixes the roster: entries by number, each with the commitment that
// its slip opens, and the plan that names the roster goes into the ledger.
func freeze(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) error {
	roster, err := rosterOf(ctx, tx, r.ID)
	if err != nil {
		return err
	}
	return freezeRoster(ctx, tx, c, r, roster)
}

func freezeRoster(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, roster draw.Roster) error {
	if err := roster.Check(); err != nil {
		return drawRefusal(err)
	}
	state, _, events, err := loadDraw(ctx, tx, r.ID)
	if err != nil {
		return err
	}
	plan := state.Plan.Freeze(roster, draw.At(tx.now))
	if _, err := draw.Replay(plan, roster, events); err != nil {
		return drawRefusal(err)
	}
	if _, err := tx.ExecContext(ctx, `UPDATE draw SET plan = ?, roster = ? WHERE round_id = ?`, jsonText(plan), jsonText(roster), r.ID); err != nil {
		return err
	}
	body, err := draw.FrozenBody(plan)
	if err != nil {
		return err
	}
	leaf, err := recordBody(ctx, tx, c.ID, challenge.EventRosterFrozen, r.Position, body)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE draw SET leaf = ? WHERE round_id = ?`, leaf, r.ID)
	return err
}

func rosterOf(ctx context.Context, q querier, round int64) (draw.Roster, error) {
	scan := func(r *sql.Rows) (t draw.Ticket, err error) {
		var content []byte
		t.Weight = 1
		err = r.Scan(&t.Number, &content)
		copy(t.Commitment[:], content)
		return t, err
	}
	return rows(ctx, q, scan, `SELECT entry.number, ledger_leaf.content FROM round_in
		JOIN entry ON entry.dish_id = round_in.dish_id AND entry.state = 'in' JOIN dish ON dish.id = entry.dish_id
		JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version
		JOIN ledger_leaf ON ledger_leaf.challenge_id = entry.challenge_id AND ledger_leaf.seq = v.leaf
		WHERE round_in.round_id = ? ORDER BY entry.number`, round)
}

// DrawEvent adds an event to a draw; e.N is the number the page expected it to
// have, so that a page that is behind changes nothing.
func (db *DB) DrawEvent(ctx context.Context, a challenge.Actor, challengeID, round int64, e draw.Event) error {
	do := challenge.RunDraw
	if e.Kind == draw.Confirmed {
		do = challenge.ConfirmRoll
	}
	if err := challenge.May(a, do, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, r.Kind, 0); err != nil {
			return err
		}
		e.By = byName(a)
		return applyDrawEvent(ctx, tx, c, r, e)
	})
}

// byName is how an actor stands in a draw's record: a role, never a name.
func byName(a challenge.Actor) string {
	if a.Role == challenge.Host {
		return "host"
	}
	return "co-host"
}

func applyDrawEvent(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, e draw.Event) error {
	state, _, _, err := loadDraw(ctx, tx, r.ID)
	if err != nil {
		return err
	}
	e.At = draw.At(tx.now)
	if err := state.Apply(e); err != nil {
		return drawRefusal(err)
	}
	body, err := draw.EventBody(state.Plan.Draw, e)
	if err != nil {
		return err
	}
	leaf, err := recordBody(ctx, tx, c.ID, challenge.EventDraw, r.Position, body)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO draw_event (round_id, seq, event, leaf) VALUES (?, ?, ?, ?)`, r.ID, e.N, jsonText(e), leaf)
	return err
}

// sealServerSeed commits the server to a secret of its own at the opening.
func sealServerSeed(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, plan draw.Plan) error {
	secret, err := tx.bytes(16)
	if err != nil {
		return err
	}
	nonce, err := tx.bytes(16)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE draw SET secret = ?, nonce = ? WHERE round_id = ?`, Token(secret), nonce, r.ID); err != nil {
		return err
	}
	content := draw.SeedCommitment(plan.Draw, ServerParty, ledger.Salt(nonce), Token(secret))
	return applyDrawEvent(ctx, tx, c, r, draw.Event{N: 1, Kind: draw.Committed, By: ServerParty, Party: ServerParty, Commitment: &content})
}

// RevealServerSeed opens the server's own secret, once the roster is frozen.
func (db *DB) RevealServerSeed(ctx context.Context, a challenge.Actor, challengeID, round int64) error {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		state, _, _, err := loadDraw(ctx, tx, round)
		if err != nil {
			return err
		}
		var secret string
		var nonce []byte
		if err := tx.QueryRowContext(ctx, `SELECT secret, nonce FROM draw WHERE round_id = ?`, round).Scan(&secret, &nonce); err != nil {
			return err
		}
		if len(nonce) != 16 {
			return challenge.NotFound("The server gives no secret to this draw.")
		}
		salt := ledger.Salt(nonce)
		return applyDrawEvent(ctx, tx, c, r, draw.Event{N: state.Next, Kind: draw.Revealed, By: ServerParty, Party: ServerParty, Nonce: &salt, Secret: secret})
	})
}

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
	return pins, nil
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
