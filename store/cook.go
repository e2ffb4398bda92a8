package store

import (
	"context"
	"database/sql"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// A Plate is a dish, in a version, as one cook cooked it, in one kitchen, on
// one date.
type Plate struct {
	ID       int64  `json:"plate"`
	Dish     Dish   `json:"-"`
	Version  int    `json:"version"`
	Cook     string `json:"cook"`
	Kitchen  string `json:"kitchen"`
	CookedOn string `json:"cooked_on"` // YYYY-MM-DD, in the challenge's zone
	Notes    string `json:"notes"`
	Code     int    `json:"code,omitempty"` // in a tasting
}

// SaveHouseDish makes a house dish (dish 0) or keeps a new version of one, as
// long as no plate has been made of it.
func (db *DB) SaveHouseDish(ctx context.Context, a challenge.Actor, challengeID, dish int64, cook, text string) (id int64, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return 0, err
	}
	text = challenge.KeptText(text)
	var bad challenge.Refusals
	if cook = strings.TrimSpace(cook); cook == "" || len(cook) > challenge.MaxName {
		bad.Add("cook", "Say who cooks this dish.")
	}
	if challenge.CheckRecipe(&bad, text); len(bad) > 0 {
		return 0, bad
	}
	p := prepare(text, nil, nil)
	err = db.write(ctx, func(tx *Tx) error {
		id, err = saveHouseDish(ctx, tx, challengeID, dish, cook, p)
		return err
	})
	return id, err
}

func saveHouseDish(ctx context.Context, tx *Tx, challengeID, dish int64, cook string, p prepared) (int64, error) {
	if dish == 0 {
		id, _, err := insertDish(ctx, tx, challengeID, "house", p, 0)
		if err != nil {
			return 0, err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO house_dish (dish_id, challenge_id, cook) VALUES (?, ?, ?)`, id, challengeID, cook)
		return id, err
	}
	var fixed int
	err := tx.QueryRowContext(ctx, `SELECT fixed_version FROM house_dish WHERE dish_id = ? AND challenge_id = ?`, dish, challengeID).Scan(&fixed)
	if err != nil {
		return 0, missing(err, "There is no such house dish.")
	}
	if fixed > 0 {
		return 0, challenge.Refuse(challenge.Shut, "", "A tasting of this dish has begun; its recipe is fixed.")
	}
	if _, err := tx.ExecContext(ctx, `UPDATE house_dish SET cook = ? WHERE dish_id = ?`, cook, dish); err != nil {
		return 0, err
	}
	_, err = addVersion(ctx, tx, dish, p, 0)
	return dish, err
}

// HouseDishes lists the house dishes of a challenge.
func (db *DB) HouseDishes(ctx context.Context, challengeID int64) ([]Dish, error) {
	return rows(ctx, db.reads, scanDish, dishSelect+`WHERE dish.challenge_id = ? AND dish.kind = 'house' ORDER BY dish.id`, challengeID)
}

// HouseRecipe returns a house dish as its cook wrote it.
func (db *DB) HouseRecipe(ctx context.Context, a challenge.Actor, challengeID, dish int64) (x Recipe, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return x, err
	}
	if x, err = recipeOf(ctx, db.reads, dish, 0, false); err == nil && x.Dish.Kind != "house" {
		err = challenge.NotFound("There is no such house dish.")
	}
	return x, err
}

// AddPlate records that a dish was, or will be, cooked.
func (db *DB) AddPlate(ctx context.Context, a challenge.Actor, challengeID int64, dish int64, p Plate) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	if strings.TrimSpace(p.Cook) == "" {
		return challenge.Refuse(challenge.Invalid, "cook", "Say who cooks this dish.")
	}
	return db.write(ctx, func(tx *Tx) error {
		d, err := dishByID(ctx, tx, dish)
		if err != nil {
			return err
		}
		return insertPlate(ctx, tx, challengeID, d, p)
	})
}

func insertPlate(ctx context.Context, tx *Tx, challengeID int64, d Dish, p Plate) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO plate (challenge_id, dish_id, version, cook, kitchen, cooked_on, notes, created_at)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?)`, challengeID, d.ID, d.Version, p.Cook, p.Kitchen, p.CookedOn, p.Notes, millis(tx.now))
	return err
}

// SavePlate changes what is said about a plate until it is being tasted.
func (db *DB) SavePlate(ctx context.Context, a challenge.Actor, challengeID int64, p Plate) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	if len(p.Notes) > 10_000 {
		return challenge.Refuse(challenge.Invalid, "notes", "The notes are too long: at most %v characters.", 10_000)
	}
	return db.write(ctx, func(tx *Tx) error {
		res, err := tx.ExecContext(ctx, `UPDATE plate SET cook = ?, kitchen = ?, cooked_on = ?, notes = ? WHERE id = ? AND challenge_id = ?`,
			p.Cook, p.Kitchen, p.CookedOn, p.Notes, p.ID, challengeID)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return missing(sql.ErrNoRows, "There is no such plate.")
		}
		return nil
	})
}

// Plates lists the plates of a challenge.
func (db *DB) Plates(ctx context.Context, challengeID int64) ([]Plate, error) {
	return plates(ctx, db.reads, `WHERE plate.challenge_id = ? ORDER BY plate.id`, challengeID)
}

func plates(ctx context.Context, q querier, where string, args ...any) ([]Plate, error) {
	scan := func(r *sql.Rows) (p Plate, err error) {
		return p, r.Scan(&p.ID, &p.Version, &p.Cook, &p.Kitchen, &p.CookedOn, &p.Notes, &p.Code,
			&p.Dish.ID, &p.Dish.Kind, &p.Dish.Number, &p.Dish.Title, &p.Dish.Cook, &p.Dish.Version)
	}
	return rows(ctx, q, scan, `SELECT plate.id, plate.version, plate.cook, plate.kitchen, plate.cooked_on, plate.notes, 0,
		dish.id, dish.kind, COALESCE(entry.number, 0), dish.title, COALESCE(house_dish.cook, ''), dish.version
		FROM plate JOIN dish ON dish.id = plate.dish_id LEFT JOIN entry ON entry.dish_id = dish.id
		LEFT JOIN house_dish ON house_dish.dish_id = dish.id `+where, args...)
}

// openCook starts with a plate for each dish that came through and for each
// house dish; the host may add others, such as the same dish by a second cook.
func openCook(ctx context.Context, tx *Tx, c challenge.Challenge, _ challenge.Round, in []int64) error {
	house, err := rows(ctx, tx, scanID, `SELECT dish_id FROM house_dish WHERE challenge_id = ? ORDER BY dish_id`, c.ID)
	if err != nil {
		return err
	}
	return platesFor(ctx, tx, c, append(append([]int64{}, in...), house...))
}

// platesFor makes the plates that are missing.
func platesFor(ctx context.Context, tx *Tx, c challenge.Challenge, dishes []int64) error {
	ds, err := dishesByID(ctx, tx, dishes)
	if err != nil {
		return err
	}
	for _, d := range ds {
		var has bool
		if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM plate WHERE dish_id = ?)`, d.ID).Scan(&has); err != nil {
			return err
		}
		if has {
			continue
		}
		if err := insertPlate(ctx, tx, c.ID, d, Plate{Cook: d.Cook}); err != nil {
			return err
		}
	}
	return nil
}

// closeCook fixes what was cooked: every dish with a plate goes on.
func closeCook(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	ps, err := plates(ctx, tx, `WHERE plate.challenge_id = ? ORDER BY plate.id`, c.ID)
	if err != nil {
		return nil, nil, err
	}
	if len(ps) == 0 {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "No plate has been made yet. Say what was cooked, and by whom, first.")
	}
	var out []challenge.Placing
	seen := map[int64]bool{}
	for _, p := range ps {
		if strings.TrimSpace(p.Cook) == "" {
			return nil, nil, challenge.Refuse(challenge.Invalid, "cook", "Say who cooked “%s” first.", p.Dish.Title)
		}
		if !seen[p.Dish.ID] {
			seen[p.Dish.ID] = true
			out = append(out, challenge.Placing{Dish: p.Dish.ID, Rank: len(out) + 1, Through: true})
		}
	}
	document, err := ledger.Canonical(ps)
	return document, out, err
}
