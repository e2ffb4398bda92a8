package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// An Amendment is what a sealed sheet said before its judge changed it.
type Amendment struct {
	Was    Answers   `json:"was"`
	Reason string    `json:"reason"`
	At     time.Time `json:"at"`
}

// AmendSheet changes a sheet that was sealed, while the tasting is open. What
// it said before stays, with the reason, for everyone who sees the sheet.
func (db *DB) AmendSheet(ctx context.Context, a challenge.Actor, challengeID, round, plate int64, revision int, ans Answers, reason string) error {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		f, err := formFor(ctx, tx, a, challengeID, round, plate)
		if err != nil {
			return err
		}
		if err := checkAmendment(ans, f.asked, reason); err != nil {
			return err
		}
		if jsonText(f.old.Answers) == jsonText(ans) {
			return nil
		}
		if f.old.SealedAt.IsZero() || f.old.Revision != revision {
			return challenge.Refuse(challenge.Stale, "", "This sheet was changed in another tab or on another device since you opened it. Your scores are still below; compare, and send them again.")
		}
		return f.amend(ctx, tx, ans, strings.TrimSpace(reason))
	})
}

func checkAmendment(ans Answers, asked []tasting.Criterion, reason string) error {
	var bad challenge.Refusals
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxComment {
		bad.Add("reason", "Say in a sentence why the sealed sheet is changed.")
	}
	if err := checkAnswers(ans, asked, true); err != nil {
		if more, ok := err.(challenge.Refusals); ok {
			bad = append(bad, more...)
		}
	}
	return bad.Err()
}

func (f form) amend(ctx context.Context, tx *Tx, ans Answers, reason string) error {
	if _, err := tx.ExecContext(ctx, `INSERT INTO sheet_amended (round_id, plate_id, judge_id, revision, was, reason, at) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		f.round.ID, f.old.Plate, f.old.Judge, f.old.Revision, jsonText(f.old.Answers), reason, millis(tx.now)); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE sheet SET answers = ?, revision = revision + 1, saved_at = ? WHERE round_id = ? AND plate_id = ? AND judge_id = ?`,
		jsonText(ans), millis(tx.now), f.round.ID, f.old.Plate, f.old.Judge); err != nil {
		return err
	}
	return f.record(ctx, tx, challenge.EventSheetAmended, reason, ans)
}

// amendments are those of a round by plate and judge, oldest first.
func amendments(ctx context.Context, q querier, round int64) (map[[2]int64][]Amendment, error) {
	type row struct {
		key [2]int64
		a   Amendment
	}
	scan := func(r *sql.Rows) (x row, err error) {
		var was string
		var at int64
		if err := r.Scan(&x.key[0], &x.key[1], &was, &x.a.Reason, &at); err != nil {
			return x, err
		}
		x.a.At = moment(at)
		return x, json.Unmarshal([]byte(was), &x.a.Was)
	}
	all, err := rows(ctx, q, scan, `SELECT plate_id, judge_id, was, reason, at FROM sheet_amended WHERE round_id = ? ORDER BY plate_id, judge_id, revision`, round)
	by := map[[2]int64][]Amendment{}
	for _, x := range all {
		by[x.key] = append(by[x.key], x.a)
	}
	return by, err
}
