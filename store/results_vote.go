package store

import (
	"context"
	"fmt"
	"slices"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/challenge/ledger"
	"fairladle/challenge/wording"
)

// A PublicVote is the outcome of a vote.
type PublicVote struct {
	Round      challenge.Round
	Ballots    int
	Counts     []PublicCount // most votes first; first choices where the method ranks
	Sentences  []wording.Sentence
	Commitment string
	Result     ballot.Result
	Dishes     map[int64]PublicDish
}

// A PublicCount is how many ballots named a dish.
type PublicCount struct {
	Dish  PublicDish
	Votes int
}

func (d disclosure) votes(x *Results) error {
	for _, r := range d.shown(challenge.Vote) {
		v, _, err := d.vote(r)
		if err != nil {
			return err
		}
		x.Votes = append(x.Votes, v)
	}
	return nil
}

func (d disclosure) vote(r challenge.Round) (PublicVote, VoteRecord, error) {
	var rec VoteRecord
	if err := documentOf(d.ctx, d.q, r.ID, &rec); err != nil {
		return PublicVote{}, rec, err
	}
	var ids []int64
	for _, c := range rec.Result.Counts {
		ids = append(ids, c.Option)
	}
	dishes, err := d.dishes(ids)
	if err != nil {
		return PublicVote{}, rec, err
	}
	v := PublicVote{Round: r, Ballots: rec.Result.Ballots, Commitment: rec.Commitment, Result: rec.Result, Dishes: map[int64]PublicDish{}}
	for i, c := range rec.Result.Counts {
		v.Dishes[c.Option] = dishes[i]
		v.Counts = append(v.Counts, PublicCount{dishes[i], c.Votes})
	}
	slices.SortStableFunc(v.Counts, func(a, b PublicCount) int { return b.Votes - a.Votes })
	v.Sentences = voteWords(v, rec)
	return v, rec, nil
}

// voteWords tells the count, and for two dishes whether it could be chance.
func voteWords(v PublicVote, rec VoteRecord) []wording.Sentence {
	if len(v.Result.Order) == 0 || v.Ballots == 0 {
		return []wording.Sentence{wording.Of("No ballot was cast.")}
	}
	name := func(id int64) any { return spoken(v.Dishes[id]) }
	var words []wording.Sentence
	switch front := v.Result.Order[0]; {
	case v.Result.Method == ballot.OneChoice && len(front) == 1:
		words = append(words, wording.Of("%v has the most votes.", name(front[0])))
	case v.Result.Method == ballot.OneChoice:
		words = append(words, wording.Of("The vote leaves several dishes level in front."))
	default:
		words = v.Result.Sentences(name)
		if len(v.Result.Level) > 0 {
			words = append(words, wording.Of("What votes leave level stays level."))
		}
	}
	if len(v.Counts) == 2 {
		words = append(words, ballot.Chance(duel(v.Result.Method, v.Counts[0].Dish.ID, v.Counts[1].Dish.ID, rec.Ballots)))
	}
	return words
}

// duel counts the ballots that prefer one of two dishes to the other: one that
// approves of both prefers neither.
func duel(m ballot.Method, a, b int64, all []RecordedBallot) (forA, forB int) {
	for _, x := range all {
		atA, atB := slices.Index(x.Choices, a), slices.Index(x.Choices, b)
		switch {
		case atA >= 0 && (atB < 0 || m.Ranks() && atA < atB):
			forA++
		case atB >= 0 && (atA < 0 || m.Ranks() && atB < atA):
			forB++
		}
	}
	return forA, forB
}

// A BallotBox is every ballot of a closed vote under its random key.
type BallotBox struct {
	Vote    PublicVote
	Ballots []RecordedBallot
	Content []byte // what Vote.Commitment is the SHA-256 of
}

// Find returns the ballot under a voting slip.
func (b BallotBox) Find(slip string) (RecordedBallot, bool) {
	at := slices.IndexFunc(b.Ballots, func(x RecordedBallot) bool { return x.Key == slip })
	if at < 0 {
		return RecordedBallot{}, false
	}
	return b.Ballots[at], true
}

// BallotBox opens a vote to everyone once its outcome is released.
func (db *DB) BallotBox(ctx context.Context, c challenge.Challenge, round int64) (b BallotBox, err error) {
	r, err := c.Round(round)
	if err != nil {
		return b, err
	}
	shows := c.Shows(challenge.Public, db.now())
	if r.Kind != challenge.Vote || !shows.Outcome(round) {
		return b, challenge.Refuse(challenge.Sealed, "", "The ballots are sealed until the result of the vote is released.")
	}
	err = db.read(ctx, func(q querier) error {
		var rec VoteRecord
		if b.Vote, rec, err = (disclosure{ctx: ctx, q: q, challenge: c, shows: shows}).vote(r); err != nil {
			return err
		}
		b.Ballots = rec.Ballots
		b.Content, err = ledger.Canonical(rec.Ballots)
		return err
	})
	if err == nil && hexSum(b.Content) != b.Vote.Commitment {
		err = fmt.Errorf("ballots of round %d do not match their commitment", round)
	}
	return b, err
}
