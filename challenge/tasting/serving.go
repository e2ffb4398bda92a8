package tasting

import (
	"errors"
	"math/rand/v2"
	"slices"

	"fairladle/challenge/panel"
)

// Seat is one judge's serving order.
type Seat struct {
	Judge  int64   `json:"judge"`
	Plates []int64 `json:"plates"`
}

// Serving is who gets what, in which order, and how far it is balanced.
type Serving struct {
	Seats     []Seat  `json:"seats"`
	Balanced  bool    `json:"balanced"` // every plate in every position, and directly after every other, equally often
	Position  [2]int  `json:"position"` // fewest and most times that a plate stands in a position
	Follows   [2]int  `json:"follows"`  // fewest and most times that a plate directly follows another
	Connected bool    `json:"connected"`
	Short     []int64 `json:"short,omitempty"` // judges for whom there were not enough plates
}

// What can be wrong with a serving.
var (
	ErrNothingToServe = errors.New("a serving needs at least one plate and one judge")
	ErrPerJudge       = errors.New("a judge can taste between one plate and all of them")
	ErrServedTwice    = errors.New("a plate or a judge is listed twice")
)

// Conflict is a judge who must not be served a plate.
type Conflict struct{ Judge, Plate int64 }

// Serve plans the serving of perJudge plates to each judge; 0 means all. With
// as many judges as a Williams design has orders, or a multiple of that, the
// plan is that design with plates and judges shuffled; for any other panel it
// is the nearest balanced one that a search from there finds. Where judges get
// some of the plates only, every plate is served equally often and every two
// plates meet the same judge equally often, as near as the numbers allow.
// seed: random bytes, kept with the plan.
func Serve(plates, judges []int64, perJudge int, conflicts []Conflict, seed [32]byte) (Serving, error) {
	if perJudge == 0 {
		perJudge = len(plates)
	}
	switch {
	case len(plates) == 0 || len(judges) == 0:
		return Serving{}, ErrNothingToServe
	case perJudge < 0 || perJudge > len(plates):
		return Serving{}, ErrPerJudge
	case len(distinct(plates)) < len(plates) || len(distinct(judges)) < len(judges):
		return Serving{}, ErrServedTwice
	}
	barred := conflicting(plates, judges, conflicts)
	w := waiter{plates: plates, random: rand.New(rand.NewChaCha8(seed))}
	s := Serving{Connected: true}
	if perJudge == len(plates) && len(barred) == 0 {
		w.williams(len(judges))
	} else {
		d := panel.NewDesign(panel.Blocks{Blocks: len(judges), Treatments: len(plates), Size: perJudge, Barred: barred}, seed)
		s.Connected = d.Connected
		for j, missing := range d.Short {
			if missing > 0 {
				s.Short = append(s.Short, judges[j])
			}
		}
		w.shuffled(d.Given)
	}
	w.improve()
	s.Position, s.Follows = w.spread()
	s.Balanced = s.Position[0] == s.Position[1] && s.Follows[0] == s.Follows[1]
	for j, order := range w.orders {
		seat := Seat{Judge: judges[j]}
		for _, p := range order {
			seat.Plates = append(seat.Plates, plates[p])
		}
		s.Seats = append(s.Seats, seat)
	}
	return s, nil
}

// conflicting is the conflicts as indices of judge and plate.
func conflicting(plates, judges []int64, conflicts []Conflict) [][2]int {
	var barred [][2]int
	for _, c := range conflicts {
		j, p := slices.Index(judges, c.Judge), slices.Index(plates, c.Plate)
		if j >= 0 && p >= 0 {
			barred = append(barred, [2]int{j, p})
		}
	}
	return barred
}

// Extend fits judges into a serving that is under way, one after another, in
// the order given: each gets the plates that fewest judges are served so far,
// in the order that keeps positions and neighbours nearest to even. Seats that
// stand are not touched, and the same arguments give the same seats, so nothing
// need be kept of a judge who joined late. perJudge and seed: as for Serve.
func (s Serving) Extend(plates, judges []int64, perJudge int, seed [32]byte) Serving {
	if perJudge <= 0 || perJudge > len(plates) {
		perJudge = len(plates)
	}
	w := waiter{plates: plates, random: rand.New(rand.NewChaCha8(seed))}
	for _, seat := range s.Seats {
		w.orders = append(w.orders, indices(plates, seat.Plates))
	}
	w.countAll()
	seats := slices.Clip(s.Seats)
	for _, judge := range judges {
		if slices.ContainsFunc(seats, func(x Seat) bool { return x.Judge == judge }) {
			continue
		}
		seat := Seat{Judge: judge}
		for _, p := range w.join(perJudge) {
			seat.Plates = append(seat.Plates, plates[p])
		}
		seats = append(seats, seat)
	}
	s.Seats = seats
	s.Position, s.Follows = w.spread()
	s.Balanced = s.Position[0] == s.Position[1] && s.Follows[0] == s.Follows[1]
	return s
}

// Order is the plates of one judge in the order they are served; nil for who
// has no seat.
func (s Serving) Order(judge int64) []int64 {
	for _, seat := range s.Seats {
		if seat.Judge == judge {
			return seat.Plates
		}
	}
	return nil
}

func indices(plates, order []int64) []int {
	var at []int
	for _, p := range order {
		if n := slices.Index(plates, p); n >= 0 {
			at = append(at, n)
		}
	}
	return at
}
