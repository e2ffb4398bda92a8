package store

import (
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

// Held is that a rehearsal was held, finished or not.
type Held struct {
	Number   int // in its challenge, from 1
	At       time.Time
	Finished bool
}

// A Rehearsal is a draw that decides nothing, on a made-up list of the size of
// the real one. It is public and counted from its first moment: rolling the
// real list until one likes it is what the record must exclude.
type Rehearsal struct {
	Held
	State  *draw.State
	Awaits draw.Awaits
	Events []draw.Event
	Record []byte // nil until it is finished
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
		if err := tx.QueryRowContext(ctx, `SELECT COALESCE(max(number), 0) + 1 FROM rehearsal WHERE challenge_id = ?`, c.ID).Scan(&number); err != nil {
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
	list := draw.NewList(draw.RehearsalRoster(in))
	plan := rehearsalPlan(tx, c, r, in, number).Freeze(list, draw.At(tx.now))
	if _, err := list.Replay(plan, nil); err != nil {
		return drawRefusal(err)
	}
	body, err := draw.FrozenBody(plan)
	if err != nil {
		return err
	}
	leaf, err := recordBody(ctx, tx, c.ID, challenge.EventRehearsal, r.Position, body)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO rehearsal (challenge_id, round_id, number, plan, leaf) VALUES (?, ?, ?, ?, ?)`,
		c.ID, r.ID, number, jsonText(plan), leaf); err != nil || plan.Method != draw.BySeeds {
		return err
	}
	x, _, err := rehearsalOf(ctx, tx, c.ID, number)
	if err != nil {
		return err
	}
	events, err := playedSecrets(tx, plan)
	if err != nil {
		return err
	}
	return x.play(ctx, tx, c, r, events)
}

// play adds events to a rehearsal, and writes its record with the last.
func (x *course) play(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, events []draw.Event) error {
	for _, e := range events {
		if err := x.add(ctx, tx, c, r, e); err != nil {
			return err
		}
	}
	if len(events) == 0 || !x.state.Done {
		return nil
	}
	record, err := x.record(ctx, tx, c, nil)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE rehearsal SET record = ? WHERE id = ?`, record, x.id)
	return err
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

// rehearsalPlan is the plan of the draw with a name and times of its own:
// secrets are sealed and opened at once, and public values appear soon after.
func rehearsalPlan(tx *Tx, c challenge.Challenge, r challenge.Round, in, number int) draw.Plan {
	p, soon := drawPlan(tx, c, r, in), func(seconds int) draw.Moment { return draw.At(tx.now.Add(time.Duration(seconds) * time.Second)) }
	p.Draw, p.Rehearsal, p.ReleaseAt = fmt.Sprintf("%s, rehearsal %d", c.Slug, number), true, draw.Moment{}
	if p.Seeds != nil {
		p.Seeds.CommitBy, p.Seeds.RevealBy = soon(1), soon(2)
		if p.Seeds.Later != nil {
			p.Seeds.Later = new(*p.Seeds.Later)
			p.Seeds.Later.At = soon(3)
		}
	}
	p.Sources = slices.Clone(p.Sources)
	for i := range p.Sources {
		p.Sources[i].At = soon(1)
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
	return db.rehearse(ctx, a, challengeID, round, number, func(_ *Tx, x *course) ([]draw.Event, error) {
		if sentTwice(x.events, e) {
			return nil, nil
		}
		return []draw.Event{e}, nil
	})
}

// RehearseValues makes up the public values of a rehearsal.
func (db *DB) RehearseValues(ctx context.Context, a challenge.Actor, challengeID, round int64, number int) error {
	return db.rehearse(ctx, a, challengeID, round, number, func(tx *Tx, x *course) (made []draw.Event, err error) {
		if x.state.Done {
			return nil, nil // pressed twice
		}
		if draw.At(tx.now).Before(lastAt(x.plan.PublicValues())) {
			return nil, challenge.Refuse(challenge.Shut, "", "The made-up values appear in a moment. Press once more.")
		}
		for i, source := range x.plan.PublicValues() {
			e := draw.Event{N: x.state.Next + i, Kind: draw.Published, By: ServerParty, Source: i + 1}
			if e.Values, err = madeUp(tx, source); err != nil {
				return nil, err
			}
			made = append(made, e)
		}
		return made, nil
	})
}

func lastAt(sources []draw.Source) (last draw.Moment) {
	for _, s := range sources {
		if last.Before(s.At) {
			last = s.At
		}
	}
	return last
}

func (db *DB) rehearse(ctx context.Context, a challenge.Actor, challengeID, round int64, number int,
	next func(*Tx, *course) ([]draw.Event, error)) error {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		x, _, err := rehearsalOf(ctx, tx, c.ID, number)
		if err != nil {
			return err
		}
		made, err := next(tx, x)
		if err != nil {
			return err
		}
		return x.play(ctx, tx, c, r, made)
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
		switch s.Form {
		case draw.Decimal:
			v += "." + strconv.FormatInt(n/span%100+1, 10)
		case draw.Text:
			v = "made up " + v
		}
		if !s.Distinct || !slices.Contains(values, v) {
			values = append(values, v)
		}
	}
	return values, nil
}

// rehearsalOf loads and replays a rehearsal, by its number in the challenge,
// and returns its record too, nil until it is finished.
func rehearsalOf(ctx context.Context, q querier, challengeID int64, number int) (x *course, record []byte, err error) {
	x = &course{kind: challenge.EventRehearsal, insert: `INSERT INTO rehearsal_event (rehearsal_id, seq, event, leaf) VALUES (?, ?, ?, ?)`}
	var plan []byte
	err = q.QueryRowContext(ctx, `SELECT id, plan, leaf, record FROM rehearsal WHERE challenge_id = ? AND number = ?`, challengeID, number).
		Scan(&x.id, &plan, &x.leaf, &record)
	if err != nil {
		return nil, nil, missing(err, "There is no such rehearsal.")
	}
	err = x.load(ctx, q, plan, func() (draw.Roster, error) { return draw.RehearsalRoster(x.plan.Roster.Entries), nil },
		`SELECT event, leaf FROM rehearsal_event WHERE rehearsal_id = ? ORDER BY seq`)
	return x, record, err
}

// Rehearsal returns one rehearsal of a challenge's draws. It gives nothing
// away: its list is made up.
func (db *DB) Rehearsal(ctx context.Context, challengeID int64, number int) (out Rehearsal, err error) {
	err = db.read(ctx, func(q querier) error {
		x, record, err := rehearsalOf(ctx, q, challengeID, number)
		if err != nil {
			return err
		}
		out = Rehearsal{Held: Held{Number: number, At: x.plan.AnnouncedAt.Time(), Finished: record != nil},
			State: x.state, Awaits: x.state.AwaitsAt(draw.At(db.now())), Events: x.events, Record: record}
		return nil
	})
	return out, err
}

// Rehearsals lists the rehearsals of a draw, in their order.
func (db *DB) Rehearsals(ctx context.Context, round int64) ([]Held, error) {
	return rehearsals(ctx, db.reads, round)
}

func rehearsals(ctx context.Context, q querier, round int64) ([]Held, error) {
	return rows(ctx, q, scanHeld, heldSelect+`WHERE round_id = ? ORDER BY number`, round)
}

// RehearsalsOfRemoved lists the rehearsals of draws that were taken out of the
// plan since: they stay counted.
func (db *DB) RehearsalsOfRemoved(ctx context.Context, challengeID int64) ([]Held, error) {
	return rows(ctx, db.reads, scanHeld, heldSelect+`WHERE challenge_id = ? AND round_id IS NULL ORDER BY number`, challengeID)
}

const heldSelect = `SELECT number, plan, record IS NOT NULL FROM rehearsal `

func scanHeld(r *sql.Rows) (h Held, err error) {
	var plan []byte
	if err := r.Scan(&h.Number, &plan, &h.Finished); err != nil {
		return h, err
	}
	var p draw.Plan
	err = json.Unmarshal(plan, &p)
	h.At = p.AnnouncedAt.Time()
	return h, err
}
