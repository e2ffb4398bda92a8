package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"slices"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// A seating is who is served which plates of a tasting, in which order.
type seating struct {
	round  challenge.Round
	plates []Plate // by code
	out    map[int64]bool
	apart  map[Conflicted]bool
	// plan is nil for a tasting that opened before plans were kept: then
	// judges go through the orders of a balanced design in turn.
	plan   *tasting.Serving
	seed   [32]byte
	ids    []int64 // of the plates, in the order the plan was made with
	joined []int64 // judges in the order in which they joined, the host (0) first
}

// openServing plans who is served what when a tasting opens. Judges who see
// pictures or cook at home take no place at the table.
func openServing(ctx context.Context, tx *Tx, r challenge.Round, ps []Plate) error {
	random, err := tx.bytes(32)
	if err != nil {
		return err
	}
	atTable, err := rows(ctx, tx, scanID, `SELECT id FROM participant WHERE challenge_id = ? AND role = 'judge' AND removed_at = 0
		AND pictures = 0 AND home = 0 ORDER BY id`, r.Challenge)
	if err != nil {
		return err
	}
	if r.Params.HostScores {
		atTable = append([]int64{0}, atTable...)
	}
	apart, err := keptApart(ctx, tx, r.Challenge)
	if err != nil {
		return err
	}
	var plan tasting.Serving
	var conflicts []tasting.Conflict
	for _, judge := range atTable {
		for _, p := range ps {
			if apart[Conflicted{judge, p.Dish.ID}] {
				conflicts = append(conflicts, tasting.Conflict{Judge: judge, Plate: p.ID})
			}
		}
	}
	if len(atTable) > 0 {
		if plan, err = tasting.Serve(plateIDs(ps), atTable, perJudge(r, ps), conflicts, [32]byte(random)); err != nil {
			return err
		}
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO serving (round_id, seed, plan) VALUES (?, ?, ?)`, r.ID, random, jsonText(plan))
	return err
}

// perJudge is how many plates a judge is served; 0 is all.
func perJudge(r challenge.Round, ps []Plate) int {
	if r.Params.PerJudge >= len(ps) {
		return 0
	}
	return r.Params.PerJudge
}

// plateIDs are the plates of a tasting in the order its plan is made with.
func plateIDs(ps []Plate) []int64 {
	ids := make([]int64, len(ps))
	for i, p := range ps {
		ids[i] = p.ID
	}
	slices.Sort(ids)
	return ids
}

func seatingOf(ctx context.Context, q querier, r challenge.Round) (s seating, err error) {
	s.round = r
	if s.plates, s.out, err = servedPlates(ctx, q, r.ID); err != nil {
		return s, err
	}
	s.ids = plateIDs(s.plates)
	if s.apart, err = keptApart(ctx, q, r.Challenge); err != nil {
		return s, err
	}
	if s.joined, err = seats(ctx, q, r.Challenge); err != nil {
		return s, err
	}
	var plan string
	var seed []byte
	err = q.QueryRowContext(ctx, `SELECT plan, seed FROM serving WHERE round_id = ?`, r.ID).Scan(&plan, &seed)
	if errors.Is(err, sql.ErrNoRows) {
		return s, nil
	}
	if err != nil {
		return s, err
	}
	s.plan = new(tasting.Serving)
	copy(s.seed[:], seed)
	if err := json.Unmarshal([]byte(plan), s.plan); err != nil {
		return s, err
	}
	return s, s.join(ctx, q)
}

// join fits in who sat down after the tasting had opened.
func (s *seating) join(ctx context.Context, q querier) error {
	late, err := rows(ctx, q, scanID, `SELECT id FROM participant WHERE challenge_id = ? AND role = 'judge' AND pictures = 0 AND home = 0 ORDER BY id`, s.round.Challenge)
	if err == nil && len(s.plates) > 0 {
		*s.plan = s.plan.Extend(s.ids, late, perJudge(s.round, s.plates), s.seed)
	}
	return err
}

// order is what a judge is served, in order, without the plates taken out and
// the dishes the judge is kept from. Who does not sit at the table (pictures,
// at home, the host's own notes) meets every plate.
func (s seating) order(judge int64) []Plate {
	if len(s.plates) == 0 {
		return nil
	}
	var order []Plate
	if s.plan == nil {
		order = ServingOrder(s.plates, max(0, slices.Index(s.joined, judge)))
	} else {
		order = s.planned(judge)
	}
	return slices.DeleteFunc(order, func(p Plate) bool { return s.out[p.ID] || s.apart[Conflicted{judge, p.Dish.ID}] })
}

func (s seating) planned(judge int64) (order []Plate) {
	ids := s.plan.Order(judge)
	all := perJudge(s.round, s.plates) == 0
	if ids == nil {
		ids, all = s.plan.Extend(s.ids, []int64{judge}, 0, s.seed).Order(judge), true
	}
	for _, id := range ids {
		order = append(order, s.plate(id))
	}
	for _, p := range s.plates {
		// Somebody who was kept from a dish when the plan was made, and no
		// longer is.
		if all && !slices.Contains(ids, p.ID) {
			order = append(order, p)
		}
	}
	return order
}

func (s seating) plate(id int64) Plate {
	return s.plates[slices.IndexFunc(s.plates, func(p Plate) bool { return p.ID == id })]
}

// serves says whether a judge is served a plate.
func (s seating) serves(judge, plate int64) bool {
	return slices.ContainsFunc(s.order(judge), func(p Plate) bool { return p.ID == plate })
}

// ServingOrder is the order in which a judge tastes the plates of a round, by
// code: judges go through the orders of a balanced design in turn.
func ServingOrder(ps []Plate, judgeIndex int) []Plate {
	orders := tasting.WilliamsOrders(len(ps))
	order := orders[judgeIndex%len(orders)]
	served := make([]Plate, len(ps))
	for i, k := range order {
		served[i] = ps[k]
	}
	return served
}

// seats are the participants who may score, in the order in which they joined;
// the host (0) comes first. Who was removed keeps the seat, so that nobody's
// order changes in the middle.
func seats(ctx context.Context, q querier, challengeID int64) ([]int64, error) {
	ids, err := rows(ctx, q, scanID, `SELECT id FROM participant WHERE challenge_id = ? AND role = 'judge' ORDER BY id`, challengeID)
	return append([]int64{0}, ids...), err
}
