package store

import (
	"context"
	"database/sql"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
)

// A HomePack is what a judge needs who cooks at home: the masked recipes under
// their codes. It names no entrant, no entry and no cook.
type HomePack struct {
	Portions int
	Open     bool // the tasting takes sheets
	Dishes   []HomeDish
}

// A HomeDish is one recipe of a pack, and what the judge made of it.
type HomeDish struct {
	Code    int
	Title   string // masked, like the text
	Text    string
	Reading recipe.Breakdown
	Cooked  HomeCooked
	Sealed  bool // its sheet
}

// HomeCooked is what a judge at home did instead of being served.
type HomeCooked struct {
	On      string `json:"on"`                // a date, YYYY-MM-DD, in the challenge's zone
	Changed string `json:"changed,omitempty"` // what was done in another way than it is written
}

const mostAtHome = 50

// TasteAtHome says for how many a judge cooks at home; 0 seats the judge at the
// table. It is decided before the judge has handed anything in.
func (db *DB) TasteAtHome(ctx context.Context, a challenge.Actor, challengeID, judge int64, portions int) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	if portions < 0 || portions > mostAtHome {
		return challenge.Refuse(challenge.Invalid, "home", "Say for how many they cook: a number from 1 to %v, or 0 for the table.", mostAtHome)
	}
	return db.write(ctx, func(tx *Tx) error {
		p, err := participantByID(ctx, tx, challengeID, judge)
		if err != nil {
			return err
		}
		if p.Role != challenge.Judge || p.Pictures && portions > 0 {
			return challenge.Refuse(challenge.Invalid, "", "Only a judge who tastes can cook at home.")
		}
		if err := notBegun(ctx, tx, challengeID, p); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE participant SET home = ? WHERE id = ?`, portions, judge)
		return err
	})
}

// notBegun refuses to change how a judge takes part who has begun to score.
func notBegun(ctx context.Context, q querier, challengeID int64, p Participant) error {
	var begun bool
	err := q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM round JOIN sheet ON sheet.round_id = round.id
		WHERE round.challenge_id = ? AND sheet.judge_id = ?)`, challengeID, p.ID).Scan(&begun)
	if err == nil && begun {
		err = challenge.Refuse(challenge.Shut, "", "%v has begun to score; this can no longer be changed.", p.Name)
	}
	return err
}

// HomePack is the pack of the judge who asks.
func (db *DB) HomePack(ctx context.Context, a challenge.Actor, challengeID, round int64) (x HomePack, err error) {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return x, err
	}
	err = db.read(ctx, func(q querier) error {
		r, p, err := homeJudge(ctx, q, a, challengeID, round)
		if err != nil {
			return err
		}
		at, err := seatingOf(ctx, q, r)
		if err != nil {
			return err
		}
		cooked, err := homeCooked(ctx, q, round, p.ID)
		if err != nil {
			return err
		}
		own, err := ownSheets(ctx, q, round, p.ID)
		if err != nil {
			return err
		}
		x.Portions, x.Open = p.Home, r.State == challenge.UnderWay
		for _, plate := range at.order(p.ID) {
			masked, err := recipeOf(ctx, q, plate.Dish.ID, plate.Version, true)
			if err != nil {
				return err
			}
			x.Dishes = append(x.Dishes, HomeDish{plate.Code, masked.Dish.Title, masked.Text, masked.Reading, cooked[plate.ID], !own[plate.ID].SealedAt.IsZero()})
		}
		return nil
	})
	return x, err
}

func homeJudge(ctx context.Context, q querier, a challenge.Actor, challengeID, round int64) (r challenge.Round, p Participant, err error) {
	if _, r, err = challengeAndRound(ctx, q, challengeID, round); err != nil {
		return r, p, err
	}
	if a.Role != challenge.Judge || r.Kind != challenge.Tasting || r.State == challenge.Planned {
		return r, p, challenge.NotFound("There is no pack here yet. It appears when the host opens the tasting.")
	}
	if p, err = participantByID(ctx, q, challengeID, a.ID); err == nil && p.Home == 0 {
		err = challenge.NotFound("You taste at the table. Ask the host if you cook at home.")
	}
	return r, p, err
}

func homeCooked(ctx context.Context, q querier, round, judge int64) (map[int64]HomeCooked, error) {
	type row struct {
		plate int64
		HomeCooked
	}
	scan := func(r *sql.Rows) (x row, err error) { return x, r.Scan(&x.plate, &x.On, &x.Changed) }
	all, err := rows(ctx, q, scan, `SELECT plate_id, cooked_on, changed FROM home_plate WHERE round_id = ? AND judge_id = ?`, round, judge)
	by := map[int64]HomeCooked{}
	for _, x := range all {
		by[x.plate] = x.HomeCooked
	}
	return by, err
}

// CookedAtHome keeps when a judge cooked a dish at home, and what was changed.
func (db *DB) CookedAtHome(ctx context.Context, a challenge.Actor, challengeID, round int64, code int, h HomeCooked) error {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return err
	}
	var bad challenge.Refusals
	if _, err := time.Parse(time.DateOnly, h.On); err != nil {
		bad.Add("on", "Say on which day you cooked it.")
	}
	if h.Changed = strings.TrimSpace(h.Changed); len(h.Changed) > maxComment {
		bad.Add("changed", "This is too long: at most %v characters.", maxComment)
	}
	if len(bad) > 0 {
		return bad
	}
	return db.write(ctx, func(tx *Tx) error {
		r, p, err := homeJudge(ctx, tx, a, challengeID, round)
		if err != nil {
			return err
		}
		var plate int64
		if err := tx.QueryRowContext(ctx, `SELECT plate_id FROM tasting_plate WHERE round_id = ? AND code = ?`, round, code).Scan(&plate); err != nil {
			return missing(err, noPlate)
		}
		if err := mayScore(ctx, tx, a, r, plate); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO home_plate (round_id, judge_id, plate_id, cooked_on, changed, at) VALUES (?, ?, ?, ?, ?, ?)
			ON CONFLICT (round_id, judge_id, plate_id) DO UPDATE SET cooked_on = excluded.cooked_on, changed = excluded.changed, at = excluded.at`,
			round, p.ID, plate, h.On, h.Changed, millis(tx.now))
		return err
	})
}
