package tasting

import (
	"errors"
	"math/big"
	"slices"

	"fairladle/challenge/wording"
)

// Outcome says whether there is a ranking.
type Outcome string

// The outcomes of a tally.
const (
	Ranked        Outcome = "ranked"
	TooFew        Outcome = "too-few-judges" // Rule.Below says what happens now; no place, no score
	NotComparable Outcome = "not-comparable" // additive rule, and no judge links two groups of plates; no place, no score
	NoSheets      Outcome = "no-sheets"
)

// Unit is what Place.Score counts.
type Unit string

// The units of scores.
const (
	UnitPoints  Unit = "points"  // all criteria share one scale
	UnitPercent Unit = "percent" // scales differ: per cent of the scale
	UnitSD      Unit = "sd"      // standard deviations above a judge's own mean
	UnitShare   Unit = "share"   // share of the other plates beaten, 0 to 1
)

// Verdict is the outcome of a tally. Places lists every plate: ranked ones
// first, in order, then those without a score, as they were given.
type Verdict struct {
	Rule      Rule      `json:"rule"`
	Outcome   Outcome   `json:"outcome"`
	Below     Below     `json:"below,omitempty"` // set with TooFew
	Judges    int       `json:"judges"`          // judges with a sheet that counts
	Sheets    int       `json:"sheets"`          // sheets that count
	Unit      Unit      `json:"unit"`
	Places    []Place   `json:"places"`
	NeedsDraw [][]int64 `json:"needsDraw,omitempty"` // groups of plates that a recorded draw must put in order
	LeftOut   []LeftOut `json:"leftOut,omitempty"`
	Words     []string  `json:"words"` // the verdict in sentences that name plates by number
}

// Place is where a plate stands.
type Place struct {
	Plate       int64    `json:"plate"`
	Rank        int      `json:"rank"` // 1 is first; tied plates share a rank; 0 = no score
	Score       float64  `json:"score"`
	Exact       *big.Rat `json:"exact,omitempty"` // the score as a fraction; nil under rules that are not rational
	Criteria    []Mean   `json:"criteria,omitempty"`
	Sheets      int      `json:"sheets"`
	Firsts      int      `json:"firsts"`                // judges who marked it above every other plate they tasted
	LevelFirsts int      `json:"levelFirsts,omitempty"` // judges who marked it highest, level with another
	Tied        bool     `json:"tied,omitempty"`        // shares its rank
	// TieBrokenBy is the rung that parted it from the place above where that has
	// the same score; for the first of several with one score, from the place below.
	TieBrokenBy TieBreak `json:"tieBrokenBy,omitempty"`
}

// Mean is a plate's plain mean on one criterion, in points of that scale.
type Mean struct {
	Key    string   `json:"key"`
	Name   string   `json:"name"`
	Mean   float64  `json:"mean"` // 0 where Sheets is 0
	Exact  *big.Rat `json:"exact,omitempty"`
	Sheets int      `json:"sheets"`
}

// LeftOut is a sheet that does not count, and why.
type LeftOut struct {
	Judge  int64  `json:"judge"`
	Plate  int64  `json:"plate"`
	Reason string `json:"reason"`
}

// level reports whether two places have the same score.
func (p Place) level(q Place) bool {
	return score{exact: p.Exact, value: p.Score}.same(score{exact: q.Exact, value: q.Score})
}

// Place is the place of a plate; ok is false for a plate of another tasting.
func (v Verdict) Place(plate int64) (p Place, ok bool) {
	for _, p := range v.Places {
		if p.Plate == plate {
			return p, true
		}
	}
	return Place{}, false
}

// Order is the plates that have a rank, first place first.
func (v Verdict) Order() []int64 {
	var order []int64
	for _, p := range v.Places {
		if p.Rank > 0 {
			order = append(order, p.Plate)
		}
	}
	return order
}

// ErrDraw is returned where an order from a draw fits no group that needs one.
var ErrDraw = errors.New("the drawn order does not hold exactly the plates of a tie that waits for a draw")

// Drawn settles one group of NeedsDraw by the order that a recorded draw gave.
func (v Verdict) Drawn(order []int64) (Verdict, error) {
	at := slices.IndexFunc(v.NeedsDraw, func(group []int64) bool { return sameSet(group, order) })
	if at < 0 {
		return v, ErrDraw
	}
	first := slices.IndexFunc(v.Places, func(p Place) bool { return slices.Contains(order, p.Plate) })
	places := slices.Clone(v.Places)
	for n, plate := range order {
		p, _ := v.Place(plate)
		p.Rank, p.Tied = v.Places[first].Rank+n, false
		if n > 0 || first == 0 || !v.Places[first-1].level(p) {
			p.TieBrokenBy = Draw
		}
		places[first+n] = p
	}
	v.Places = places
	v.NeedsDraw = slices.Delete(slices.Clone(v.NeedsDraw), at, at+1)
	v.Words = wording.English(v.Sentences(PlateNumber))
	return v, nil
}

func sameSet(a, b []int64) bool {
	x, y := slices.Clone(a), slices.Clone(b)
	slices.Sort(x)
	slices.Sort(y)
	return slices.Equal(x, y)
}
