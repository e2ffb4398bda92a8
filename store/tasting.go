package store

import (
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
	"fairladle/challenge/tasting"
	"fairladle/challenge/wording"
)

// openTasting gives every plate its blind code and locks the house dishes.
func openTasting(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, in []int64) error {
	if err := c.CheckRule(r); err != nil {
		return err
	}
	if err := r.Params.Rule.Check(c.Criteria); err != nil {
		return err
	}
	if len(c.Of(challenge.Cook)) == 0 {
		if err := openCook(ctx, tx, c, r, in); err != nil {
			return err
		}
	}
	ps, err := plates(ctx, tx, `WHERE plate.challenge_id = ? AND (dish.kind = 'house' OR
		plate.dish_id IN (SELECT dish_id FROM round_in WHERE round_id = ?)) ORDER BY plate.id`, c.ID, r.ID)
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
	if err := openServing(ctx, tx, r, ps); err != nil {
		return err
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

// A TastingRecord is the document of a closed tasting.
type TastingRecord struct {
	Criteria []tasting.Criterion `json:"criteria"`
	Plates   []Plate             `json:"plates"`
	Dishes   []PlatedDish        `json:"dishes"`
	Sheets   []RecordedSheet     `json:"sheets"`
	Verdict  tasting.Verdict     `json:"verdict"`
	// Certainty is how sure the verdict is; Seed (hex) makes its resamples
	// repeatable.
	Certainty tasting.Certainty `json:"certainty"`
	Seed      string            `json:"seed"`
	// Draw is the record of the draw that settled a tie, where one did.
	Draw json.RawMessage `json:"draw,omitempty"`
	// Serving is who was served what, in which order; judges by number.
	Serving *tasting.Serving `json:"serving,omitempty"`
	// Postponed is how often, and to when, the tasting was put off.
	Postponed []Postponement `json:"postponed,omitempty"`
	// HostNotes are what the host tasted; they are no scores.
	HostNotes []HostNote `json:"host_notes,omitempty"`
}

// A PlatedDish says what was on a plate: an entry's number, or the title of a
// house dish.
type PlatedDish struct {
	Plate int64  `json:"plate"`
	Entry int    `json:"entry,omitempty"`
	House string `json:"house,omitempty"`
}

// A RecordedSheet is a sealed sheet as it counted.
type RecordedSheet struct {
	Judge   int64   `json:"judge"`
	Plate   int64   `json:"plate"`
	Answers Answers `json:"answers"`
	// Amended is what the sheet said before, where it was changed after it
	// was sealed.
	Amended []Amendment `json:"amended,omitempty"`
	// Home is set where the judge cooked the dish at home.
	Home *HomeCooked `json:"home,omitempty"`
}

// closeTasting tallies the sealed sheets by the locked rule. Where the rule
// leaves a tie to a recorded draw, the first call opens that draw and the
// round stays open until it is done.
func closeTasting(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	rec, err := tally(ctx, tx, c, r)
	if err != nil {
		return nil, nil, err
	}
	if err := mayClosePostponed(ctx, tx, c, rec.Verdict, rec.Postponed); err != nil {
		return nil, nil, err
	}
	if len(rec.Verdict.NeedsDraw) > 0 {
		settled, err := settleTie(ctx, tx, c, r, &rec)
		if err != nil || !settled {
			return nil, nil, err
		}
	}
	if err := explain(tx, r, &rec); err != nil {
		return nil, nil, err
	}
	if err := forgetDiets(ctx, tx, c.ID); err != nil {
		return nil, nil, err
	}
	if err := forgetConnections(ctx, tx, c.ID); err != nil {
		return nil, nil, err
	}
	document, err := ledger.Canonical(rec)
	return document, rec.placings(), err
}

// explain adds how sure the verdict is, from random bytes that stay with it.
func explain(tx *Tx, r challenge.Round, rec *TastingRecord) error {
	random, err := tx.bytes(32)
	if err != nil {
		return err
	}
	rec.Seed = hex.EncodeToString(random)
	rec.Certainty, err = tasting.Explain(*r.Params.Rule, rec.Criteria, rec.served(), rec.plain(), [32]byte(random))
	return err
}

// caution says what the plates do not let anybody tell, such as whether a score
// is the recipe's or the cook's; empty where there is nothing to say. Cooks are
// told apart by their names, without regard to capitals and blanks. A record read
// back names no dish beside a plate, so served does.
func (rec TastingRecord) caution(served map[int64]Plate) wording.Sentence {
	var ps []tasting.Plate
	number := map[string]int64{}
	of := func(kind, name string) int64 {
		key := kind + "/" + strings.ToLower(strings.Join(strings.Fields(name), " "))
		if number[key] == 0 {
			number[key] = int64(len(number) + 1)
		}
		return number[key]
	}
	for _, p := range rec.Plates {
		ps = append(ps, tasting.Plate{ID: p.ID, Dish: served[p.ID].Dish.ID, Cook: of("cook", p.Cook), Kitchen: of("kitchen", p.Kitchen)})
	}
	for _, s := range rec.Sheets {
		if s.Home != nil {
			ps = append(ps, tasting.Plate{ID: s.Plate, Dish: served[s.Plate].Dish.ID, Cook: of("judge's cook", fmt.Sprint(s.Judge)), Kitchen: of("judge's kitchen", fmt.Sprint(s.Judge))})
		}
	}
	return tasting.Caution(ps)
}

// atHome says how many judges scored what they had cooked themselves.
func (rec TastingRecord) atHome() wording.Sentence {
	judges := map[int64]bool{}
	for _, s := range rec.Sheets {
		if s.Home != nil {
			judges[s.Judge] = true
		}
	}
	switch len(judges) {
	case 0:
		return wording.Sentence{}
	case 1:
		return wording.Of("One judge cooked at home and scored what came out there: those scores are for the recipe as this judge made it.")
	}
	return wording.Of("%v judges cooked at home and scored what came out there: those scores are for the recipe as each of them made it.", len(judges))
}

// served are the plates that count, by id.
func (rec TastingRecord) served() []int64 {
	ids := make([]int64, len(rec.Plates))
	for i, p := range rec.Plates {
		ids[i] = p.ID
	}
	return ids
}

// plain are the sheets as the tally takes them.
func (rec TastingRecord) plain() []tasting.Sheet {
	sheets := make([]tasting.Sheet, len(rec.Sheets))
	for i, s := range rec.Sheets {
		sheets[i] = tasting.Sheet{Judge: s.Judge, Plate: s.Plate, Scores: s.Answers.Scores}
	}
	return sheets
}

func tally(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) (TastingRecord, error) {
	rec := TastingRecord{Criteria: c.Criteria}
	var err error
	if rec.Plates, err = tastingPlates(ctx, q, r.ID); err != nil {
		return rec, err
	}
	for _, p := range rec.Plates {
		d := PlatedDish{Plate: p.ID, Entry: p.Dish.Number}
		if p.Dish.Kind == "house" {
			d.House = p.Dish.Title
		}
		rec.Dishes = append(rec.Dishes, d)
	}
	if err := rec.addSheets(ctx, q, c, r); err != nil {
		return rec, err
	}
	if rec.HostNotes, err = hostNotes(ctx, q, r.ID); err != nil {
		return rec, err
	}
	if rec.Postponed, err = postponements(ctx, q, r.ID); err != nil {
		return rec, err
	}
	if len(rec.Sheets) == 0 {
		return rec, challenge.Refuse(challenge.Shut, "", "No sheet has been sealed yet. The tasting can be closed when judges have handed in.")
	}
	rec.Verdict, err = tasting.Tally(*r.Params.Rule, c.Criteria, rec.served(), rec.plain())
	return rec, err
}

// addSheets adds the sealed sheets that count, and the plan they were served by.
func (rec *TastingRecord) addSheets(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) error {
	ss, err := rows(ctx, q, scanSheet, sheetSelect+`WHERE round_id = ? AND sealed_at > 0 ORDER BY judge_id, plate_id`, r.ID)
	if err != nil {
		return err
	}
	changed, err := amendments(ctx, q, r.ID)
	if err != nil {
		return err
	}
	at, err := seatingOf(ctx, q, r)
	if err != nil {
		return err
	}
	rec.Serving = at.plan
	home := map[int64]map[int64]HomeCooked{}
	for _, s := range ss {
		if home[s.Judge] == nil {
			if home[s.Judge], err = homeCooked(ctx, q, r.ID, s.Judge); err != nil {
				return err
			}
		}
		n := slices.IndexFunc(rec.Plates, func(p Plate) bool { return p.ID == s.Plate })
		if n < 0 || at.apart[Conflicted{s.Judge, rec.Plates[n].Dish.ID}] {
			continue
		}
		x := RecordedSheet{Judge: s.Judge, Plate: s.Plate, Answers: s.Answers, Amended: changed[[2]int64{s.Plate, s.Judge}]}
		if h, ok := home[s.Judge][s.Plate]; ok {
			x.Home = &h
		}
		rec.Sheets = append(rec.Sheets, x)
	}
	return nil
}

// placings are the dishes by their best plate. Without a verdict all are
// level, so that no order of the list is taken for one.
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
		switch {
		case rec.Verdict.Outcome != tasting.Ranked:
			rank = 1
		case rank == 0:
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
