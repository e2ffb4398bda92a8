package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/challenge/ledger"
)

// openVote needs two dishes to choose from.
func openVote(_ context.Context, _ *Tx, _ challenge.Challenge, _ challenge.Round, in []int64) error {
	if len(in) < 2 {
		return challenge.Refuse(challenge.Shut, "", "A vote needs at least two dishes to choose from.")
	}
	return nil
}

// VoteEnds is when a vote stops taking ballots.
func VoteEnds(r challenge.Round) time.Time {
	return r.OpenedAt.Add(time.Duration(r.Params.VoteHours) * time.Hour)
}

// CastBallot takes one ballot. pass is the browser's, kept only as a hash; that
// it was used and what was chosen are stored apart and without a time.
func (db *DB) CastBallot(ctx context.Context, challengeID, round int64, pass string, choice int64) error {
	hash, ok := hashToken(pass)
	if !ok {
		return challenge.Refuse(challenge.Invalid, "", "This form is out of date. Load it again and choose once more.")
	}
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Vote, choice); err != nil {
			return err
		}
		if !tx.now.Before(VoteEnds(r)) {
			return challenge.Refuse(challenge.Shut, "", "The vote has ended; no more ballots are taken.")
		}
		res, err := tx.ExecContext(ctx, `INSERT INTO voting_pass (round_id, token_hash) VALUES (?, ?) ON CONFLICT DO NOTHING`, round, hash)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, challenge.Refuse(challenge.Over, "", "A ballot was cast from this browser already. The first one counts."))
		}
		key, err := tx.bytes(16)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO ballot (round_id, key, choices) VALUES (?, ?, ?)`, round, key, jsonText([]int64{choice}))
		return err
	})
}

// Voted says whether a browser's pass was used in a vote.
func (db *DB) Voted(ctx context.Context, round int64, pass string) (used bool, err error) {
	hash, ok := hashToken(pass)
	if !ok {
		return false, nil
	}
	err = db.reads.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM voting_pass WHERE round_id = ? AND token_hash = ?)`, round, hash).Scan(&used)
	return used, err
}

// BallotCount says how many ballots a vote has taken.
func (db *DB) BallotCount(ctx context.Context, round int64) (n int, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT count(*) FROM ballot WHERE round_id = ?`, round).Scan(&n)
	return n, err
}

// A VoteRecord is the document of a closed vote. Ballots are in the order of
// their random keys, which says nothing about when each was cast.
type VoteRecord struct {
	Ballots    []RecordedBallot `json:"ballots"`
	Commitment string           `json:"commitment"` // hex SHA-256 of the ballots in canonical JSON
	Result     ballot.Result    `json:"result"`
}

// A RecordedBallot is one ballot under its random key.
type RecordedBallot struct {
	Key     string        `json:"key"`
	Choices ballot.Ballot `json:"choices"`
}

// closeVote counts the ballots.
func closeVote(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	if tx.now.Before(VoteEnds(r)) {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "The vote is still running; it can be counted when its time is over.")
	}
	in, err := rows(ctx, tx, scanID, `SELECT dish_id FROM round_in WHERE round_id = ? ORDER BY place`, r.ID)
	if err != nil {
		return nil, nil, err
	}
	rec, err := countVote(ctx, tx, r.ID, in)
	if err != nil {
		return nil, nil, err
	}
	if err := record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventBallots, Round: r.Position, Content: rec.Commitment}); err != nil {
		return nil, nil, err
	}
	var out []challenge.Placing
	for _, group := range rec.Result.Order {
		rank := len(out) + 1
		for _, dish := range group {
			out = append(out, challenge.Placing{Dish: dish, Rank: rank, Through: true})
		}
	}
	document, err := ledger.Canonical(rec)
	return document, out, err
}

func countVote(ctx context.Context, q querier, round int64, options []int64) (VoteRecord, error) {
	var rec VoteRecord
	scan := func(r *sql.Rows) (b RecordedBallot, err error) {
		var key []byte
		var choices string
		if err := r.Scan(&key, &choices); err != nil {
			return b, err
		}
		b.Key = hex.EncodeToString(key)
		return b, json.Unmarshal([]byte(choices), &b.Choices)
	}
	var err error
	if rec.Ballots, err = rows(ctx, q, scan, `SELECT key, choices FROM ballot WHERE round_id = ? ORDER BY key`, round); err != nil {
		return rec, err
	}
	all, err := ledger.Canonical(rec.Ballots)
	if err != nil {
		return rec, err
	}
	rec.Commitment = hexSum(bytes.Clone(all))
	plain := make([]ballot.Ballot, len(rec.Ballots))
	for i, b := range rec.Ballots {
		plain[i] = slices.Clone(b.Choices)
	}
	rec.Result, err = ballot.Counting(ballot.OneChoice, options, plain, nil)
	return rec, err
}
