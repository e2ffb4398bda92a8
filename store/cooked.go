package store

import (
	"context"
	"database/sql"
	"errors"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/wording"
)

// A CookedPage is what stands beside an entrant's version of a recipe that was
// cooked: the cook's own words, and the entrant's answer.
type CookedPage struct {
	Dish       Dish
	Plates     []Plate    // how it was cooked, with the cook's notes
	Log        []CookWord // what was noted beside single steps
	Minutes    int        // from the first step to the last, by the log; 0: not known
	Notes      bool       // the host shows the notes on the recipe's page
	ShownAt    time.Time  // when the host let the entrant read it before the release
	Answer     string     // the entrant's, once
	AnsweredAt time.Time
}

// A CookWord is what the cook swapped or wrote beside one step.
type CookWord struct {
	Step          wording.Sentence
	Swapped, Word string
}

// Empty says that the cook wrote nothing and nobody answered.
func (p CookedPage) Empty() bool {
	for _, x := range p.Plates {
		if x.Notes != "" {
			return false
		}
	}
	return len(p.Log) == 0 && p.Answer == ""
}

// CookedPages lists the entries of a challenge that became plates, for its
// host.
func (db *DB) CookedPages(ctx context.Context, a challenge.Actor, c challenge.Challenge) (ps []CookedPage, err error) {
	if err := challenge.May(a, challenge.RunRound, c.ID); err != nil {
		return nil, err
	}
	err = db.read(ctx, func(q querier) error {
		ds, err := rows(ctx, q, scanDish, dishSelect+`WHERE dish.id IN (SELECT dish_id FROM plate WHERE challenge_id = ?)
			AND dish.kind = 'entry' ORDER BY entry.number`, c.ID)
		for _, d := range ds {
			if err != nil {
				break
			}
			var p CookedPage
			p, err = cookedPage(ctx, q, c, d)
			ps = append(ps, p)
		}
		return err
	})
	return ps, err
}

func cookedPage(ctx context.Context, q querier, c challenge.Challenge, d Dish) (p CookedPage, err error) {
	p.Dish = d
	var shown, answered int64
	err = q.QueryRowContext(ctx, `SELECT notes, shown_at, answer, answered_at FROM cooked_page WHERE dish_id = ?`, d.ID).
		Scan(&p.Notes, &shown, &p.Answer, &answered)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return p, err
	}
	p.ShownAt, p.AnsweredAt = moment(shown), moment(answered)
	scan := func(r *sql.Rows) (x Plate, err error) {
		return x, r.Scan(&x.ID, &x.Version, &x.Cook, &x.Kitchen, &x.CookedOn, &x.Notes)
	}
	if p.Plates, err = rows(ctx, q, scan, `SELECT id, version, cook, kitchen, cooked_on, notes FROM plate WHERE challenge_id = ? AND dish_id = ? ORDER BY id`, c.ID, d.ID); err != nil {
		return p, err
	}
	for _, r := range c.Of(challenge.Cook) {
		if err := p.addLog(ctx, q, c.ID, r.ID); err != nil {
			return p, err
		}
	}
	return p, nil
}

// addLog adds what the log of one service says of the dish, in the order of
// the run sheet.
func (p *CookedPage) addLog(ctx context.Context, q querier, challengeID, round int64) error {
	x, err := cooking(ctx, q, challengeID, round)
	if err != nil || len(x.Log) == 0 {
		return err
	}
	mine := ""
	for i, d := range x.Service.Cooked() {
		if d.Dish == p.Dish.ID {
			mine = strconv.Itoa(i) + ":"
		}
	}
	if mine == "" {
		return nil
	}
	last := challenge.LastNotes(x.Log)
	var first, end time.Time
	for _, row := range x.Sheet.Rows {
		e, noted := last[row.ID]
		if !noted || !strings.HasPrefix(row.ID, mine) {
			continue
		}
		if e.Word != "" || e.Swapped != "" {
			p.Log = append(p.Log, CookWord{row.What, withoutAddress(e.Swapped), withoutAddress(e.Word)})
		}
		if !e.Start.IsZero() && (first.IsZero() || e.Start.Before(first)) {
			first = e.Start
		}
		if e.End.After(end) {
			end = e.End
		}
	}
	if !first.IsZero() && end.After(first) {
		p.Minutes += int(end.Sub(first).Round(time.Minute).Minutes())
	}
	return nil
}

// publicCooked is the cook's part as everyone may read it.
func publicCooked(ctx context.Context, q querier, c challenge.Challenge, dish int64) (CookedPage, error) {
	d, err := dishByID(ctx, q, dish)
	if err != nil {
		return CookedPage{}, err
	}
	p, err := cookedPage(ctx, q, c, d)
	if err != nil || !p.Notes {
		return CookedPage{}, err
	}
	p.Answer = withoutAddress(p.Answer)
	for i := range p.Plates {
		p.Plates[i].Notes = withoutAddress(p.Plates[i].Notes)
	}
	return p, nil
}

// ShowNotes decides whether the cook's notes stand on a recipe's page once
// everything is released.
func (db *DB) ShowNotes(ctx context.Context, a challenge.Actor, challengeID, dish int64, on bool) error {
	return db.onCookedPage(ctx, a, challengeID, dish, `UPDATE cooked_page SET notes = ?2 WHERE dish_id = ?1`, on)
}

// ShowToEntrant lets an entrant read the page of the own recipe before the
// release. It refuses while a round is open in which names or outcomes could
// still sway somebody.
func (db *DB) ShowToEntrant(ctx context.Context, a challenge.Actor, challengeID, dish int64) error {
	c, err := db.Challenge(ctx, challengeID)
	if err != nil {
		return err
	}
	for _, r := range c.Rounds {
		if r.Kind != challenge.Vote && r.State != challenge.Done {
			return challenge.Refuse(challenge.Shut, "", "Wait until “%v” is closed: the entrant learns from the page that the recipe was cooked.", r.Title)
		}
	}
	return db.onCookedPage(ctx, a, challengeID, dish, `UPDATE cooked_page SET shown_at = ?2 WHERE dish_id = ?1 AND shown_at = 0`, millis(db.now()))
}

func (db *DB) onCookedPage(ctx context.Context, a challenge.Actor, challengeID, dish int64, statement string, value any) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		var cooked bool
		err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM plate JOIN entry ON entry.dish_id = plate.dish_id WHERE plate.challenge_id = ? AND plate.dish_id = ?)`, challengeID, dish).Scan(&cooked)
		if err == nil && !cooked {
			err = challenge.NotFound("This recipe was not cooked in this challenge.")
		}
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO cooked_page (dish_id) VALUES (?) ON CONFLICT (dish_id) DO NOTHING`, dish); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, statement, dish, value)
		return err
	})
}

// OwnCooked is the cook's part as the entrant sees it: once the host has shown
// it, or it is public.
func (db *DB) OwnCooked(ctx context.Context, a challenge.Actor, c challenge.Challenge) (p CookedPage, shown bool, err error) {
	if err := challenge.May(a, challenge.KeepEntry, c.ID); err != nil {
		return p, false, err
	}
	err = db.read(ctx, func(q querier) error {
		p, shown, err = ownCooked(ctx, q, c, a.ID, db.now())
		return err
	})
	return p, shown, err
}

func ownCooked(ctx context.Context, q querier, c challenge.Challenge, dish int64, now time.Time) (p CookedPage, shown bool, err error) {
	d, err := dishByID(ctx, q, dish)
	if err != nil {
		return p, false, err
	}
	if p, err = cookedPage(ctx, q, c, d); err != nil {
		return p, false, err
	}
	shown = !p.ShownAt.IsZero() || p.Notes && c.Shows(challenge.Public, now).Cooked
	if !shown {
		p = CookedPage{}
	}
	return p, shown && len(p.Plates) > 0, nil
}

// maxAnswer is how long an entrant's answer may be, in characters.
const maxAnswer = 2000

// AnswerCook keeps the one answer of an entrant to what the cook wrote.
func (db *DB) AnswerCook(ctx context.Context, a challenge.Actor, answer string) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	answer = strings.TrimSpace(challenge.KeptText(answer))
	switch {
	case answer == "":
		return challenge.Refuse(challenge.Invalid, "to_cook", "Write your answer first.")
	case len([]rune(answer)) > maxAnswer:
		return challenge.Refuse(challenge.Invalid, "to_cook", "This is too long: at most %v characters.", maxAnswer)
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, a.Challenge)
		if err != nil {
			return err
		}
		p, shown, err := ownCooked(ctx, tx, c, a.ID, tx.now)
		switch {
		case err != nil:
			return err
		case !shown:
			return challenge.NotFound("There is nothing to answer yet.")
		case !p.AnsweredAt.IsZero():
			return challenge.Refuse(challenge.Stale, "", "You have answered already; an answer is given once.")
		}
		_, err = tx.ExecContext(ctx, `UPDATE cooked_page SET answer = ?, answered_at = ? WHERE dish_id = ?`, answer, millis(tx.now), a.ID)
		return err
	})
}
