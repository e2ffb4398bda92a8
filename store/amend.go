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
		c, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := mayScore(ctx, tx, a, r, plate); err != nil {
			return err
		}
		asked, err := criteriaFor(ctx, tx, a, c)
		if err != nil {
			return err
		}
		if err := checkAmendment(ans, asked, reason); err != nil {
			return err
		}
		old, err := sheetOf(ctx, tx, round, plate, readerID(a))
		if err != nil {
			return err
		}
		if jsonText(old.Answers) == jsonText(ans) {
			return nil
		}
		if old.SealedAt.IsZero() || old.Revision != revision {
			return challenge.Refuse(challenge.Stale, "", "This sheet was changed in another tab or on another device since you opened it. Your scores are still below; compare, and send them again.")
		}
		return amend(ctx, tx, c, r, a, old, ans, strings.TrimSpace(reason))
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

func amend(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, a challenge.Actor, old Sheet, ans Answers, reason string) error {
	if _, err := tx.ExecContext(ctx, `INSERT INTO sheet_amended (round_id, plate_id, judge_id, revision, was, reason, at) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		r.ID, old.Plate, old.Judge, old.Revision, jsonText(old.Answers), reason, millis(tx.now)); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE sheet SET answers = ?, revision = revision + 1, saved_at = ? WHERE round_id = ? AND plate_id = ? AND judge_id = ?`,
		jsonText(ans), millis(tx.now), r.ID, old.Plate, old.Judge); err != nil {
		return err
	}
	var code int
	if err := tx.QueryRowContext(ctx, `SELECT code FROM tasting_plate WHERE round_id = ? AND plate_id = ?`, r.ID, old.Plate).Scan(&code); err != nil {
		return err
	}
	return record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventSheetAmended, Round: r.Position, By: a.Role, Reason: reason,
		Detail: map[string]any{"code": code, "judge": old.Judge, "scores": ans.Scores}})
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
