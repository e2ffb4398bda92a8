package store

import (
	"context"
	"errors"
	"slices"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
)

// inShare refuses where the round is not open or the entry is not among those
// that the reader was given.
func inShare(ctx context.Context, q querier, a challenge.Actor, challengeID, round, dish int64) error {
	if err := roundUnderWay(ctx, q, challengeID, round, challenge.Reading, dish); err != nil {
		return err
	}
	if err := beforeTheDraw(ctx, q, round); err != nil {
		return err
	}
	var in bool
	err := q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM reading_share WHERE round_id = ? AND reader_id = ? AND dish_id = ?)`,
		round, readerID(a), dish).Scan(&in)
	if err == nil && !in {
		err = challenge.NotFound("This recipe is not among those that you read.")
	}
	return err
}

// Flag says whether a reader wants to come back to an entry.
func (db *DB) Flag(ctx context.Context, a challenge.Actor, challengeID, round, dish int64, on bool) error {
	if err := challenge.May(a, challenge.MarkEntry, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := inShare(ctx, tx, a, challengeID, round, dish); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `UPDATE reading_share SET flagged = ? WHERE round_id = ? AND reader_id = ? AND dish_id = ?`,
			on, round, readerID(a), dish)
		return err
	})
}

// fewestForAgain is the smallest share in which entries come back.
const fewestForAgain = 20

// bringBack lets a few entries come back unmarked to a reader who reads alone
// and has three quarters of the share behind him or her.
func bringBack(ctx context.Context, tx *Tx, round, reader int64) error {
	var others, planned bool
	err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM mark WHERE round_id = ?1 AND reader_id <> ?2),
		EXISTS (SELECT 1 FROM reading_again WHERE round_id = ?1 AND reader_id = ?2)`, round, reader).Scan(&others, &planned)
	if err != nil || others || planned {
		return err
	}
	s, err := shareOf(ctx, tx, round, reader)
	if err != nil || len(s.Steps) < fewestForAgain || 4*s.Done < 3*len(s.Steps) {
		return err
	}
	var seed [32]byte
	var kept []byte
	if err := tx.QueryRowContext(ctx, `SELECT seed FROM reading_plan WHERE round_id = ?`, round).Scan(&kept); err != nil {
		return err
	}
	copy(seed[:], kept)
	back := shortlist.Repeats(asReadings(inOrderOfMarks(s.Steps)), min(max(len(s.Steps)/20, 3), 8), seed)
	var open []int
	for _, x := range s.Steps {
		if x.Mark == "" {
			open = append(open, x.place)
		}
	}
	for i, dish := range back {
		if len(open) == 0 {
			break
		}
		after := open[(i+1)*len(open)/(len(back)+1)]
		if _, err := tx.ExecContext(ctx, `INSERT INTO reading_again (round_id, reader_id, dish_id, after) VALUES (?, ?, ?, ?)`, round, reader, dish, after); err != nil {
			return err
		}
	}
	return nil
}

// MarkAgain keeps the second mark of an entry that came back. The first one
// counts; this one only shows drift.
func (db *DB) MarkAgain(ctx context.Context, a challenge.Actor, challengeID, round int64, m Mark) error {
	if err := challenge.May(a, challenge.MarkEntry, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := byCriteria(ctx, tx, challengeID, round, &m); err != nil {
			return err
		}
		if _, err := shortlist.ParseMark(m.Mark); err != nil {
			return challenge.Refuse(challenge.Invalid, "mark", "Choose keep, maybe or leave out.")
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Reading, m.Dish); err != nil {
			return err
		}
		res, err := tx.ExecContext(ctx, `UPDATE reading_again SET mark = ?, at = ? WHERE round_id = ? AND reader_id = ? AND dish_id = ?`,
			m.Mark, millis(tx.now), round, readerID(a), m.Dish)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return errors.Join(err, challenge.NotFound("This recipe is not among those that you read."))
		}
		return nil
	})
}

// DeclareConflict takes an entry away from a reader who knows it or its
// author, with what was marked, and gives it to another reader where there is
// one.
func (db *DB) DeclareConflict(ctx context.Context, a challenge.Actor, challengeID, round, dish int64, reason string) error {
	if err := challenge.May(a, challenge.MarkEntry, challengeID); err != nil {
		return err
	}
	reason = strings.TrimSpace(reason)
	if reason == "" || len(reason) > maxReason {
		return challenge.Refuse(challenge.Invalid, "reason", "Say in a few words why you should not judge this recipe.")
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := inShare(ctx, tx, a, challengeID, round, dish); err != nil {
			return err
		}
		reader := readerID(a)
		if _, err := tx.ExecContext(ctx, `INSERT INTO reading_conflict (challenge_id, reader_id, dish_id, reason, at) VALUES (?, ?, ?, ?, ?)
			ON CONFLICT DO UPDATE SET reason = excluded.reason`, challengeID, reader, dish, reason, millis(tx.now)); err != nil {
			return err
		}
		for _, q := range []string{`DELETE FROM mark WHERE round_id = ? AND reader_id = ? AND dish_id = ?`,
			`DELETE FROM reading_again WHERE round_id = ? AND reader_id = ? AND dish_id = ?`,
			`DELETE FROM reading_share WHERE round_id = ? AND reader_id = ? AND dish_id = ?`} {
			if _, err := tx.ExecContext(ctx, q, round, reader, dish); err != nil {
				return err
			}
		}
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil || r.Params.PerEntry == 0 {
			return err
		}
		_, err = oneMore(ctx, tx, challengeID, round, dish)
		return err
	})
}

// OneMoreReading gives entries to one more reader each, the one with the least
// left to read. It returns how many found a reader.
func (db *DB) OneMoreReading(ctx context.Context, a challenge.Actor, challengeID, round int64, dishes []int64) (given int, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return 0, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		for _, dish := range dishes {
			if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Reading, dish); err != nil {
				return err
			}
			ok, err := oneMore(ctx, tx, challengeID, round, dish)
			if err != nil {
				return err
			}
			if ok {
				given++
			}
		}
		if given == 0 {
			return challenge.Refuse(challenge.Shut, "", "Every reader who may read these recipes has them already. Invite one more reader first.")
		}
		return nil
	})
	return given, err
}

// oneMore puts an entry at the end of the list of the reader with the least
// left to read who does not have it and may read it.
func oneMore(ctx context.Context, tx *Tx, challengeID, round, dish int64) (bool, error) {
	c, r, err := challengeAndRound(ctx, tx, challengeID, round)
	if err != nil {
		return false, err
	}
	readers, err := readersOf(ctx, tx, c, r)
	if err != nil {
		return false, err
	}
	barred, err := excluded(ctx, tx, challengeID)
	if err != nil {
		return false, err
	}
	for _, p := range barred {
		if p.Entry == dish {
			readers = slices.DeleteFunc(readers, func(id int64) bool { return id == p.Reader })
		}
	}
	if len(readers) == 0 {
		return false, nil
	}
	res, err := tx.ExecContext(ctx, `INSERT INTO reading_share (round_id, reader_id, dish_id, place, extra)
		SELECT ?1, wanted.value, ?2, (SELECT COALESCE(max(place), 0) + 1 FROM reading_share WHERE round_id = ?1 AND reader_id = wanted.value), 1
		FROM json_each(?3) AS wanted
		WHERE NOT EXISTS (SELECT 1 FROM reading_share WHERE round_id = ?1 AND reader_id = wanted.value AND dish_id = ?2)
			AND NOT EXISTS (SELECT 1 FROM mark WHERE round_id = ?1 AND reader_id = wanted.value AND dish_id = ?2)
		ORDER BY (SELECT count(*) FROM reading_share AS s WHERE s.round_id = ?1 AND s.reader_id = wanted.value
			AND NOT EXISTS (SELECT 1 FROM mark WHERE mark.round_id = ?1 AND mark.dish_id = s.dish_id AND mark.reader_id = s.reader_id)), wanted.value
		LIMIT 1`, round, dish, jsonText(readers))
	if err != nil {
		return false, err
	}
	n, err := res.RowsAffected()
	return n == 1, err
}

// inOrderOfMarks sorts marked steps by when they were marked.
func inOrderOfMarks(steps []Step) []Step {
	marked := make([]Step, 0, len(steps))
	for _, x := range steps {
		if x.Mark != "" && !x.Again {
			marked = append(marked, x)
		}
	}
	slices.SortStableFunc(marked, func(x, y Step) int { return x.At.Compare(y.At) })
	return marked
}

// LateEntries counts eligible entries that came in after a first reading round
// was opened and are not part of it.
func (db *DB) LateEntries(ctx context.Context, challengeID, round int64) (n int, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT count(*) FROM entry WHERE challenge_id = ?1 AND state = 'in'
		AND NOT EXISTS (SELECT 1 FROM round_in WHERE round_id = ?2 AND round_in.dish_id = entry.dish_id)`, challengeID, round).Scan(&n)
	return n, err
}

// AdmitLate takes the late entries into a first reading round that is open,
// and deals them out.
func (db *DB) AdmitLate(ctx context.Context, a challenge.Actor, challengeID, round int64) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Reading, 0); err != nil {
			return err
		}
		if err := beforeTheDraw(ctx, tx, round); err != nil {
			return err
		}
		if _, later := c.Before(r); later {
			return challenge.Refuse(challenge.Shut, "", "Late entries can join the first round only.")
		}
		late, err := rows(ctx, tx, scanID, `SELECT dish_id FROM entry WHERE challenge_id = ?1 AND state = 'in'
			AND NOT EXISTS (SELECT 1 FROM round_in WHERE round_id = ?2 AND round_in.dish_id = entry.dish_id) ORDER BY number`, c.ID, r.ID)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO round_in (round_id, dish_id, place)
			SELECT ?1, late.value, late.key + 1 + (SELECT max(place) FROM round_in WHERE round_id = ?1) FROM json_each(?2) AS late`, r.ID, jsonText(late)); err != nil {
			return err
		}
		labels, err := dishLabels(ctx, tx, late)
		if err != nil {
			return err
		}
		type detail struct {
			In []string `json:"in"`
		}
		if err := record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventLateAdmitted, Round: r.Position, By: a.Role, Detail: detail{labels}}); err != nil {
			return err
		}
		return deal(ctx, tx, c, r)
	})
}
