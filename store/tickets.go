package store

import (
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"slices"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// Tickets is how many tickets an entry has in a draw, and why.
type Tickets struct {
	Number  int
	Title   string // masked
	Tickets int
	Reason  string
}

// mostTickets keeps a table of faces readable.
const mostTickets = 100

// Tickets lists the entries that were given a number of tickets in a draw, to
// whoever runs it.
func (db *DB) Tickets(ctx context.Context, a challenge.Actor, challengeID, round int64) (all []Tickets, err error) {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (t Tickets, err error) {
		return t, r.Scan(&t.Number, &t.Title, &t.Tickets, &t.Reason)
	}
	return rows(ctx, db.reads, scan, `SELECT entry.number, dish.title, tickets.tickets, tickets.reason FROM tickets
		JOIN entry ON entry.dish_id = tickets.dish_id JOIN dish ON dish.id = entry.dish_id
		WHERE tickets.round_id = ? AND tickets.id = (SELECT max(id) FROM tickets newest WHERE newest.round_id = tickets.round_id AND newest.dish_id = tickets.dish_id)
		ORDER BY entry.number`, round)
}

// SetTickets gives an entry a whole number of tickets in a draw, with a reason
// that the ledger keeps, before the draw's list is fixed.
func (db *DB) SetTickets(ctx context.Context, a challenge.Actor, challengeID, round int64, number, tickets int, reason string) error {
	if err := challenge.May(a, challenge.RunDraw, challengeID); err != nil {
		return err
	}
	var bad challenge.Refusals
	if tickets < 1 || tickets > mostTickets {
		bad.Add("tickets", "An entry has 1 to %v tickets, a whole number.", mostTickets)
	}
	if reason == "" || len(reason) > challenge.MaxName*4 {
		bad.Add("reason", "Say in a sentence why; the ledger keeps it.")
	}
	if err := bad.Err(); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := mayWeigh(ctx, tx, r); err != nil {
			return err
		}
		var dish int64
		err = tx.QueryRowContext(ctx, `SELECT dish_id FROM entry WHERE challenge_id = ? AND number = ? AND state = 'in'`, c.ID, number).Scan(&dish)
		if err != nil {
			if err = ignoreNoRows(err); err == nil {
				err = challenge.Refuse(challenge.Invalid, "number", "There is no entry of this number that takes part.")
			}
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO tickets (round_id, dish_id, tickets, reason, at) VALUES (?, ?, ?, ?, ?)`,
			r.ID, dish, tickets, reason, millis(tx.now)); err != nil {
			return err
		}
		return record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventTickets, Round: r.Position, Entry: number, By: a.Role, Reason: reason,
			Detail: map[string]int{"tickets": tickets}})
	})
}

// mayWeigh refuses tickets where the list is fixed or the way to draw has none.
func mayWeigh(ctx context.Context, q querier, r challenge.Round) error {
	switch {
	case r.Kind != challenge.Draw:
		return challenge.NotFound("There is no draw at this address.")
	case draw.Method(r.Params.Method) == draw.ByPublics:
		return challenge.Refuse(challenge.Invalid, "", "With public sources every entry has exactly one ticket.")
	case r.State == challenge.Planned:
		return nil
	}
	x, err := drawOf(ctx, q, r.ID)
	if err == nil && (x.plan.Frozen() || r.State != challenge.UnderWay) {
		err = challenge.Refuse(challenge.Shut, "", "The list of this draw is fixed; nobody's tickets can be changed any more.")
	}
	return err
}

// A oneEach is the record of drawing one entry of each person. It shows which
// numbers belong together, so it is opened to nobody but the host.
type oneEach struct {
	Draw   string  `json:"draw"`
	Key    string  `json:"key"` // 32 bytes, hex
	Groups [][]int `json:"groups"`
	Chosen []int   `json:"chosen"`
}

// holds says whether the choice follows from the key.
func (o oneEach) holds() bool {
	key, err := hex.DecodeString(o.Key)
	return err == nil && len(key) == 32 && slices.Equal(draw.OneEach([32]byte(key), o.Groups), o.Chosen)
}

// drawOneEach draws one entry of each person among those that went into a
// round, takes the others off its list, and returns the words that announce it.
func drawOneEach(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) (draw.Announcement, error) {
	said := draw.Announcement{At: draw.At(tx.now)}
	groups, err := groupsByPerson(ctx, tx, r.ID)
	if err != nil {
		return said, err
	}
	key, err := tx.bytes(32)
	if err != nil {
		return said, err
	}
	o := oneEach{Draw: drawName(c, r), Key: hex.EncodeToString(key), Groups: groups, Chosen: draw.OneEach([32]byte(key), groups)}
	for _, g := range groups {
		for _, number := range g {
			if slices.Contains(o.Chosen, number) {
				continue
			}
			if _, err := tx.ExecContext(ctx, `INSERT INTO stood_back (round_id, dish_id) SELECT ?, dish_id FROM entry WHERE challenge_id = ? AND number = ?`,
				r.ID, c.ID, number); err != nil {
				return said, err
			}
		}
	}
	leaf, err := recordLeaf(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventOneEach, Round: r.Position, Detail: o})
	said.What = challenge.OneEachSaid(leaf)
	return said, err
}

// groupsByPerson are the numbers of the entries in a round, each person's
// together, in the order of their lowest numbers.
func groupsByPerson(ctx context.Context, q querier, round int64) ([][]int, error) {
	type owned struct {
		person int64
		number int
	}
	scan := func(r *sql.Rows) (o owned, err error) { return o, r.Scan(&o.person, &o.number) }
	all, err := rows(ctx, q, scan, `SELECT entrant.person_id, entry.number FROM round_in JOIN entry ON entry.dish_id = round_in.dish_id
		JOIN entrant ON entrant.dish_id = entry.dish_id WHERE round_in.round_id = ? AND entry.state = 'in' ORDER BY entry.number`, round)
	at := map[int64]int{}
	groups := [][]int{}
	for _, o := range all {
		i, known := at[o.person]
		if !known {
			i = len(groups)
			at[o.person], groups = i, append(groups, nil)
		}
		groups[i] = append(groups[i], o.number)
	}
	return groups, err
}

// choices draws one entry of each person again.
func (k checking) choices() error {
	for _, l := range k.leaves {
		if l.Kind == challenge.EventOneEach {
			k.expect(l.Seq, func(body []byte) bool {
				var e struct{ Detail oneEach }
				return json.Unmarshal(body, &e) == nil && e.Detail.holds()
			}, "the choice of one entry of each person does not follow from its key")
		}
	}
	return nil
}
