package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// ServerParty is the name under which the server gives a secret of its own to
// a draw by sealed seeds.
const ServerParty = "server"

// A DrawState is a draw as far as it has come, and the dishes on its roster.
// It holds the outcome: only who runs or confirms the draw may see it before
// its release.
type DrawState struct {
	State  *draw.State
	Awaits draw.Awaits
	Roster draw.Roster
	Events []draw.Event
	Dishes map[int]Dish // by entry number; none where codes are drawn
	// Unfilmed are the entries whose entrants have not agreed to having them
	// cooked and filmed.
	Unfilmed map[int]bool
}

// openDraw announces the draw. Dice and public sources need nothing more
// beforehand, so their roster is frozen in the same unit; sealed seeds are
// sealed first.
func openDraw(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, _ []int64) error {
	if err := c.CheckSources(r); err != nil {
		return err
	}
	var said []draw.Announcement
	if r.Params.OneEach {
		a, err := drawOneEach(ctx, tx, c, r)
		if err != nil {
			return err
		}
		said = append(said, a)
	}
	roster, err := rosterOf(ctx, tx, r.ID)
	if err != nil {
		return err
	}
	plan := drawPlan(tx, c, r, len(roster))
	plan.Announcements = said
	if err := plan.Check(); err != nil {
		return drawRefusal(err)
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO draw (round_id, plan) VALUES (?, ?)`, r.ID, jsonText(plan)); err != nil {
		return err
	}
	if plan.Method != draw.BySeeds {
		return freezeRoster(ctx, tx, c, r, roster)
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
	case draw.ByPublics:
		p.Sources = r.Params.Sources
	case draw.BySeeds:
		step := int64(r.Params.Minutes) * 60_000
		p.Seeds = &draw.Seeds{Parties: r.Params.Parties, CommitBy: draw.At(moment(millis(tx.now) + step)), RevealBy: draw.At(moment(millis(tx.now) + 2*step))}
		if p.Seeds.Later = r.Params.Later; p.Seeds.Later == nil {
			p.Fallback = &draw.Dice{Faces: r.Params.FallbackDice()}
		}
	}
	return p
}

// drawRefusal turns a refusal of package draw into one a page can show.
func drawRefusal(err error) error {
	d, ok := errors.AsType[draw.Refusal](err)
	if !ok {
		return err
	}
	why, field := challenge.Invalid, ""
	switch d.Code {
	case draw.DieFace, draw.RollCount:
		field = "dice"
	case draw.WrongReveal:
		field = "secret"
	case draw.Stale, draw.Repeated:
		why = challenge.Stale
	case draw.BadNumber:
		field = "values"
	case draw.AlreadyDone, draw.AlreadyVoid, draw.TooEarly, draw.TooLate, draw.NotAwaited:
		why = challenge.Shut
	}
	return challenge.Refuse(why, field, d.Text, d.Args...)
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
		if d.State, d.Roster, d.Events, err = loadDraw(ctx, q, round); err != nil {
			return err
		}
		d.Awaits = d.State.AwaitsAt(draw.At(db.now()))
		if d.Dishes, err = drawDishes(ctx, q, round); err != nil {
			return err
		}
		d.Unfilmed, err = unfilmed(ctx, q, round)
		return err
	})
	return d, err
}

// drawDishes are the entries that went into a draw, by number. A tie's draw
// is among codes, which must not be taken for entry numbers.
func drawDishes(ctx context.Context, q querier, round int64) (map[int]Dish, error) {
	ds, err := rows(ctx, q, scanDish, dishSelect+`JOIN round_in ON round_in.dish_id = dish.id
		JOIN round ON round.id = round_in.round_id AND round.kind = 'draw' WHERE round_in.round_id = ?`, round)
	byNumber := make(map[int]Dish, len(ds))
	for _, x := range ds {
		byNumber[x.Number] = x
	}
	return byNumber, err
}

func unfilmed(ctx context.Context, q querier, round int64) (map[int]bool, error) {
	scan := func(r *sql.Rows) (n int, err error) { return n, r.Scan(&n) }
	numbers, err := rows(ctx, q, scan, `SELECT entry.number FROM round_in JOIN entry ON entry.dish_id = round_in.dish_id
		WHERE round_in.round_id = ? AND NOT COALESCE((SELECT given FROM consent WHERE consent.dish_id = entry.dish_id AND kind = ?
			ORDER BY id DESC LIMIT 1), 0)`, round, challenge.Filmed)
	not := make(map[int]bool, len(numbers))
	for _, n := range numbers {
		not[n] = true
	}
	return not, err
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
	plan := state.Plan
	plan.Places = min(plan.Places, len(roster)) // an entry may have been withdrawn since the draw was announced
	plan = plan.Freeze(roster, draw.At(tx.now))
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

const rosterSelect = `SELECT entry.number, ledger_leaf.content, 1 ` + rosterFrom

const rosterFrom = `FROM entry JOIN dish ON dish.id = entry.dish_id
	JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version
	JOIN ledger_leaf ON ledger_leaf.challenge_id = entry.challenge_id AND ledger_leaf.seq = v.leaf `

func scanTicket(r *sql.Rows) (t draw.Ticket, err error) {
	var content []byte
	err = r.Scan(&t.Number, &content, &t.Weight)
	copy(t.Commitment[:], content)
	return t, err
}

// rosterOf is the list of a draw as it would be fixed now.
func rosterOf(ctx context.Context, q querier, round int64) (draw.Roster, error) {
	return rows(ctx, q, scanTicket, `SELECT entry.number, ledger_leaf.content, COALESCE((SELECT tickets FROM tickets
			WHERE tickets.round_id = round_in.round_id AND tickets.dish_id = entry.dish_id ORDER BY tickets.id DESC LIMIT 1), 1) `+rosterFrom+`
		JOIN round_in ON round_in.dish_id = entry.dish_id
		WHERE round_in.round_id = ? AND entry.state = 'in'
		AND NOT EXISTS (SELECT 1 FROM stood_back WHERE stood_back.round_id = round_in.round_id AND stood_back.dish_id = entry.dish_id)
		ORDER BY entry.number`, round)
}
