package store

import (
	"context"
	"slices"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/challenge/wording"
)

// VerdictDetails are how a verdict came about and how sure it is. They name no
// judge and hold no single sheet: judges stand as numbers of this page.
type VerdictDetails struct {
	Verdict PublicVerdict
	Rule    tasting.Rule
	Sure    tasting.Certainty
	Often   []OftenRow
	Rules   []RuleRow
	Without []WithoutRow // five judges and more: the tally without each one
	LeftOut []LeftOutRow
	Changed []string // by judges at home, in no order that says whose
	Serving *tasting.Serving
	Put     []Postponement
	Seed    string // makes the resamples repeatable; hex
}

// An OftenRow is how a dish fared over the runs.
type OftenRow struct {
	Dish PublicDish
	tasting.Often
}

// A RuleRow is what another usual rule would have said.
type RuleRow struct {
	tasting.OtherRule
	Names wording.List // first; empty where that rule gives no verdict
}

// A WithoutRow is the first place without one judge.
type WithoutRow struct {
	Judge int // from 1, by this page
	Same  bool
	Names wording.List
}

// A LeftOutRow is a sheet that does not count.
type LeftOutRow struct {
	Dish   PublicDish
	Reason string
}

// VerdictDetails opens how a verdict came about: to the public once it is
// released, to its host from the closing on.
func (db *DB) VerdictDetails(ctx context.Context, role challenge.Role, c challenge.Challenge, round int64) (x VerdictDetails, err error) {
	r, err := c.Round(round)
	if err != nil {
		return x, err
	}
	shows := c.Shows(role, db.now())
	if r.Kind != challenge.Tasting {
		return x, challenge.NotFound("There is no such round in this challenge.")
	}
	if !shows.Outcome(r.ID) {
		return x, challenge.Refuse(challenge.Sealed, "", "How the verdict came about is sealed until the verdict is released.")
	}
	err = db.read(ctx, func(q querier) error {
		d := disclosure{ctx: ctx, q: q, challenge: c, shows: shows}
		res, err := d.all()
		if err != nil {
			return err
		}
		for _, v := range res.Verdicts {
			if v.Round.ID == r.ID {
				x.Verdict = v
			}
		}
		x.Rule = *r.Params.Rule
		return x.load(d, r)
	})
	return x, err
}

func (x *VerdictDetails) load(d disclosure, r challenge.Round) error {
	rec, plates, err := tastingRecord(d.ctx, d.q, r.ID)
	if err != nil {
		return err
	}
	x.Sure, x.Serving, x.Put, x.Seed = rec.Certainty, rec.Serving, rec.Postponed, rec.Seed
	var ids []int64
	for _, p := range rec.Plates {
		ids = append(ids, plates[p.ID].Dish.ID)
	}
	dishes, err := d.dishes(ids)
	if err != nil {
		return err
	}
	on := map[int64]PublicDish{}
	for i, p := range rec.Plates {
		on[p.ID] = dishes[i]
	}
	x.fill(rec, on)
	return nil
}

// fill leaves out rows of dishes whose scores are not published.
func (x *VerdictDetails) fill(rec TastingRecord, on map[int64]PublicDish) {
	shown := func(plate int64) bool {
		return slices.ContainsFunc(x.Verdict.Places, func(p PublicPlace) bool { return p.Plate == plate })
	}
	named := func(plates []int64) (list wording.List) {
		for _, p := range plates {
			list = append(list, spoken(on[p]))
		}
		return list
	}
	for _, o := range x.Sure.Often {
		if shown(o.Plate) {
			x.Often = append(x.Often, OftenRow{on[o.Plate], o})
		}
	}
	for _, o := range x.Sure.Rules {
		x.Rules = append(x.Rules, RuleRow{o, named(o.First)})
	}
	if x.Sure.Method != tasting.CountsOnly && !x.Sure.Untold {
		x.without(rec, named)
	}
	for _, l := range rec.Verdict.LeftOut {
		if shown(l.Plate) {
			x.LeftOut = append(x.LeftOut, LeftOutRow{on[l.Plate], l.Reason})
		}
	}
	for _, s := range rec.Sheets {
		if s.Home != nil && s.Home.Changed != "" && shown(s.Plate) {
			x.Changed = append(x.Changed, s.Home.Changed)
		}
	}
	slices.Sort(x.Changed)
}

// without is the first place without each judge in turn. The judges without
// whom it would be another come first, so that a number gives nobody away.
func (x *VerdictDetails) without(rec TastingRecord, named func([]int64) wording.List) {
	for _, t := range x.Sure.Turning {
		x.Without = append(x.Without, WithoutRow{Judge: len(x.Without) + 1, Names: named(t.First)})
	}
	for len(x.Without) < rec.Verdict.Judges {
		x.Without = append(x.Without, WithoutRow{Judge: len(x.Without) + 1, Same: true, Names: named(x.Sure.First)})
	}
}
