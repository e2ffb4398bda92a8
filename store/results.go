package store

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
)

// Results are what one audience may see of how a challenge came out. What may
// not be seen yet is not in it.
type Results struct {
	Challenge challenge.Challenge
	Shows     challenge.Showing
	Added     challenge.Publication // the host's video, sponsor; empty before there is a result
	Drawn     *PublicDish           // the drawn entry
	Instead   *PublicDish           // the alternate that stepped in where the drawn entry was withdrawn
	Void      []challenge.Round     // draws that were declared void
	DrawRound int                   // position of the draw it came from
	Draws     []challenge.Round
	Finalists []PublicDish
	Verdicts  []PublicVerdict
	Votes     []PublicVote
	Final     [][]PublicDish    // best first, level ones together; nil until it is final
	FinalRule ballot.FinalRule  // by which rule Final came about
	Standings []ballot.Standing // weighted: how each score came about, in the order of Final
	Recipes   []PublicDish      // those whose entrants agreed to publication
	Corrected []CorrectedRound
}

// A CorrectedRound is a round whose outcome is public, with what was put right
// about it.
type CorrectedRound struct {
	Round       challenge.Round
	Corrections []Correction
}

// Cooked is the dish that a draw led to: the drawn one, or the alternate in its
// place; nil where there is none.
func (x Results) Cooked() *PublicDish {
	if x.Instead != nil {
		return x.Instead
	}
	return x.Drawn
}

// Empty says that nothing may be seen yet.
func (x Results) Empty() bool {
	return x.Drawn == nil && len(x.Draws) == 0 && len(x.Finalists) == 0 && len(x.Verdicts) == 0 && len(x.Votes) == 0 && len(x.Recipes) == 0
}

// Results returns what the public may see of c now.
func (db *DB) Results(ctx context.Context, c challenge.Challenge) (Results, error) {
	return db.resultsAt(ctx, c, db.now())
}

// Preview returns what the public will see of the rounds that are closed, once
// every release time has come. What is still sealed stays out of it.
func (db *DB) Preview(ctx context.Context, a challenge.Actor, c challenge.Challenge) (Results, error) {
	if err := challenge.May(a, challenge.EditChallenge, c.ID); err != nil {
		return Results{}, err
	}
	return db.resultsAt(ctx, c, time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC))
}

func (db *DB) resultsAt(ctx context.Context, c challenge.Challenge, at time.Time) (x Results, err error) {
	err = db.read(ctx, func(q querier) error {
		x, err = disclosure{ctx: ctx, q: q, challenge: c, shows: c.Shows(challenge.Public, at)}.all()
		return err
	})
	return x, err
}

// A disclosure reads the results of one challenge for one showing.
type disclosure struct {
	ctx       context.Context
	q         querier
	challenge challenge.Challenge
	shows     challenge.Showing
}

// all is everything that the showing lets be seen.
func (d disclosure) all() (x Results, err error) {
	x.Challenge, x.Shows = d.challenge, d.shows
	for _, load := range []func(*Results) error{d.added, d.drawn, d.finalists, d.verdicts, d.votes, d.final, d.recipes, d.corrected} {
		if err := load(&x); err != nil {
			return x, err
		}
	}
	return x, nil
}

// shown lists the rounds of a kind whose outcome may be seen, in order.
func (d disclosure) shown(k challenge.Kind) []challenge.Round {
	return slices.DeleteFunc(d.challenge.Of(k), func(r challenge.Round) bool { return !d.shows.Outcome(r.ID) })
}

// added is what the host put beside the results, once there is one.
func (d disclosure) added(x *Results) (err error) {
	if d.shows.Results {
		x.Added, err = publication(d.ctx, d.q, d.challenge.ID)
	}
	return err
}

func (d disclosure) corrected(x *Results) error {
	for _, r := range d.challenge.Rounds {
		if !d.shows.Outcome(r.ID) {
			continue
		}
		cs, err := roundCorrections(d.ctx, d.q, r.ID)
		if err != nil {
			return err
		}
		if len(cs) > 0 {
			x.Corrected = append(x.Corrected, CorrectedRound{r, cs})
		}
	}
	return nil
}

func (d disclosure) drawn(x *Results) error {
	x.Draws = d.shown(challenge.Draw)
	for _, r := range x.Draws {
		out, err := outcome(d.ctx, d.q, r.ID)
		if err != nil {
			return err
		}
		if len(out) > 0 && out[0].Note == "void" {
			x.Void = append(x.Void, r)
			x.Drawn, x.Instead = nil, nil
			continue
		}
		if err := d.drawnIn(x, r, out); err != nil {
			return err
		}
	}
	return nil
}

// drawnIn tells the first place of a draw, and who stepped in for it.
func (d disclosure) drawnIn(x *Results, r challenge.Round, out []challenge.Placing) error {
	var ids []int64
	for _, p := range out {
		ids = append(ids, p.Dish)
	}
	dishes, err := d.dishes(ids)
	if err != nil || len(dishes) == 0 {
		return err
	}
	x.Drawn, x.Instead, x.DrawRound = &dishes[0], nil, r.Position
	for i := range dishes[1:] {
		if dishes[0].Withdrawn && !dishes[i+1].Withdrawn {
			x.Instead = &dishes[i+1]
			break
		}
	}
	return nil
}

// finalists are what the last shown pick let through; where nobody picks, what
// the reading did.
func (d disclosure) finalists(x *Results) error {
	from := d.shown(challenge.Pick)
	if len(d.challenge.Of(challenge.Pick)) == 0 {
		from = d.shown(challenge.Reading)
	}
	if len(from) == 0 {
		return nil
	}
	out, err := outcome(d.ctx, d.q, from[len(from)-1].ID)
	if err != nil {
		return err
	}
	x.Finalists, err = d.dishes(challenge.Through(out))
	return err
}

// documentOf reads the record of a closed round.
func documentOf(ctx context.Context, q querier, round int64, into any) error {
	var b []byte
	if err := q.QueryRowContext(ctx, `SELECT document FROM round WHERE id = ? AND state = 'closed'`, round).Scan(&b); err != nil {
		return missing(err, "There is no such record yet.")
	}
	return json.Unmarshal(b, into)
}
