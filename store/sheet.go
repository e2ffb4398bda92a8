package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// Answers are what one judge wrote about one plate.
type Answers struct {
	Scores   map[string]tasting.Points `json:"scores"`
	Comments map[string]Comment        `json:"comments,omitempty"`
}

// A Comment may be quoted only where its judge said so.
type Comment struct {
	Text     string `json:"text"`
	Quotable bool   `json:"quotable,omitempty"`
}

// maxComment bounds a comment, in bytes.
const maxComment = 2000

// A Sheet is one judge's form for one plate. Judge 0 is the host.
type Sheet struct {
	Plate    int64
	Judge    int64
	Answers  Answers
	Revision int
	SavedAt  time.Time
	SealedAt time.Time
	TakenOut bool // the plate is no longer served; the sheet stays and does not count
	Amended  []Amendment
}

// SaveSheet keeps a judge's draft of a sheet, or seals it. revision is the one
// the form was filled from; the same answers sent twice are one sheet.
func (db *DB) SaveSheet(ctx context.Context, a challenge.Actor, challengeID, round, plate int64, revision int, ans Answers, seal bool) error {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		f, err := formFor(ctx, tx, a, challengeID, round, plate)
		if err != nil {
			return err
		}
		if err := checkAnswers(ans, f.asked, seal); err != nil {
			return err
		}
		if done, err := staleSheet(f.old, revision, ans, seal); done || err != nil {
			return err
		}
		return f.write(ctx, tx, ans, seal)
	})
}

// A form is what a sheet, or an amendment, is written on: who asks, for which
// plate, what is asked, and what is kept.
type form struct {
	by    challenge.Actor
	round challenge.Round
	asked []tasting.Criterion
	old   Sheet
	code  int
}

// formFor refuses where nothing can be written.
func formFor(ctx context.Context, tx *Tx, a challenge.Actor, challengeID, round, plate int64) (f form, err error) {
	c, r, err := challengeAndRound(ctx, tx, challengeID, round)
	if err != nil {
		return f, err
	}
	if err := mayScore(ctx, tx, a, r, plate); err != nil {
		return f, err
	}
	f.by, f.round = a, r
	if f.asked, err = criteriaFor(ctx, tx, a, c); err != nil {
		return f, err
	}
	if f.old, err = sheetOf(ctx, tx, round, plate, readerID(a)); err != nil {
		return f, err
	}
	err = tx.QueryRowContext(ctx, `SELECT code FROM tasting_plate WHERE round_id = ? AND plate_id = ?`, round, plate).Scan(&f.code)
	return f, err
}

func mayScore(ctx context.Context, q querier, a challenge.Actor, r challenge.Round, plate int64) error {
	if err := roundUnderWay(ctx, q, r.Challenge, r.ID, challenge.Tasting, 0); err != nil {
		return err
	}
	if a.Role == challenge.Host && !r.Params.HostScores {
		return errHostScores
	}
	if settling, err := tieOpen(ctx, q, r.ID); err != nil || settling {
		return errors.Join(err, challenge.Refuse(challenge.Shut, "", "The tasting is over: a tie is being settled by a draw."))
	}
	at, err := seatingOf(ctx, q, r)
	switch known := slices.ContainsFunc(at.plates, func(p Plate) bool { return p.ID == plate && !at.out[p.ID] }); {
	case err != nil:
		return err
	case !known:
		return challenge.NotFound(noPlate)
	case !at.serves(readerID(a), plate):
		return errNotServed
	}
	return nil
}

// checkAnswers refuses what is off the scale; a sealed sheet must be complete.
func checkAnswers(ans Answers, cs []tasting.Criterion, seal bool) error {
	var bad challenge.Refusals
	for _, c := range cs {
		score, scored := ans.Scores[c.Key]
		switch {
		case scored && !c.Scale.Valid(score):
			bad.Add("score-"+c.Key, "%v is not on this scale: choose from %v to %v.", score.String(), c.Scale.Min.String(), c.Scale.Max.String())
		case !scored && seal:
			bad.Add("score-"+c.Key, "Give a score here before you seal the sheet.")
		}
		if len(ans.Comments[c.Key].Text) > maxComment {
			bad.Add("comment-"+c.Key, "The comment is too long: at most %v characters.", maxComment)
		}
	}
	for key := range ans.Scores {
		if !slices.ContainsFunc(cs, func(c tasting.Criterion) bool { return c.Key == key }) {
			bad.Add("", "This sheet scores something that is not asked. Load the page again.")
		}
	}
	return bad.Err()
}

// staleSheet recognises a sheet sent twice, and refuses one that would
// overwrite what another tab or device saved.
func staleSheet(old Sheet, revision int, ans Answers, seal bool) (done bool, err error) {
	same := jsonText(old.Answers) == jsonText(ans)
	switch {
	case !old.SealedAt.IsZero() && same:
		return true, nil
	case !old.SealedAt.IsZero():
		return false, challenge.Refuse(challenge.Sealed, "", "This sheet is sealed. What you typed now was not saved. To change it, open it again and amend it with a reason.")
	case old.Revision != revision && !same:
		return false, challenge.Refuse(challenge.Stale, "", "This sheet was saved in another tab or on another device since you opened it. Your scores are still below; compare, and send them again.")
	}
	return same && !seal && old.Revision > 0, nil
}

func (f form) write(ctx context.Context, tx *Tx, ans Answers, seal bool) error {
	sealed := int64(0)
	if seal {
		sealed = millis(tx.now)
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO sheet (round_id, plate_id, judge_id, answers, revision, saved_at, sealed_at) VALUES (?, ?, ?, ?, 1, ?, ?)
		ON CONFLICT (round_id, plate_id, judge_id) DO UPDATE SET answers = excluded.answers, revision = revision + 1,
		saved_at = excluded.saved_at, sealed_at = excluded.sealed_at`, f.round.ID, f.old.Plate, f.old.Judge, jsonText(ans), millis(tx.now), sealed)
	if err != nil || !seal {
		return err
	}
	return f.record(ctx, tx, challenge.EventSheetSealed, "", ans)
}

// record writes into the ledger what a sheet says from now on.
func (f form) record(ctx context.Context, tx *Tx, kind, reason string, ans Answers) error {
	return record(ctx, tx, f.round.Challenge, challenge.Event{Kind: kind, Round: f.round.Position, By: f.by.Role, Reason: reason,
		Detail: map[string]any{"code": f.code, "judge": f.old.Judge, "scores": ans.Scores}})
}

func sheetOf(ctx context.Context, q querier, round, plate, judge int64) (Sheet, error) {
	ss, err := rows(ctx, q, scanSheet, sheetSelect+`WHERE round_id = ? AND plate_id = ? AND judge_id = ?`, round, plate, judge)
	if err != nil || len(ss) == 0 {
		return Sheet{Plate: plate, Judge: judge}, err
	}
	return ss[0], nil
}

const sheetSelect = `SELECT plate_id, judge_id, answers, revision, saved_at, sealed_at FROM sheet `

func scanSheet(r *sql.Rows) (s Sheet, err error) {
	var answers string
	var saved, sealed int64
	if err := r.Scan(&s.Plate, &s.Judge, &answers, &s.Revision, &saved, &sealed); err != nil {
		return s, err
	}
	s.SavedAt, s.SealedAt = moment(saved), moment(sealed)
	return s, json.Unmarshal([]byte(answers), &s.Answers)
}

func ownSheets(ctx context.Context, q querier, round, judge int64) (map[int64]Sheet, error) {
	ss, err := rows(ctx, q, scanSheet, sheetSelect+`WHERE round_id = ? AND judge_id = ?`, round, judge)
	own := make(map[int64]Sheet, len(ss))
	for _, s := range ss {
		own[s.Plate] = s
	}
	return own, err
}

// OwnSheet returns the asker's own sheet for the plate under a blind code;
// Revision is 0 where none is kept yet.
func (db *DB) OwnSheet(ctx context.Context, a challenge.Actor, challengeID, round int64, code int) (s Sheet, err error) {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return s, err
	}
	err = db.read(ctx, func(q querier) error {
		_, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		if a.Role == challenge.Host && !r.Params.HostScores {
			return errHostScores
		}
		var plate int64
		var out bool
		err = q.QueryRowContext(ctx, `SELECT plate_id, withdrawn FROM tasting_plate WHERE round_id = ? AND code = ?`, round, code).Scan(&plate, &out)
		if err != nil {
			return missing(err, noPlate)
		}
		if s, err = sheetOf(ctx, q, round, plate, readerID(a)); err != nil {
			return err
		}
		at, err := seatingOf(ctx, q, r)
		if err != nil {
			return err
		}
		if s.Revision == 0 && !out && !at.serves(readerID(a), plate) {
			return errNotServed
		}
		s.TakenOut = out
		all, err := amendments(ctx, q, round)
		s.Amended = all[[2]int64{plate, readerID(a)}]
		return err
	})
	return s, err
}

var errNotServed = challenge.NotFound("This plate is not among those you are served.")

const noPlate = "This plate is not part of the tasting, or was taken out of it."

var errHostScores = challenge.Refuse(challenge.Barred, "", "The rules of this challenge do not let the host score.")
