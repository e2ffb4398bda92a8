package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/base64"
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

// CastBallot takes one ballot. pass is the browser's, or that of a private
// link, kept only as a hash; that it was used and what was chosen are stored
// apart and without a time. slip is the random key of the ballot, drawn with
// NewToken for its form: the same ballot sent twice is one.
func (db *DB) CastBallot(ctx context.Context, challengeID, round int64, pass, slip string, choices ballot.Ballot) error {
	hash, ok := hashToken(pass)
	key, err := base64.RawURLEncoding.DecodeString(slip)
	if !ok || err != nil || len(key) != tokenBytes {
		return errOldBallot
	}
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := mayCast(ctx, tx, r, hash, choices); err != nil {
			return err
		}
		res, err := tx.ExecContext(ctx, `INSERT INTO voting_pass (round_id, token_hash) VALUES (?, ?) ON CONFLICT DO NOTHING`, round, hash)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, castAgain(ctx, tx, r, key, choices))
		}
		res, err = tx.ExecContext(ctx, `INSERT INTO ballot (round_id, key, choices) VALUES (?, ?, ?) ON CONFLICT DO NOTHING`, round, key, jsonText(choices))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, errOldBallot)
		}
		return nil
	})
}

var errOldBallot = challenge.Refuse(challenge.Invalid, "", "This form is out of date. Load it again and choose once more.")

// mayCast refuses a ballot that cannot be taken.
func mayCast(ctx context.Context, q *Tx, r challenge.Round, pass []byte, choices ballot.Ballot) error {
	if err := roundUnderWay(ctx, q, r.Challenge, r.ID, challenge.Vote, 0); err != nil {
		return err
	}
	if !q.now.Before(VoteEnds(r)) {
		return challenge.Refuse(challenge.Shut, "", "The vote has ended; no more ballots are taken.")
	}
	if r.Params.ByLink {
		if _, invited, err := votingLink(ctx, q, r.ID, pass); err != nil || !invited {
			return errors.Join(err, errNotInvited)
		}
	}
	options, err := onBallot(ctx, q, r.ID)
	if err != nil {
		return err
	}
	if len(choices) == 0 {
		return challenge.Refuse(challenge.Invalid, "choice", "Choose at least one dish.")
	}
	switch err := r.Params.Voting().Check(options, choices); {
	case errors.Is(err, ballot.ErrOption):
		return challenge.NotFound("A dish on this ballot is not part of the vote, or was withdrawn. Load the ballot again.")
	case errors.Is(err, ballot.ErrTwice):
		return challenge.Refuse(challenge.Invalid, "choice", "The ballot names a dish twice.")
	case errors.Is(err, ballot.ErrTooMany):
		return challenge.Refuse(challenge.Invalid, "choice", "Choose one dish only.")
	default:
		return err
	}
}

// castAgain recognises a ballot that was sent twice.
func castAgain(ctx context.Context, q querier, r challenge.Round, key []byte, choices ballot.Ballot) error {
	var kept string
	err := q.QueryRowContext(ctx, `SELECT choices FROM ballot WHERE round_id = ? AND key = ?`, r.ID, key).Scan(&kept)
	switch {
	case err == nil && kept == jsonText(choices):
		return nil
	case err != nil && !errors.Is(err, sql.ErrNoRows):
		return err
	case r.Params.ByLink:
		return challenge.Refuse(challenge.Over, "", "A ballot was cast with this link already. The first one counts.")
	}
	return challenge.Refuse(challenge.Over, "", "A ballot was cast from this browser already. The first one counts.")
}

// onBallot are the dishes of a vote that were not withdrawn since it opened.
func onBallot(ctx context.Context, q querier, round int64) ([]int64, error) {
	return rows(ctx, q, scanID, `SELECT round_in.dish_id FROM round_in LEFT JOIN entry ON entry.dish_id = round_in.dish_id
		WHERE round_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY place`, round)
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
	Commitment string           `json:"commitment"` // hex SHA-256 of Ballots in canonical JSON
	Result     ballot.Result    `json:"result"`
}

// A RecordedBallot is one ballot under its random key.
type RecordedBallot struct {
	Key     string        `json:"key"` // the voting slip
	Choices ballot.Ballot `json:"choices"`
}

// closeVote counts the ballots.
func closeVote(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	if tx.now.Before(VoteEnds(r)) {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "The vote is still running; it can be counted when its time is over.")
	}
	in, err := onBallot(ctx, tx, r.ID)
	if err != nil {
		return nil, nil, err
	}
	if len(in) == 0 {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "Every dish of this vote was withdrawn; there is nothing to count.")
	}
	if err := forgetVoters(ctx, tx, r.ID); err != nil {
		return nil, nil, err
	}
	rec, err := countVote(ctx, tx, r, in)
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

func countVote(ctx context.Context, q querier, r challenge.Round, options []int64) (VoteRecord, error) {
	var rec VoteRecord
	scan := func(rs *sql.Rows) (b RecordedBallot, err error) {
		var key []byte
		var choices string
		if err := rs.Scan(&key, &choices); err != nil {
			return b, err
		}
		b.Key = Token(key)
		return b, json.Unmarshal([]byte(choices), &b.Choices)
	}
	var err error
	if rec.Ballots, err = rows(ctx, q, scan, `SELECT key, choices FROM ballot WHERE round_id = ? ORDER BY key`, r.ID); err != nil {
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
	rec.Result, err = ballot.Counting(r.Params.Voting(), options, plain)
	return rec, err
}
