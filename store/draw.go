package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

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

// DrawState replays a draw for a page.
func (db *DB) DrawState(ctx context.Context, round int64) (d DrawState, err error) {
	err = db.read(ctx, func(q querier) error {
		x, err := drawOf(ctx, q, round)
		if err != nil {
			return err
		}
		d.State, d.Roster, d.Events = x.state, x.roster(), x.events
		d.Awaits = d.State.AwaitsAt(draw.At(db.now()))
		if d.Dishes, err = drawDishes(ctx, q, round, d.State, d.Roster); err != nil {
			return err
		}
		d.Unfilmed, err = unfilmed(ctx, q, d.Dishes)
		return err
	})
	return d, err
}

// mostNamed is how many lines of a list a page names by title; the drawn ones
// are named besides.
const mostNamed = 1000

// named are the numbers of a draw that a page may name by title.
func named(s *draw.State, roster draw.Roster) []int {
	numbers := slices.Clone(s.Result)
	for _, t := range roster[:min(len(roster), mostNamed+len(s.Result))] {
		numbers = append(numbers, t.Number)
	}
	return numbers
}

// drawDishes are the entries of a draw that a page may name, by number. A
// tie's draw is among codes, which must not be taken for entry numbers.
func drawDishes(ctx context.Context, q querier, round int64, s *draw.State, roster draw.Roster) (map[int]Dish, error) {
	ds, err := rows(ctx, q, scanDish, dishSelect+`WHERE entry.challenge_id = (SELECT challenge_id FROM round WHERE id = ? AND kind IN ('draw', 'reading'))
		AND entry.number IN (SELECT value FROM json_each(?))`, round, jsonText(named(s, roster)))
	byNumber := make(map[int]Dish, len(ds))
	for _, x := range ds {
		byNumber[x.Number] = x
	}
	return byNumber, err
}

// unfilmed are the numbers of the dishes that their entrants have not agreed
// to having cooked and filmed.
func unfilmed(ctx context.Context, q querier, dishes map[int]Dish) (map[int]bool, error) {
	ids := make([]int64, 0, len(dishes))
	for _, d := range dishes {
		ids = append(ids, d.ID)
	}
	scan := func(r *sql.Rows) (n int, err error) { return n, r.Scan(&n) }
	numbers, err := rows(ctx, q, scan, `SELECT entry.number FROM entry WHERE entry.dish_id IN (SELECT value FROM json_each(?))
		AND NOT COALESCE((SELECT given FROM consent WHERE consent.dish_id = entry.dish_id AND kind = ? ORDER BY id DESC LIMIT 1), 0)`,
		jsonText(ids), challenge.Filmed)
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
		x, err := drawOf(ctx, tx, round)
		if err != nil {
			return err
		}
		switch {
		case x.plan.Frozen():
			return challenge.Refuse(challenge.Stale, "", "The list is fixed already; nothing was changed.")
		case x.state.AwaitsAt(draw.At(tx.now)) == draw.ForCommitments:
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
	x, err := drawOf(ctx, tx, r.ID)
	if err != nil {
		return err
	}
	plan, list := x.plan, draw.NewList(roster)
	plan.Places = min(plan.Places, len(roster)) // an entry may have been withdrawn since the draw was announced
	plan = plan.Freeze(list, draw.At(tx.now))
	if _, err := list.Replay(plan, x.events); err != nil {
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
