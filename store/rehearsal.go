package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// A Rehearsal is a draw that decides nothing, on a made-up list of the size of
// the real one. It is public and counted from its first moment: rolling the
// real list until one likes it is what the record must exclude.
type Rehearsal struct {
	Number int // in its round, from 1
	At     time.Time
	State  *draw.State
	Awaits draw.Awaits
	Events []draw.Event
	Record []byte // nil until it is finished
}

type rehearsing struct {
	id     int64
	number int
	plan   draw.Plan
	roster draw.Roster
	leaf   int64
	record []byte
}

// Rehearse begins a rehearsal of a draw and returns its number. Its secrets,
// where the way to draw has any, are made up by the server and used at once.
func (db *DB) Rehearse(ctx context.Context, a challenge.Actor, challengeID, round int64) (number int, err error) {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return 0, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		switch {
		case r.Kind != challenge.Draw:
			return challenge.NotFound("There is no draw at this address.")
		case r.State == challenge.Done:
			return challenge.Refuse(challenge.Shut, "", "This draw is over; there is nothing left to rehearse.")
		case c.AnnouncedAt.IsZero():
			return challenge.Refuse(challenge.Shut, "", "Open the challenge to entries first: a rehearsal is counted in its ledger.")
		}
		if err := tx.QueryRowContext(ctx, `SELECT count(*) + 1 FROM rehearsal WHERE round_id = ?`, r.ID).Scan(&number); err != nil {
			return err
		}
		return beginRehearsal(ctx, tx, c, r, number)
	})
	return number, err
}

func beginRehearsal(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, number int) error {
	in, err := rehearsalSize(ctx, tx, c, r)
	if err != nil {
		return err
	}
	if in < 2 {
		return challenge.Refuse(challenge.Shut, "", "A draw needs at least two entries, a rehearsal too.")
	}
	roster := draw.RehearsalRoster(in)
	plan := rehearsalPlan(tx, c, r, in, number).Freeze(roster, draw.At(tx.now))
	if _, err := draw.Start(plan, roster); err != nil {
		return drawRefusal(err)
	}
	body, err := draw.FrozenBody(plan)
	if err != nil {
		return err
	}
	x := rehearsing{number: number, plan: plan, roster: roster}
	if x.leaf, err = recordBody(ctx, tx, c.ID, challenge.EventRehearsal, r.Position, body); err != nil {
		return err
	}
	err = tx.QueryRowContext(ctx, `INSERT INTO rehearsal (round_id, number, plan, leaf) VALUES (?, ?, ?, ?) RETURNING id`,
		r.ID, number, jsonText(plan), x.leaf).Scan(&x.id)
	if err != nil || plan.Method != draw.BySeeds {
		return err
	}
	events, err := playedSecrets(tx, plan)
	if err != nil {
		return err
	}
	for _, e := range events {
		if err := x.apply(ctx, tx, c, r, e); err != nil {
			return err
		}
	}
	return nil
}

// rehearsalSize is the size of the real list, or the one that is expected.
func rehearsalSize(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) (int, error) {
	if r.State == challenge.Planned {
		if next, _ := c.Next(); next.ID != r.ID {
			return c.ExpectedIn(r), nil
		}
		in, err := goesIn(ctx, q, c, r)
		return len(in), err
	}
	roster, err := rosterOf(ctx, q, r.ID)
	return len(roster), err
}

// rehearsalPlan is the plan of the draw with names and times of its own: public
// values appear a second later, and a later value is left to the dice.
func rehearsalPlan(tx *Tx, c challenge.Challenge, r challenge.Round, in, number int) draw.Plan {
	p := drawPlan(tx, c, r, in)
	p.Draw, p.Rehearsal, p.ReleaseAt = fmt.Sprintf("%s, rehearsal %d", p.Draw, number), true, draw.Moment{}
	if p.Seeds != nil {
		p.Seeds.Later, p.Fallback = nil, &draw.Dice{Faces: r.Params.FallbackDice()}
	}
	p.Sources = slices.Clone(p.Sources)
	for i := range p.Sources {
		p.Sources[i].At = draw.At(tx.now.Add(time.Second))
	}
	return p
}

// playedSecrets are the sealings and openings of every party, made up.
func playedSecrets(tx *Tx, p draw.Plan) ([]draw.Event, error) {
	var sealed, opened []draw.Event
	for _, party := range p.Seeds.Parties {
		b, err := tx.bytes(32)
		if err != nil {
			return nil, err
		}
		nonce, secret := ledger.Salt(b[:16]), Token(b[16:])
		content := draw.SeedCommitment(p.Draw, party, nonce, secret)
		sealed = append(sealed, draw.Event{Kind: draw.Committed, By: ServerParty, Party: party, Commitment: &content})
		opened = append(opened, draw.Event{Kind: draw.Revealed, By: ServerParty, Party: party, Nonce: &nonce, Secret: secret})
	}
	all := append(sealed, opened...)
	for i := range all {
		all[i].N = i + 1
	}
	return all, nil
}

// RehearseRoll records a roll of a rehearsal.
func (db *DB) RehearseRoll(ctx context.Context, a challenge.Actor, challengeID, round int64, number int, e draw.Event) error {
	e.Kind, e.By = draw.Rolled, byName(a)
	return db.rehearse(ctx, a, challengeID, round, number, func(_ *Tx, s *draw.State, events []draw.Event) ([]draw.Event, error) {
		if sentTwice(events, e) {
			return nil, nil
		}
		return []draw.Event{e}, nil
	})
}

// RehearseValues makes up the public values of a rehearsal.
func (db *DB) RehearseValues(ctx context.Context, a challenge.Actor, challengeID, round int64, number int) error {
	return db.rehearse(ctx, a, challengeID, round, number, func(tx *Tx, s *draw.State, events []draw.Event) (made []draw.Event, err error) {
		if s.Done {
			return nil, nil // pressed twice
		}
		for i, source := range s.Plan.Sources {
			e := draw.Event{N: s.Next + i, Kind: draw.Published, By: ServerParty, Source: i + 1}
			if e.Values, err = madeUp(tx, source); err != nil {
				return nil, err
			}
			made = append(made, e)
		}
		return made, nil
	})
}

func (db *DB) rehearse(ctx context.Context, a challenge.Actor, challengeID, round int64, number int,
	next func(*Tx, *draw.State, []draw.Event) ([]draw.Event, error)) error {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		x, s, events, err := loadRehearsal(ctx, tx, r.ID, number)
		if err != nil {
			return err
		}
		made, err := next(tx, s, events)
		if err != nil {
			return err
		}
		for _, e := range made {
			if err := x.apply(ctx, tx, c, r, e); err != nil {
				return err
			}
		}
		return nil
	})
}

// madeUp draws values that a source could give.
func madeUp(tx *Tx, s draw.Source) ([]string, error) {
	low, span := s.Low, s.High-s.Low+1
	if s.Low == 0 && s.High == 0 {
		span = 1_000_000
	}
	var values []string
	for len(values) < s.Count {
		b, err := tx.bytes(7)
		if err != nil {
			return nil, err
		}
		n := int64(0)
		for _, x := range b {
			n = n<<8 | int64(x)
		}
		v := strconv.FormatInt(low+n%span, 10) // made up: nothing hangs on its being even
		if s.Form == draw.Decimal {
			v += "." + strconv.FormatInt(n/span%100+1, 10)
		}
		if !s.Distinct || !slices.Contains(values, v) {
			values = append(values, v)
		}
	}
	return values, nil
}

func loadRehearsal(ctx context.Context, q querier, round int64, number int) (x rehearsing, s *draw.State, events []draw.Event, err error) {
	x.number = number
	var plan []byte
	err = q.QueryRowContext(ctx, `SELECT id, plan, leaf, record FROM rehearsal WHERE round_id = ? AND number = ?`, round, number).
		Scan(&x.id, &plan, &x.leaf, &x.record)
	if err != nil {
		return x, nil, nil, missing(err, "There is no such rehearsal.")
	}
	if err := json.Unmarshal(plan, &x.plan); err != nil {
		return x, nil, nil, err
	}
	x.roster = draw.RehearsalRoster(x.plan.Roster.Entries)
	scan := func(r *sql.Rows) (e draw.Event, err error) {
		var b []byte
		if err := r.Scan(&b); err != nil {
			return e, err
		}
		return e, json.Unmarshal(b, &e)
	}
	if events, err = rows(ctx, q, scan, `SELECT event FROM rehearsal_event WHERE rehearsal_id = ? ORDER BY seq`, x.id); err != nil {
		return x, nil, nil, err
	}
	s, err = draw.Replay(x.plan, x.roster, events)
	return x, s, events, err
}

// apply records an event of a rehearsal, and the whole of it with the last.
func (x rehearsing) apply(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, e draw.Event) error {
	_, s, events, err := loadRehearsal(ctx, tx, r.ID, x.number)
	if err != nil {
		return err
	}
	e.At = draw.At(tx.now)
	if err := s.Apply(e); err != nil {
		return drawRefusal(err)
	}
	body, err := draw.EventBody(x.plan.Draw, e)
	if err != nil {
		return err
	}
	leaf, err := recordBody(ctx, tx, c.ID, challenge.EventRehearsal, r.Position, body)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO rehearsal_event (rehearsal_id, seq, event, leaf) VALUES (?, ?, ?, ?)`, x.id, e.N, jsonText(e), leaf); err != nil || !s.Done {
		return err
	}
	return x.finish(ctx, tx, c, append(events, e))
}

func (x rehearsing) finish(ctx context.Context, tx *Tx, c challenge.Challenge, events []draw.Event) error {
	leaves, err := rows(ctx, tx, scanID, `SELECT leaf FROM rehearsal_event WHERE rehearsal_id = ? ORDER BY seq`, x.id)
	if err != nil {
		return err
	}
	pins, err := drawPins(ctx, tx, c, append([]int64{x.leaf}, leaves...), len(events))
	if err != nil {
		return err
	}
	record, err := draw.Build(x.plan, x.roster, events, pins)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE rehearsal SET record = ? WHERE id = ?`, record, x.id)
	return err
}

// Rehearsal returns one rehearsal of a draw. It gives nothing away: its list is
// made up.
func (db *DB) Rehearsal(ctx context.Context, round int64, number int) (out Rehearsal, err error) {
	err = db.read(ctx, func(q querier) error {
		out, err = rehearsalOf(ctx, q, round, number, draw.At(db.now()))
		return err
	})
	return out, err
}

func rehearsalOf(ctx context.Context, q querier, round int64, number int, now draw.Moment) (Rehearsal, error) {
	x, s, events, err := loadRehearsal(ctx, q, round, number)
	if err != nil {
		return Rehearsal{}, err
	}
	return Rehearsal{Number: number, At: x.plan.AnnouncedAt.Time(), State: s, Awaits: s.AwaitsAt(now), Events: events, Record: x.record}, nil
}

// Rehearsals lists the rehearsals of a draw, in their order.
func (db *DB) Rehearsals(ctx context.Context, round int64) (all []Rehearsal, err error) {
	err = db.read(ctx, func(q querier) error {
		all, err = rehearsals(ctx, q, round, draw.At(db.now()))
		return err
	})
	return all, err
}

func rehearsals(ctx context.Context, q querier, round int64, now draw.Moment) ([]Rehearsal, error) {
	numbers, err := rows(ctx, q, scanID, `SELECT number FROM rehearsal WHERE round_id = ? ORDER BY number`, round)
	var all []Rehearsal
	for _, n := range numbers {
		x, err := rehearsalOf(ctx, q, round, int(n), now)
		if err != nil {
			return nil, err
		}
		all = append(all, x)
	}
	return all, err
}

// rehearsals compares the stored rehearsals with their leaves.
func (k checking) rehearsals() error {
	type stored struct {
		leaf int64
		plan []byte
	}
	scan := func(r *sql.Rows) (s stored, err error) { return s, r.Scan(&s.leaf, &s.plan) }
	all, err := rows(k.ctx, k.q, scan, `SELECT rehearsal.leaf, rehearsal.plan FROM rehearsal JOIN round ON round.id = rehearsal.round_id
		WHERE round.challenge_id = ?`, k.id)
	for _, s := range all {
		k.expect(s.leaf, func(body []byte) bool {
			var p draw.Plan
			if json.Unmarshal(s.plan, &p) != nil {
				return false
			}
			want, err := draw.FrozenBody(p)
			return err == nil && bytes.Equal(want, body)
		}, "the stored plan of the rehearsal is not what was recorded")
	}
	return err
}
