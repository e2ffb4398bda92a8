package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
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
}

// openTasting gives every plate its blind code and locks the house dishes.
func openTasting(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, in []int64) error {
	if err := r.Params.Rule.Check(c.Criteria); err != nil {
		return challenge.Refuse(challenge.Invalid, "rule", "%v", err.Error())
	}
	if len(c.Of(challenge.Cook)) == 0 {
		if err := openCook(ctx, tx, c, r, in); err != nil {
			return err
		}
	}
	ps, err := plates(ctx, tx, `JOIN round_in ON round_in.dish_id = plate.dish_id WHERE round_in.round_id = ? OR
		(plate.challenge_id = ? AND dish.kind = 'house') GROUP BY plate.id ORDER BY plate.id`, r.ID, c.ID)
	if err != nil {
		return err
	}
	if len(ps) == 0 {
		return challenge.Refuse(challenge.Shut, "", "There is no plate to taste yet. Say what was cooked, and by whom, first.")
	}
	codes, err := tasting.Codes(len(ps), tx.random)
	if err != nil {
		return err
	}
	for i, p := range ps {
		if _, err := tx.ExecContext(ctx, `INSERT INTO tasting_plate (round_id, plate_id, code) VALUES (?, ?, ?)`, r.ID, p.ID, codes[i]); err != nil {
			return err
		}
	}
	return fixHouseDishes(ctx, tx, c, r)
}

// fixHouseDishes commits to the recipes of the house dishes before any is
// tasted.
func fixHouseDishes(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) error {
	type fixed struct {
		title, content string
		version        int
	}
	scan := func(rs *sql.Rows) (f fixed, err error) { return f, rs.Scan(&f.title, &f.version, &f.content) }
	ds, err := rows(ctx, tx, scan, `UPDATE house_dish SET fixed_version = (SELECT version FROM dish WHERE dish.id = house_dish.dish_id)
		WHERE challenge_id = ? AND fixed_version = 0 RETURNING
		(SELECT title FROM dish WHERE dish.id = dish_id), fixed_version,
		(SELECT lower(hex(content)) FROM dish_version v WHERE v.dish_id = house_dish.dish_id AND v.version = fixed_version)`, c.ID)
	for _, d := range ds {
		if err == nil {
			err = record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventDishFixed, Round: r.Position, Version: d.version,
				Content: d.content, Detail: d.title})
		}
	}
	return err
}

// TastingPlates lists the plates of a tasting with their codes. Judges are
// shown nothing but the code.
func (db *DB) TastingPlates(ctx context.Context, round int64) ([]Plate, error) {
	return tastingPlates(ctx, db.reads, round)
}

func tastingPlates(ctx context.Context, q querier, round int64) ([]Plate, error) {
	ps, err := plates(ctx, q, `JOIN tasting_plate t ON t.plate_id = plate.id WHERE t.round_id = ? AND t.withdrawn = 0 ORDER BY t.code`, round)
	if err != nil {
		return nil, err
	}
	codes, err := rows(ctx, q, scanCode, `SELECT plate_id, code FROM tasting_plate WHERE round_id = ?`, round)
	for i := range ps {
		for _, c := range codes {
			if c.plate == ps[i].ID {
				ps[i].Code = c.code
			}
		}
	}
	return ps, err
}

type plateCode struct {
	plate int64
	code  int
}

func scanCode(r *sql.Rows) (c plateCode, err error) { return c, r.Scan(&c.plate, &c.code) }

// WithdrawPlate takes a plate out of a tasting that has begun: its sheets stay
// and do not count.
func (db *DB) WithdrawPlate(ctx context.Context, a challenge.Actor, challengeID, round, plate int64, reason string) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	if reason == "" {
		return challenge.Refuse(challenge.Invalid, "reason", "Say in a sentence why the plate is taken out.")
	}
	return db.write(ctx, func(tx *Tx) error {
		_, r, err := challengeAndRound(ctx, tx, challengeID, round)
		if err != nil {
			return err
		}
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Tasting, 0); err != nil {
			return err
		}
		var code int
		err = tx.QueryRowContext(ctx, `UPDATE tasting_plate SET withdrawn = 1 WHERE round_id = ? AND plate_id = ? AND withdrawn = 0 RETURNING code`, round, plate).Scan(&code)
		if err != nil {
			return missing(err, "There is no such plate in this tasting.")
		}
		return record(ctx, tx, challengeID, challenge.Event{Kind: challenge.EventPlateWithdrawn, Round: r.Position, By: a.Role, Reason: reason, Detail: map[string]int{"code": code}})
	})
}

// ServingOrder is the order in which a judge tastes the plates of a round, by
// code: judges go through the orders of a balanced design in turn.
func ServingOrder(ps []Plate, judgeIndex int) []Plate {
	orders := tasting.WilliamsOrders(len(ps))
	order := orders[judgeIndex%len(orders)]
	served := make([]Plate, len(ps))
	for i, k := range order {
		served[i] = ps[k]
	}
	return served
}

// Judges lists who may score in a round: judges and co-hosts invited to the
// challenge.
func (db *DB) Judges(ctx context.Context, challengeID int64) ([]Participant, error) {
	all, err := participants(ctx, db.reads, challengeID)
	return slices.DeleteFunc(all, func(p Participant) bool { return p.Role != challenge.Judge || p.Removed }), err
}

// SaveSheet keeps a judge's draft of a sheet, or seals it. revision is the one
// the form was filled from; the same answers sent twice are one sheet.
func (db *DB) SaveSheet(ctx context.Context, a challenge.Actor, challengeID, round, plate int64, revision int, ans Answers, seal bool) error {
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
		if err := checkAnswers(ans, c.Criteria, seal); err != nil {
			return err
		}
		old, err := sheetOf(ctx, tx, round, plate, readerID(a))
		if err != nil {
			return err
		}
		if done, err := staleSheet(old, revision, ans, seal); done || err != nil {
			return err
		}
		return writeSheet(ctx, tx, c, r, a, plate, ans, seal)
	})
}

func mayScore(ctx context.Context, q querier, a challenge.Actor, r challenge.Round, plate int64) error {
	if err := roundUnderWay(ctx, q, r.Challenge, r.ID, challenge.Tasting, 0); err != nil {
		return err
	}
	if a.Role == challenge.Host && !r.Params.HostScores {
		return challenge.Refuse(challenge.Barred, "", "The rules of this challenge do not let the host score.")
	}
	if settling, err := tieOpen(ctx, q, r.ID); err != nil || settling {
		return errors.Join(err, challenge.Refuse(challenge.Shut, "", "The tasting is over: a tie is being settled by a draw."))
	}
	var served bool
	err := q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM tasting_plate WHERE round_id = ? AND plate_id = ? AND withdrawn = 0)`, r.ID, plate).Scan(&served)
	if err == nil && !served {
		err = challenge.NotFound("This plate is not part of the tasting, or was taken out of it.")
	}
	return err
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
		return false, challenge.Refuse(challenge.Sealed, "", "This sheet is sealed. What you typed now was not saved; ask the host if it must be amended.")
	case old.Revision != revision && !same:
		return false, challenge.Refuse(challenge.Stale, "", "This sheet was saved in another tab or on another device since you opened it. Your scores are still below; compare, and send them again.")
	}
	return same && !seal && old.Revision > 0, nil
}

func writeSheet(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, a challenge.Actor, plate int64, ans Answers, seal bool) error {
	sealed := int64(0)
	if seal {
		sealed = millis(tx.now)
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO sheet (round_id, plate_id, judge_id, answers, revision, saved_at, sealed_at) VALUES (?, ?, ?, ?, 1, ?, ?)
		ON CONFLICT (round_id, plate_id, judge_id) DO UPDATE SET answers = excluded.answers, revision = revision + 1,
		saved_at = excluded.saved_at, sealed_at = excluded.sealed_at`, r.ID, plate, readerID(a), jsonText(ans), millis(tx.now), sealed)
	if err != nil || !seal {
		return err
	}
	var code int
	if err := tx.QueryRowContext(ctx, `SELECT code FROM tasting_plate WHERE round_id = ? AND plate_id = ?`, r.ID, plate).Scan(&code); err != nil {
		return err
	}
	return record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventSheetSealed, Round: r.Position, By: a.Role,
		Detail: map[string]any{"code": code, "judge": readerID(a), "scores": ans.Scores}})
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

// OwnSheets returns a judge's own sheets of a round by plate.
func (db *DB) OwnSheets(ctx context.Context, a challenge.Actor, challengeID, round int64) (map[int64]Sheet, error) {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return nil, err
	}
	ss, err := rows(ctx, db.reads, scanSheet, sheetSelect+`WHERE round_id = ? AND judge_id = ?`, round, readerID(a))
	own := make(map[int64]Sheet, len(ss))
	for _, s := range ss {
		own[s.Plate] = s
	}
	return own, err
}

// A SheetCount says how many sheets a judge has sealed; never what they say.
type SheetCount struct {
	Judge  int64
	Sealed int
}

// SheetCounts says who has handed in how much.
func (db *DB) SheetCounts(ctx context.Context, a challenge.Actor, challengeID, round int64) ([]SheetCount, error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (s SheetCount, err error) { return s, r.Scan(&s.Judge, &s.Sealed) }
	return rows(ctx, db.reads, scan, `SELECT judge_id, count(*) FROM sheet WHERE round_id = ? AND sealed_at > 0 GROUP BY judge_id ORDER BY judge_id`, round)
}

// A TastingRecord is the document of a closed tasting.
type TastingRecord struct {
	Criteria []tasting.Criterion `json:"criteria"`
	Plates   []Plate             `json:"plates"`
	Sheets   []RecordedSheet     `json:"sheets"`
	Verdict  tasting.Verdict     `json:"verdict"`
	// Draw is the record of the draw that settled a tie, where one did.
	Draw json.RawMessage `json:"draw,omitempty"`
}

// A RecordedSheet is a sealed sheet as it counted.
type RecordedSheet struct {
	Judge   int64   `json:"judge"`
	Plate   int64   `json:"plate"`
	Answers Answers `json:"answers"`
}

// closeTasting tallies the sealed sheets by the locked rule. Where the rule
// leaves a tie to a recorded draw, the first call opens that draw and the
// round stays open until it is done.
func closeTasting(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	rec, err := tally(ctx, tx, c, r)
	if err != nil {
		return nil, nil, err
	}
	if len(rec.Verdict.NeedsDraw) > 0 {
		settled, err := settleTie(ctx, tx, c, r, &rec)
		if err != nil || !settled {
			return nil, nil, err
		}
	}
	document, err := ledger.Canonical(rec)
	return document, rec.placings(), err
}

func tally(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) (TastingRecord, error) {
	rec := TastingRecord{Criteria: c.Criteria}
	var err error
	if rec.Plates, err = tastingPlates(ctx, q, r.ID); err != nil {
		return rec, err
	}
	ss, err := rows(ctx, q, scanSheet, sheetSelect+`WHERE round_id = ? AND sealed_at > 0 ORDER BY judge_id, plate_id`, r.ID)
	if err != nil {
		return rec, err
	}
	ids, sheets := make([]int64, len(rec.Plates)), make([]tasting.Sheet, 0, len(ss))
	for i, p := range rec.Plates {
		ids[i] = p.ID
	}
	for _, s := range ss {
		if slices.Contains(ids, s.Plate) {
			rec.Sheets = append(rec.Sheets, RecordedSheet{s.Judge, s.Plate, s.Answers})
			sheets = append(sheets, tasting.Sheet{Judge: s.Judge, Plate: s.Plate, Scores: s.Answers.Scores})
		}
	}
	if len(sheets) == 0 {
		return rec, challenge.Refuse(challenge.Shut, "", "No sheet has been sealed yet. The tasting can be closed when judges have handed in.")
	}
	rec.Verdict, err = tasting.Tally(*r.Params.Rule, c.Criteria, ids, sheets)
	return rec, err
}

// placings are the dishes by their best plate.
func (rec TastingRecord) placings() []challenge.Placing {
	var out []challenge.Placing
	seen := map[int64]bool{}
	for i, p := range rec.Verdict.Places {
		dish := rec.dishOf(p.Plate)
		if seen[dish] {
			continue
		}
		seen[dish] = true
		rank := p.Rank
		if rank == 0 {
			rank = i + 1
		}
		out = append(out, challenge.Placing{Dish: dish, Rank: rank, Through: true})
	}
	return out
}

func (rec TastingRecord) dishOf(plate int64) int64 {
	for _, p := range rec.Plates {
		if p.ID == plate {
			return p.Dish.ID
		}
	}
	return 0
}

func tieOpen(ctx context.Context, q querier, round int64) (open bool, err error) {
	err = q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM draw WHERE round_id = ?)`, round).Scan(&open)
	return open, err
}

// settleTie opens the draw among tied plates, by their blind codes, or applies
// its result; false means that the draw has still to be rolled.
func settleTie(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, rec *TastingRecord) (bool, error) {
	open, err := tieOpen(ctx, tx, r.ID)
	if err != nil {
		return false, err
	}
	if !open {
		return false, openTieDraw(ctx, tx, c, r, rec)
	}
	state, roster, events, err := loadDraw(ctx, tx, r.ID)
	if err != nil {
		return false, err
	}
	if !state.Done {
		return false, challenge.Refuse(challenge.Shut, "", "The tie is not settled yet: roll the die until every place is filled.")
	}
	for _, group := range slices.Clone(rec.Verdict.NeedsDraw) {
		var order []int64
		for _, code := range state.Result {
			if p := rec.plateByCode(code); slices.Contains(group, p) {
				order = append(order, p)
			}
		}
		if rec.Verdict, err = rec.Verdict.Drawn(order); err != nil {
			return false, err
		}
	}
	rec.Draw, err = drawRecord(ctx, tx, c, r, state, roster, events)
	return true, err
}

func (rec TastingRecord) plateByCode(code int) int64 {
	for _, p := range rec.Plates {
		if p.Code == code {
			return p.ID
		}
	}
	return 0
}

// openTieDraw freezes a roster of the tied plates: the number of each is its
// blind code, its commitment the salted one of the plate's recipe.
func openTieDraw(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, rec *TastingRecord) error {
	var roster draw.Roster
	for _, p := range rec.Plates {
		if !slices.ContainsFunc(rec.Verdict.NeedsDraw, func(g []int64) bool { return slices.Contains(g, p.ID) }) {
			continue
		}
		t := draw.Ticket{Number: p.Code, Weight: 1}
		var content []byte
		if err := tx.QueryRowContext(ctx, `SELECT content FROM dish_version WHERE dish_id = ? AND version = ?`, p.Dish.ID, p.Version).Scan(&content); err != nil {
			return err
		}
		copy(t.Commitment[:], content)
		roster = append(roster, t)
	}
	plan := draw.Plan{Draw: drawName(c, r) + ", tie", Challenge: c.Title, Method: draw.ByDice, Dice: &draw.Dice{Faces: []int{20}},
		Places: len(roster), AnnouncedAt: draw.At(tx.now)}
	if at := c.ReleaseOf(r); at.After(tx.now) {
		plan.ReleaseAt = draw.At(at)
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO draw (round_id, plan) VALUES (?, ?)`, r.ID, jsonText(plan)); err != nil {
		return err
	}
	return freezeRoster(ctx, tx, c, r, roster)
}
