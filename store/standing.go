package store

import (
	"context"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// A Standing says whether an entry stands in the fixed list of one draw.
type Standing struct {
	Position int // of the draw's round
	Title    string
	FixedAt  time.Time
	In       bool
	// Unaltered says that the list holds the entry in its newest version.
	Unaltered  bool
	Root       ledger.Hash
	Commitment ledger.Commitment
	// Index is the entry's line in the list, from 0, and Proof shows it under
	// Root.
	Index int64
	Proof ledger.Proof
}

// Standings says of each list fixed so far whether the entrant's entry is in
// it.
func (db *DB) Standings(ctx context.Context, a challenge.Actor) (all []Standing, err error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return nil, err
	}
	err = db.read(ctx, func(q querier) error {
		o, err := ownEntry(ctx, q, a.ID)
		if err != nil {
			return err
		}
		var content []byte
		err = q.QueryRowContext(ctx, `SELECT l.content FROM dish_version v JOIN ledger_leaf l ON l.challenge_id = ? AND l.seq = v.leaf
			WHERE v.dish_id = ? AND v.version = ?`, o.Challenge.ID, a.ID, o.Recipe.Version).Scan(&content)
		if err != nil {
			return err
		}
		for _, r := range o.Challenge.Of(challenge.Draw) {
			if r.State == challenge.Planned {
				continue
			}
			state, roster, _, err := loadDraw(ctx, q, r.ID)
			if err != nil {
				return err
			}
			if state.Plan.Frozen() {
				all = append(all, standing(r, state.Plan, roster, o.Number, ledger.Commitment(content)))
			}
		}
		return nil
	})
	return all, err
}

func standing(r challenge.Round, p draw.Plan, roster draw.Roster, number int, content ledger.Commitment) Standing {
	s := Standing{Position: r.Position, Title: r.Title, FixedAt: p.FrozenAt.Time(), Root: p.Roster.Root}
	i := slices.IndexFunc(roster, func(t draw.Ticket) bool { return t.Number == number })
	if i < 0 {
		return s
	}
	s.In, s.Index, s.Commitment, s.Unaltered = true, int64(i), roster[i].Commitment, roster[i].Commitment == content
	s.Proof, _ = roster.Tree().Inclusion(s.Index) // the index is in the list
	return s
}
