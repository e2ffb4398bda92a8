package store

import (
	"context"
	"database/sql"
	"errors"
	"strings"

	"fairladle/challenge"
)

// maxVoters bounds one list of addresses, and all the links of a vote.
const maxVoters = 5000

var errNotInvited = challenge.Refuse(challenge.Barred, "", "This vote is by private link. Open the link in the message you were sent.")

// InviteVoters leaves a private voting link in the outbox for every address in
// a pasted list, once. An address that was sent one before gets a fresh link,
// and the old one stops working, unless a ballot was cast with it; the number
// returned counts every address alike, so that it does not tell who voted.
func (db *DB) InviteVoters(ctx context.Context, a challenge.Actor, challengeID, round int64, list string) (n int, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return 0, err
	}
	emails, err := addressList(list)
	if err != nil {
		return 0, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := mayInvite(ctx, tx, r, len(emails)); err != nil {
			return err
		}
		for _, email := range emails {
			if err := inviteVoter(ctx, tx, c, r, email); err != nil {
				return err
			}
		}
		return nil
	})
	return len(emails), err
}

// addressList reads addresses parted by lines, commas, semicolons or spaces;
// the same address twice is one.
func addressList(list string) (emails []string, err error) {
	seen := map[string]bool{}
	for _, email := range strings.FieldsFunc(list, func(c rune) bool { return strings.ContainsRune(" \t\r\n,;<>", c) }) {
		key, err := challenge.AddressKey(email)
		if err != nil {
			return nil, challenge.Refuse(challenge.Invalid, "addresses", "“%v” does not look like an e-mail address. Nothing was sent yet; mend it and send the list again.", email)
		}
		if !seen[key] {
			seen[key] = true
			emails = append(emails, email)
		}
	}
	switch {
	case len(emails) == 0:
		return nil, challenge.Refuse(challenge.Invalid, "addresses", "Paste at least one e-mail address.")
	case len(emails) > maxVoters:
		return nil, challenge.Refuse(challenge.Invalid, "addresses", "This is more than %v addresses at once.", maxVoters)
	}
	return emails, nil
}

func mayInvite(ctx context.Context, tx *Tx, r challenge.Round, more int) error {
	if err := roundUnderWay(ctx, tx, r.Challenge, r.ID, challenge.Vote, 0); err != nil {
		return err
	}
	if !r.Params.ByLink {
		return challenge.Refuse(challenge.Shut, "", "This is an open vote; it has no private links.")
	}
	if !tx.now.Before(VoteEnds(r)) {
		return challenge.Refuse(challenge.Shut, "", "The vote has ended; no more ballots are taken.")
	}
	links, _, err := countVoters(ctx, tx, r.ID)
	if err == nil && links+more > maxVoters {
		err = challenge.Refuse(challenge.Invalid, "addresses", "A vote has at most %v private links.", maxVoters)
	}
	return err
}

func inviteVoter(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, email string) error {
	secret, err := tx.bytes(tokenBytes)
	if err != nil {
		return err
	}
	token := Token(secret)
	hash, _ := hashToken(token)
	person, used, err := voterByAddress(ctx, tx, r.ID, email)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		if person, err = addPerson(ctx, tx, "", "", email); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO voting_link (round_id, person_id, token_hash) VALUES (?, ?, ?)`, r.ID, person, hash)
	case err != nil || used:
		return err
	default:
		_, err = tx.ExecContext(ctx, `UPDATE voting_link SET token_hash = ? WHERE round_id = ? AND person_id = ?`, hash, r.ID, person)
	}
	if err != nil {
		return err
	}
	// A message that still waits would bring a link that no longer works.
	if _, err := tx.ExecContext(ctx, `DELETE FROM message WHERE person_id = ? AND kind = ? AND state = 'waiting'`, person, messageVoter); err != nil {
		return err
	}
	return addMessage(ctx, tx, c, person, messageVoter, token)
}

func voterByAddress(ctx context.Context, q querier, round int64, email string) (person int64, used bool, err error) {
	key, err := challenge.AddressKey(email)
	if err != nil {
		return 0, false, err
	}
	err = q.QueryRowContext(ctx, `SELECT l.person_id, EXISTS (SELECT 1 FROM voting_pass p WHERE p.round_id = l.round_id AND p.token_hash = l.token_hash)
		FROM voting_link l JOIN address ON address.person_id = l.person_id WHERE l.round_id = ? AND address.email_key = ?`, round, key).Scan(&person, &used)
	return person, used, err
}

// votingLink says whether a pass is that of a private voting link.
func votingLink(ctx context.Context, q querier, round int64, pass []byte) (used, invited bool, err error) {
	err = q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM voting_pass p WHERE p.round_id = l.round_id AND p.token_hash = l.token_hash)
		FROM voting_link l WHERE l.round_id = ? AND l.token_hash = ?`, round, pass).Scan(&used)
	if errors.Is(err, sql.ErrNoRows) {
		return false, false, nil
	}
	return used, err == nil, err
}

// FollowVotingLink finds the vote that a private voting link is for.
func (db *DB) FollowVotingLink(ctx context.Context, token string) (c challenge.Challenge, r challenge.Round, err error) {
	hash, ok := hashToken(token)
	if !ok {
		return c, r, errForeignLink
	}
	err = db.read(ctx, func(q querier) error {
		var id, round int64
		err := q.QueryRowContext(ctx, `SELECT round.challenge_id, round.id FROM voting_link JOIN round ON round.id = round_id WHERE token_hash = ?`, hash).Scan(&id, &round)
		if errors.Is(err, sql.ErrNoRows) {
			return challenge.Refuse(challenge.Missing, "", "This voting link is not valid, was replaced by a newer one, or the vote is over. Copy it whole from the newest message you were sent.")
		}
		if err != nil {
			return err
		}
		c, r, err = challengeAndRound(ctx, q, id, round)
		return err
	})
	return c, r, err
}

// Invited says whether a browser holds the pass of a private voting link.
func (db *DB) Invited(ctx context.Context, round int64, pass string) (bool, error) {
	hash, ok := hashToken(pass)
	if !ok {
		return false, nil
	}
	_, invited, err := votingLink(ctx, db.reads, round, hash)
	return invited, err
}

// VoterCount says how many private links a vote has.
func (db *DB) VoterCount(ctx context.Context, round int64) (links int, err error) {
	links, _, err = countVoters(ctx, db.reads, round)
	return links, err
}

func countVoters(ctx context.Context, q querier, round int64) (links, used int, err error) {
	err = q.QueryRowContext(ctx, `SELECT count(*), count(p.token_hash) FROM voting_link l LEFT JOIN voting_pass p
		ON p.round_id = l.round_id AND p.token_hash = l.token_hash WHERE l.round_id = ?`, round).Scan(&links, &used)
	return links, used, err
}

// forgetVoters deletes the links of a vote, and the people and addresses that
// were known for nothing else: who was invited matters to nobody any more.
func forgetVoters(ctx context.Context, tx *Tx, round int64) error {
	people, err := rows(ctx, tx, scanID, `DELETE FROM voting_link WHERE round_id = ? RETURNING person_id`, round)
	if err != nil {
		return err
	}
	for _, person := range people {
		if _, err := tx.ExecContext(ctx, `DELETE FROM message WHERE person_id = ? AND kind = ?`, person, messageVoter); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM person WHERE id = ?1
			AND NOT EXISTS (SELECT 1 FROM entrant WHERE person_id = ?1) AND NOT EXISTS (SELECT 1 FROM participant WHERE person_id = ?1)
			AND NOT EXISTS (SELECT 1 FROM host WHERE person_id = ?1) AND NOT EXISTS (SELECT 1 FROM message WHERE person_id = ?1)
			AND NOT EXISTS (SELECT 1 FROM voting_link WHERE person_id = ?1)`, person); err != nil {
			return err
		}
	}
	return nil
}
