package store

import (
	"context"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/challenge/wording"
)

// tastingRecord reads the record of a closed tasting and its plates by id.
func tastingRecord(ctx context.Context, q querier, round int64) (TastingRecord, map[int64]Plate, error) {
	var rec TastingRecord
	if err := documentOf(ctx, q, round, &rec); err != nil {
		return rec, nil, err
	}
	all, _, err := servedPlates(ctx, q, round)
	byID := map[int64]Plate{}
	for _, p := range all {
		byID[p.ID] = p
	}
	return rec, byID, err
}

// A TastingResult is a closed tasting as the host sees it.
type TastingResult struct {
	Record    TastingRecord
	Places    []JudgedPlate
	Sheets    []NamedSheet
	Sentences []wording.Sentence
	Caution   wording.Sentence // what the plates do not let anybody tell
	Home      wording.Sentence // who scored what they cooked themselves
	Details   []wording.Sentence
}

// A JudgedPlate is a plate with its place.
type JudgedPlate struct {
	tasting.Place
	Served Plate
}

// A NamedSheet is a counted sheet with its judge's name.
type NamedSheet struct {
	RecordedSheet
	Name   string // empty for the host
	Served Plate
}

// TastingResult opens a closed tasting to its host. Before the closing it
// refuses: sheets are sealed from everyone.
func (db *DB) TastingResult(ctx context.Context, a challenge.Actor, challengeID, round int64) (x TastingResult, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return x, err
	}
	err = db.read(ctx, func(q querier) error {
		_, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		if r.Kind != challenge.Tasting {
			return challenge.NotFound("There is no such round in this challenge.")
		}
		if r.State != challenge.Done {
			return challenge.Refuse(challenge.Sealed, "", "The sheets are sealed until the tasting is closed, from you too.")
		}
		rec, served, err := tastingRecord(ctx, q, round)
		if err != nil {
			return err
		}
		names, err := participants(ctx, q, challengeID)
		if err != nil {
			return err
		}
		x = newTastingResult(rec, served, names)
		return nil
	})
	return x, err
}

func newTastingResult(rec TastingRecord, served map[int64]Plate, people []Participant) TastingResult {
	x := TastingResult{Record: rec}
	for _, p := range rec.Verdict.Places {
		x.Places = append(x.Places, JudgedPlate{p, served[p.Plate]})
	}
	names := map[int64]string{}
	for _, p := range people {
		names[p.ID] = p.Name
	}
	for _, s := range rec.Sheets {
		x.Sheets = append(x.Sheets, NamedSheet{s, names[s.Judge], served[s.Plate]})
	}
	name := func(plate int64) any {
		d := served[plate].Dish
		return spoken(PublicDish{Number: d.Number, Title: d.Title})
	}
	x.Caution, x.Home = rec.caution(served), rec.atHome()
	x.Sentences, x.Details = rec.Verdict.Sentences(name), rec.Certainty.Sentences(rec.Verdict, name)
	return x
}

// VoteResult opens a closed vote to its host.
func (db *DB) VoteResult(ctx context.Context, a challenge.Actor, c challenge.Challenge, round int64) (v PublicVote, err error) {
	if err := challenge.May(a, challenge.RunRound, c.ID); err != nil {
		return v, err
	}
	r, err := c.Round(round)
	if err != nil {
		return v, err
	}
	if r.Kind != challenge.Vote || r.State != challenge.Done {
		return v, challenge.Refuse(challenge.Sealed, "", "The ballots are sealed until the vote is closed, from you too.")
	}
	err = db.read(ctx, func(q querier) error {
		v, _, err = disclosure{ctx: ctx, q: q, challenge: c, shows: c.Shows(a.Role, db.now())}.vote(r)
		return err
	})
	return v, err
}

// Options are the dishes of an open vote, as its ballot names them. It refuses
// while a round before the vote is withheld: the ballot would give it away.
func (db *DB) Options(ctx context.Context, c challenge.Challenge, round int64) (ds []PublicDish, err error) {
	r, err := c.Round(round)
	if err != nil {
		return nil, err
	}
	shows := c.Shows(challenge.Public, db.now())
	for _, p := range c.Rounds {
		if p.Position < r.Position && !shows.Outcome(p.ID) {
			return nil, challenge.Refuse(challenge.Sealed, "", "The ballot is withheld until the results before it are released.")
		}
	}
	err = db.read(ctx, func(q querier) error {
		in, err := onBallot(ctx, q, round)
		if err != nil {
			return err
		}
		ds, err = disclosure{ctx: ctx, q: q, challenge: c, shows: shows}.dishes(in)
		return err
	})
	return ds, err
}
