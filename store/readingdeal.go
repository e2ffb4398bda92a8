package store

import (
	"context"
	"database/sql"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
)

// openReading deals the entries of a reading round out to its readers.
func openReading(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, _ []int64) error {
	readers, err := readersOf(ctx, tx, c, r)
	if err != nil {
		return err
	}
	if len(readers) == 0 {
		return challenge.Refuse(challenge.Shut, "", "“%s” has no reader yet. Invite readers, or say on the page of the rounds that you read too.", r.Title)
	}
	if err := r.Params.CutRule().Fits(len(readers)); err != nil {
		return challenge.Refuse(challenge.Shut, "", "Strict and lenient readers can be told apart only where at least three readers overlap. Invite more readers, or choose plain means for “%s”.", r.Title)
	}
	seed, err := tx.bytes(32)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO reading_plan (round_id, seed) VALUES (?, ?)`, r.ID, seed); err != nil {
		return err
	}
	return deal(ctx, tx, c, r)
}

// readersOf lists who can be given entries to read; the host is 0. Where
// everyone reads everything, the host and co-hosts are always among them.
func readersOf(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) ([]int64, error) {
	all := r.Params.PerEntry == 0
	ids, err := rows(ctx, q, scanID, `SELECT id FROM participant WHERE challenge_id = ? AND removed_at = 0
		AND (role = 'reader' OR role = 'cohost' AND ?) ORDER BY id`, c.ID, all || r.Params.PickerToo)
	if all || r.Params.HostReads {
		ids = append([]int64{0}, ids...)
	}
	return ids, err
}

// deal shares out what nobody has read yet. Marks, flags and readings asked
// for on top stay with their readers; everything else may change hands.
func deal(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) error {
	request, err := dealRequest(ctx, tx, c, r)
	if err != nil || len(request.Readers) == 0 {
		return err
	}
	plan, err := shortlist.Allocate(request)
	if err != nil {
		return err
	}
	if err := takeBack(ctx, tx, r, request.Readers); err != nil {
		return err
	}
	insert, err := tx.PrepareContext(ctx, `INSERT INTO reading_share (round_id, reader_id, dish_id, place)
		VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING`)
	if err != nil {
		return err
	}
	defer insert.Close()
	for _, l := range plan.Lists {
		place, err := lastPlace(ctx, tx, r.ID, l.Reader)
		if err != nil {
			return err
		}
		for i, dish := range l.Entries {
			if _, err := insert.ExecContext(ctx, r.ID, l.Reader, dish, place+i+1); err != nil {
				return err
			}
		}
	}
	return nil
}

func lastPlace(ctx context.Context, q querier, round, reader int64) (place int, err error) {
	err = q.QueryRowContext(ctx, `SELECT COALESCE(max(place), 0) FROM reading_share WHERE round_id = ? AND reader_id = ?`, round, reader).Scan(&place)
	return place, err
}

// dealRequest gathers what a plan of readings starts from.
func dealRequest(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) (req shortlist.Request, err error) {
	if req.Readers, err = readersOf(ctx, q, c, r); err != nil {
		return req, err
	}
	var seed []byte
	if err := q.QueryRowContext(ctx, `SELECT seed FROM reading_plan WHERE round_id = ?`, r.ID).Scan(&seed); err != nil {
		return req, missing(err, "This round has not been opened yet.")
	}
	copy(req.Seed[:], seed)
	if req.Entries, err = rows(ctx, q, scanID, `SELECT round_in.dish_id FROM round_in LEFT JOIN entry ON entry.dish_id = round_in.dish_id
		WHERE round_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY place`, r.ID); err != nil {
		return req, err
	}
	if req.Excluded, err = excluded(ctx, q, c.ID); err != nil {
		return req, err
	}
	if req.Done, err = done(ctx, q, r, req.Readers); err != nil {
		return req, err
	}
	req.PerEntry = perEntry(r, len(req.Readers))
	return req, nil
}

func scanPair(r *sql.Rows) (p shortlist.Pair, err error) { return p, r.Scan(&p.Entry, &p.Reader) }

// excluded are the entries that a reader sent, by the address, and those with
// a declared conflict.
func excluded(ctx context.Context, q querier, challengeID int64) ([]shortlist.Pair, error) {
	return rows(ctx, q, scanPair, `SELECT entrant.dish_id, reader.id FROM (
			SELECT participant.id AS id, address.email_key AS email_key FROM participant
			JOIN address ON address.person_id = participant.person_id WHERE participant.challenge_id = ?1
			UNION SELECT 0, host.email_key FROM host) AS reader
		JOIN address ON address.email_key = reader.email_key
		JOIN entrant ON entrant.person_id = address.person_id
		JOIN entry ON entry.dish_id = entrant.dish_id AND entry.challenge_id = ?1
		UNION SELECT dish_id, reader_id FROM reading_conflict WHERE challenge_id = ?1 ORDER BY 1, 2`, challengeID)
}

// done are the readings that stand: marks, and shares that must not move. Where
// everyone reads everything, no share moves, and what a reader did who is gone
// by now spares nobody else the reading.
func done(ctx context.Context, q querier, r challenge.Round, readers []int64) ([]shortlist.Pair, error) {
	return rows(ctx, q, scanPair, `SELECT dish_id, reader_id FROM mark
			WHERE round_id = ?1 AND (NOT ?2 OR reader_id IN (SELECT value FROM json_each(?3)))
		UNION SELECT dish_id, reader_id FROM reading_share WHERE round_id = ?1 AND (extra = 1 OR flagged = 1 OR ?2)
			AND reader_id IN (SELECT value FROM json_each(?3)) ORDER BY 1, 2`,
		r.ID, r.Params.PerEntry == 0, jsonText(readers))
}

// takeBack removes the shares that may change hands, and all that is unread of
// readers who are gone.
func takeBack(ctx context.Context, tx *Tx, r challenge.Round, readers []int64) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM reading_share WHERE round_id = ?1
		AND NOT EXISTS (SELECT 1 FROM mark WHERE mark.round_id = ?1 AND mark.dish_id = reading_share.dish_id AND mark.reader_id = reading_share.reader_id)
		AND (reader_id NOT IN (SELECT value FROM json_each(?3)) OR NOT (extra = 1 OR flagged = 1 OR ?2))`,
		r.ID, r.Params.PerEntry == 0, jsonText(readers))
	return err
}

// dealAgain deals the open reading rounds of a challenge anew, after a reader
// came or went.
func dealAgain(ctx context.Context, tx *Tx, challengeID int64) error {
	c, err := challengeByID(ctx, tx, challengeID)
	if err != nil {
		return err
	}
	for _, r := range c.Of(challenge.Reading) {
		if r.State == challenge.UnderWay {
			if err := deal(ctx, tx, c, r); err != nil {
				return err
			}
		}
	}
	return nil
}
