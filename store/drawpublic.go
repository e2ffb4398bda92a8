package store

import (
	"context"
	"encoding/json"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// A SealedShare is what a party has put down for a draw by sealed seeds.
type SealedShare struct {
	Party      string
	Commitment *ledger.Commitment // nil until it is sealed
}

// A PublicDraw is a draw as everyone may see it now. Up to its release it has
// only what stood fixed before anything was drawn.
type PublicDraw struct {
	Plan   draw.Plan
	Roster draw.Roster // nil until it is fixed
	Shares []SealedShare
	// RosterLeaf is the ledger leaf that fixed the roster, -1 until then.
	RosterLeaf int64
	// Outcome is the leaf that commits to the outcome, from the closing on.
	Outcome    *Leaf
	Checkpoint string
	Released   bool
	Rehearsals []Held

	// From the release on:
	Document []byte // the record, or the note of a draw given up before its list was fixed
	State    *draw.State
	Events   []draw.Event
	Dishes   map[int]Dish
}

// PublicDraw returns a draw as the public may see it. A tie's draw is there
// only once its tasting is released: that there was a tie tells an outcome.
func (db *DB) PublicDraw(ctx context.Context, c challenge.Challenge, r challenge.Round) (p PublicDraw, err error) {
	p.Released = c.Shows(challenge.Public, db.now()).Outcome(r.ID)
	err = db.read(ctx, func(q querier) error {
		if err := mayShowDraw(ctx, q, r, p.Released); err != nil {
			return err
		}
		x, err := drawOf(ctx, q, r.ID)
		if err != nil {
			return err
		}
		p.Plan, p.Roster, p.Shares, p.RosterLeaf = x.plan, x.roster(), sealedShares(x.plan, x.events), x.leaf
		if p.Rehearsals, err = rehearsals(ctx, q, r.ID); err != nil {
			return err
		}
		if p.Checkpoint, err = checkpoint(ctx, q, c.ID, c.Slug); err != nil {
			return err
		}
		document, err := drawDocument(ctx, q, r)
		if err != nil {
			return err
		}
		if p.Outcome, err = outcomeLeaf(ctx, q, c.ID, document); err != nil || !p.Released {
			return err
		}
		p.Document, p.State, p.Events = document, x.state, x.events
		p.Dishes, err = drawDishes(ctx, q, r.ID, x.state, x.roster())
		return err
	})
	return p, err
}

func mayShowDraw(ctx context.Context, q querier, r challenge.Round, released bool) error {
	switch {
	case r.Kind == challenge.Draw && r.State == challenge.Planned:
		return challenge.NotFound("This draw has not begun yet. Its list and its method appear here before anything is drawn.")
	case r.Kind == challenge.Draw:
		return nil
	case (r.Kind == challenge.Tasting || r.Kind == challenge.Reading) && released:
		tie, err := tieOpen(ctx, q, r.ID)
		if err != nil || tie {
			return err
		}
	}
	return challenge.NotFound("There is no draw at this address.")
}

// sealedShares lists who has sealed, from the events that are public before
// the release: sealings.
func sealedShares(p draw.Plan, events []draw.Event) []SealedShare {
	if p.Seeds == nil {
		return nil
	}
	shares := make([]SealedShare, len(p.Seeds.Parties))
	for i, party := range p.Seeds.Parties {
		shares[i].Party = party
		for _, e := range events {
			if e.Kind == draw.Committed && e.Party == party {
				shares[i].Commitment = e.Commitment
			}
		}
	}
	return shares
}

// drawDocument is the record of a draw's closed round, or of the draw that
// settled a tasting's tie or a reading's cut; nil while the round is open.
func drawDocument(ctx context.Context, q querier, r challenge.Round) ([]byte, error) {
	var b []byte
	if err := q.QueryRowContext(ctx, `SELECT document FROM round WHERE id = ?`, r.ID).Scan(&b); err != nil || b == nil {
		return nil, err
	}
	if r.Kind == challenge.Draw {
		return b, nil
	}
	var rec struct{ Draw json.RawMessage } // of a tasting's tie, or of a reading's cut
	if err := json.Unmarshal(b, &rec); err != nil {
		return nil, err
	}
	return rec.Draw, nil
}

// outcomeLeaf is the leaf that commits to a closed draw's outcome.
func outcomeLeaf(ctx context.Context, q querier, challengeID int64, document []byte) (*Leaf, error) {
	if document == nil {
		return nil, nil
	}
	rec, err := draw.Parse(document)
	if err != nil || rec.Ledger.Outcome == nil {
		return nil, nil //nolint:nilerr // a draw given up or void has no outcome
	}
	leaf := Leaf{Seq: rec.Ledger.Outcome.Leaf}
	var content []byte
	err = q.QueryRowContext(ctx, `SELECT content FROM ledger_leaf WHERE challenge_id = ? AND seq = ?`, challengeID, leaf.Seq).Scan(&content)
	copy(leaf.Content[:], content)
	return &leaf, err
}

// DrawRecord returns the published record of a draw, as it was written when
// its round was closed, or says from when on it is published.
func (db *DB) DrawRecord(ctx context.Context, c challenge.Challenge, r challenge.Round) ([]byte, error) {
	p, err := db.PublicDraw(ctx, c, r)
	switch {
	case err != nil:
		return nil, err
	case !p.Released:
		return nil, challenge.Refuse(challenge.Sealed, "", "The record of this draw is published together with its outcome, which has not been released yet.")
	case p.State.Void && !p.Plan.Frozen():
		return nil, challenge.NotFound("This draw was given up before its list was fixed. There is no record to check.")
	}
	return p.Document, nil
}

// A Drawn is the drawn entry for the camera: its number and masked recipe. It
// has no field for a name.
type Drawn struct {
	Number int
	// MayFilm says whether its entrant has agreed to having it cooked and
	// filmed; without that there is no recipe here.
	MayFilm bool
	Recipe  Recipe
}

// Drawn returns the entry in the first place of a draw, to whoever runs it.
func (db *DB) Drawn(ctx context.Context, a challenge.Actor, challengeID, round int64) (d Drawn, err error) {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return d, err
	}
	err = db.read(ctx, func(q querier) error {
		dish, err := drawnDish(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		given, err := consents(ctx, q, dish.ID)
		if err != nil {
			return err
		}
		d.Number, d.MayFilm = dish.Number, given.Given(challenge.Filmed)
		if d.MayFilm {
			d.Recipe, err = recipeOf(ctx, q, dish.ID, 0, true)
		}
		return err
	})
	return d, err
}

func drawnDish(ctx context.Context, q querier, challengeID, round int64) (Dish, error) {
	_, r, err := challengeAndRound(ctx, q, challengeID, round)
	if err != nil {
		return Dish{}, err
	}
	x, err := drawOf(ctx, q, round)
	if err != nil {
		return Dish{}, err
	}
	if r.Kind != challenge.Draw || len(x.state.Result) == 0 {
		return Dish{}, challenge.Refuse(challenge.Shut, "", "Nothing has been drawn yet.")
	}
	dishes, err := drawDishes(ctx, q, round, x.state, nil)
	return dishes[x.state.Result[0]], err
}

// A Credit is how an entrant wants to be named. Both are empty where the
// entrant has not agreed to be named.
type Credit struct{ Written, Spoken string }

// DrawnCredit returns how the drawn entry's entrant may be named, to a host
// who asks for it, after the draw.
func (db *DB) DrawnCredit(ctx context.Context, a challenge.Actor, challengeID, round int64) (cr Credit, err error) {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return cr, err
	}
	err = db.read(ctx, func(q querier) error {
		dish, err := drawnDish(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		given, err := consents(ctx, q, dish.ID)
		if err != nil || !given.Given(challenge.Credited) {
			return err
		}
		return q.QueryRowContext(ctx, `SELECT credit, spoken FROM entrant WHERE dish_id = ?`, dish.ID).Scan(&cr.Written, &cr.Spoken)
	})
	return cr, err
}
