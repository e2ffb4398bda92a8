package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"slices"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/pantry"
)

// A Diet is what a judge declared: allergens of pantry's table, and words of
// their own.
type Diet struct {
	Judge     int64
	Name      string
	Allergens []string
	Words     string
}

// Declared says whether anything was.
func (d Diet) Declared() bool { return len(d.Allergens) > 0 || d.Words != "" }

// AllergenNames are the allergens that a judge can tick.
func AllergenNames() []string {
	var names []string
	for _, row := range pantry.Rows("allergens") {
		if !slices.Contains(names, row[1]) {
			names = append(names, row[1])
		}
	}
	slices.Sort(names)
	return names
}

// DeclareDiet keeps what a judge must not be served, with the judge's consent,
// until the tasting closes. Nothing of it goes into the ledger. Declaring
// nothing deletes what was kept.
func (db *DB) DeclareDiet(ctx context.Context, a challenge.Actor, challengeID int64, d Diet, consent bool) error {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return err
	}
	d.Words = strings.TrimSpace(d.Words)
	var bad challenge.Refusals
	if a.Role != challenge.Judge {
		return challenge.Refuse(challenge.Barred, "", "Only a judge declares a diet.")
	}
	if len(d.Words) > maxComment {
		bad.Add("diet", "This is too long: at most %v characters.", maxComment)
	}
	for _, name := range d.Allergens {
		if !slices.Contains(AllergenNames(), name) {
			bad.Add("diet", "Choose allergens from the list, and write others in words.")
		}
	}
	if d.Declared() && !consent {
		bad.Add("diet-consent", "This is about your health: it can be kept only if you agree.")
	}
	if len(bad) > 0 {
		return bad
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := tastingAhead(ctx, tx, challengeID); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `DELETE FROM diet WHERE judge_id = ?`, a.ID); err != nil || !d.Declared() {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO diet (judge_id, allergens, words, given_at) VALUES (?, ?, ?, ?)`, a.ID, jsonText(d.Allergens), d.Words, millis(tx.now))
		return err
	})
}

// tastingAhead refuses what is about a tasting to come when there is none.
func tastingAhead(ctx context.Context, q querier, challengeID int64) error {
	c, err := challengeByID(ctx, q, challengeID)
	if err == nil && !slices.ContainsFunc(c.Of(challenge.Tasting), func(r challenge.Round) bool { return r.State != challenge.Done }) {
		err = challenge.Refuse(challenge.Shut, "", "The tasting is over; nothing was kept.")
	}
	return err
}

const dietSelect = `SELECT diet.judge_id, person.name, diet.allergens, diet.words FROM diet JOIN participant ON participant.id = diet.judge_id
	JOIN person ON person.id = participant.person_id WHERE participant.removed_at = 0 AND `

func scanDiet(r *sql.Rows) (d Diet, err error) {
	var allergens string
	if err := r.Scan(&d.Judge, &d.Name, &allergens, &d.Words); err != nil {
		return d, err
	}
	return d, json.Unmarshal([]byte(allergens), &d.Allergens)
}

// OwnDiet is what a judge declared, to look at and change.
func (db *DB) OwnDiet(ctx context.Context, a challenge.Actor, challengeID int64) (d Diet, err error) {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil || a.Role != challenge.Judge {
		return d, err
	}
	ds, err := rows(ctx, db.reads, scanDiet, dietSelect+`diet.judge_id = ?`, a.ID)
	if len(ds) > 0 {
		d = ds[0]
	}
	return d, err
}

// A DietCheck is a judge's declaration held against the plates.
type DietCheck struct {
	Diet
	Clashes []Clash
}

// A Clash is something that was declared and recognised in a dish.
type Clash struct {
	Code   int
	Avoids string   // an allergen, a diet, or a word of the declaration
	Words  []string // of the recipe
	Unsure bool
}

// DietChecks holds what judges declared against the allergens recognised in
// what they are served. It is for whoever serves, and empty once the tasting is
// closed. What is not recognised is not promised to be absent.
func (db *DB) DietChecks(ctx context.Context, a challenge.Actor, challengeID, round int64) (all []DietCheck, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return nil, err
	}
	err = db.read(ctx, func(q querier) error {
		diets, err := rows(ctx, q, scanDiet, dietSelect+`participant.challenge_id = ? ORDER BY person.name, diet.judge_id`, challengeID)
		if err != nil || len(diets) == 0 {
			return err
		}
		ps, err := tastingPlates(ctx, q, round)
		if err != nil {
			return err
		}
		apart, err := keptApart(ctx, q, challengeID)
		if err != nil {
			return err
		}
		for _, d := range diets {
			check := DietCheck{Diet: d}
			for _, p := range ps {
				if apart[Conflicted{d.Judge, p.Dish.ID}] {
					continue
				}
				r, err := recipeOf(ctx, q, p.Dish.ID, p.Version, true)
				if err != nil {
					return err
				}
				check.Clashes = append(check.Clashes, clashes(p.Code, d, r)...)
			}
			all = append(all, check)
		}
		return nil
	})
	return all, err
}

// forgetDiets deletes what the judges of a challenge declared.
func forgetDiets(ctx context.Context, tx *Tx, challengeID int64) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM diet WHERE judge_id IN (SELECT id FROM participant WHERE challenge_id = ?)`, challengeID)
	return err
}
