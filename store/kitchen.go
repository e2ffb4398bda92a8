package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/challenge/wording"
)

// planWithin bounds how long a page waits for a plan; the planner then returns
// the best it has.
const planWithin = 4 * time.Second

// A Cooking is the service of a cooking round with everything that it is
// computed from. It holds masked readings only: no name can be reached from it.
type Cooking struct {
	Challenge challenge.Challenge
	Round     challenge.Round
	Dishes    []Dish // what came through, then the house dishes
	Recipes   []challenge.Written
	Service   challenge.Service
	Revision  int // 0: nothing was decided yet
	Run       int
	Sheet     kitchen.RunSheet // the one that is followed
	Planned   kitchen.RunSheet // as it stood when cooking began
	Log       kitchen.Log
	Says      wording.Sentence // what the newest plan moved, while cooking
	PlannedAt time.Time
}

// Open tells whether the service can still be changed.
func (x Cooking) Open() bool { return x.Round.State == challenge.UnderWay }

// Begun tells whether something was noted in the cook's log.
func (x Cooking) Begun() bool { return len(x.Log) > 0 }

// Plan is the service as the planner takes it.
func (x Cooking) Plan() kitchen.Service { return x.Service.Plan(x.Challenge, x.Recipes) }

// Cooking loads the service of a round; before anything is decided it holds
// what a plan would start from.
func (db *DB) Cooking(ctx context.Context, a challenge.Actor, challengeID, round int64) (x Cooking, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return x, err
	}
	err = db.read(ctx, func(q querier) error {
		x, err = cooking(ctx, q, challengeID, round)
		return err
	})
	return x, err
}

func cooking(ctx context.Context, q querier, challengeID, round int64) (x Cooking, err error) {
	if x.Challenge, x.Round, err = challengeAndRound(ctx, q, challengeID, round); err != nil {
		return x, err
	}
	if x.Round.Kind != challenge.Cook {
		return x, challenge.NotFound("There is no such round in this challenge.")
	}
	if x.Dishes, err = rows(ctx, q, scanDish, dishSelect+`LEFT JOIN round_in ON round_in.dish_id = dish.id AND round_in.round_id = ?1
		WHERE dish.id IN (SELECT dish_id FROM round_in WHERE round_id = ?1 UNION SELECT id FROM dish WHERE challenge_id = ?2 AND kind = 'house')
		ORDER BY dish.kind = 'house', round_in.place, dish.id`, round, challengeID); err != nil {
		return x, err
	}
	for _, d := range x.Dishes {
		r, err := recipeOf(ctx, q, d.ID, 0, true)
		if err != nil {
			return x, err
		}
		x.Recipes = append(x.Recipes, challenge.Written{Dish: d.ID, Version: r.Version, Name: d.Served(), Reading: r.Reading})
	}
	if err := x.decided(ctx, q); err != nil {
		return x, err
	}
	x.Service.Cover(x.Recipes, x.Challenge.Kitchen)
	return x, nil
}

// Served is how the run sheet names a dish.
func (d Dish) Served() string {
	if d.Kind == "entry" {
		return fmt.Sprintf("No. %d %s", d.Number, d.Title)
	}
	return d.Title
}

// decided loads what is kept about the service.
func (x *Cooking) decided(ctx context.Context, q querier) error {
	var decided, sheet, planned, says string
	var at int64
	x.Service.Portions, x.Run = x.Round.Params.Portions, 1
	err := q.QueryRowContext(ctx, `SELECT revision, decided, sheet, planned, says, run, planned_at FROM service WHERE round_id = ?`, x.Round.ID).
		Scan(&x.Revision, &decided, &sheet, &planned, &says, &x.Run, &at)
	if errors.Is(err, sql.ErrNoRows) {
		return nil
	}
	if err != nil {
		return err
	}
	x.PlannedAt, x.Says = moment(at), readSaid(says)
	if err := json.Unmarshal([]byte(decided), &x.Service); err != nil {
		return fmt.Errorf("service of round %d: %w", x.Round.ID, err)
	}
	if x.Sheet, err = x.readSheet(sheet); err != nil {
		return err
	}
	if x.Planned, err = x.readSheet(planned); err != nil {
		return err
	}
	scan := func(r *sql.Rows) (e kitchen.LogEntry, err error) {
		var text string
		if err = r.Scan(&text); err == nil {
			err = json.Unmarshal([]byte(text), &e)
		}
		return e, err
	}
	x.Log, err = rows(ctx, q, scan, `SELECT entry FROM service_log WHERE round_id = ? AND run = ? ORDER BY seq`, x.Round.ID, x.Run)
	return err
}

// readSaid reads a stored sentence; older ones are kept as bare text.
func readSaid(text string) (s wording.Sentence) {
	if err := json.Unmarshal([]byte(text), &s); err != nil {
		return wording.Of("%v", text)
	}
	return s
}

// readSheet reads a stored run sheet; its times come back in the challenge's
// zone, because sentences of the planner are written in it.
func (x *Cooking) readSheet(text string) (s kitchen.RunSheet, err error) {
	if text == "" {
		return s, nil
	}
	if err := json.Unmarshal([]byte(text), &s); err != nil {
		return s, fmt.Errorf("run sheet of round %d: %w", x.Round.ID, err)
	}
	zone, err := time.LoadLocation(x.Challenge.Zone)
	if err != nil {
		zone = time.UTC
	}
	s.Serve, s.DayBegins = s.Serve.In(zone), s.DayBegins.In(zone)
	for i := range s.Rows {
		s.Rows[i].Start = s.Rows[i].Start.In(zone)
	}
	return s, nil
}

// DecideService changes what is decided about a service and plans it anew: from
// the start, or, once cooking has begun, what has not started yet. revision is
// the one that the page showed.
func (db *DB) DecideService(ctx context.Context, a challenge.Actor, challengeID, round int64, revision int, change func(x Cooking, s *challenge.Service) error) error {
	x, err := db.Cooking(ctx, a, challengeID, round)
	if err != nil {
		return err
	}
	if err := x.changeable(); err != nil {
		return err
	}
	if revision != x.Revision {
		return challenge.Refuse(challenge.Stale, "", "This plan was changed elsewhere. Look at it again; nothing was saved.")
	}
	was := x.Service
	x.Service.Dishes = slices.Clone(was.Dishes)
	if err := change(x, &x.Service); err != nil {
		return err
	}
	now := db.now()
	if err := x.check(was, now); err != nil {
		return err
	}
	if x.Revision == 0 || jsonText(forPlan(was)) != jsonText(forPlan(x.Service)) {
		if err := x.plan(ctx, now); err != nil {
			return err
		}
	}
	return db.write(ctx, func(tx *Tx) error { return keepService(ctx, tx, x) })
}

// forPlan leaves away what changes lists only.
func forPlan(s challenge.Service) challenge.Service {
	s.Have, s.Arrive, s.Prices, s.Tasters, s.Currency = nil, nil, nil, nil, ""
	return s
}

func (x Cooking) changeable() error {
	if !x.Open() {
		return challenge.Refuse(challenge.Shut, "", "“%s” is not open; nothing was changed.", x.Round.Title)
	}
	return nil
}

// check refuses what cannot be planned; while cooking, the serving time may
// pass and the dishes must stay.
func (x Cooking) check(was challenge.Service, now time.Time) error {
	if !x.Begun() {
		return x.Service.Check(now)
	}
	before, after := was.Cooked(), x.Service.Cooked()
	same := len(before) == len(after)
	for i := range before {
		same = same && before[i].Dish == after[i].Dish
	}
	if !same {
		return challenge.Refuse(challenge.Shut, "dish", "Cooking has begun: dishes cannot be added or left out now.")
	}
	return x.Service.Check(time.Time{})
}

// plan makes the run sheet anew.
func (x *Cooking) plan(ctx context.Context, now time.Time) (err error) {
	ctx, cancel := context.WithTimeout(ctx, planWithin)
	defer cancel()
	if x.Begun() {
		return x.replan(ctx, now)
	}
	x.Service.Begin = firstWork(x.Service.Serve, now)
	x.Sheet, err = kitchen.Plan(ctx, x.Plan())
	x.Says = wording.Sentence{}
	return err
}

// replan plans what has not started. Where nothing fits while somebody works in
// the night, nights are left open; where even then nothing fits, the old sheet
// stays with the reason on it, so that nobody stands there without any.
func (x *Cooking) replan(ctx context.Context, now time.Time) error {
	s := x.Plan()
	sheet, says, err := kitchen.Replan(ctx, s, x.Sheet, x.Log, now)
	if err == nil && len(sheet.Rows) == 0 {
		s.NightFrom, s.NightTo = 24*60-1, 24*60
		sheet, says, err = kitchen.Replan(ctx, s, x.Sheet, x.Log, now)
	}
	if err != nil {
		return err
	}
	if x.Says = says; len(sheet.Rows) > 0 {
		x.Sheet = sheet
	} else {
		x.Sheet.Blocks, x.Sheet.Helps = sheet.Blocks, sheet.Helps
	}
	return nil
}

// firstWork is three days before serving, or the next full five minutes.
func firstWork(serve, now time.Time) time.Time {
	if begin := serve.AddDate(0, 0, -3); begin.After(now) {
		return begin
	}
	return now.Add(5*time.Minute - time.Nanosecond).Truncate(5 * time.Minute).UTC()
}

func keepService(ctx context.Context, tx *Tx, x Cooking) error {
	if _, r, err := challengeAndRound(ctx, tx, x.Challenge.ID, x.Round.ID); err != nil {
		return err
	} else if r.State != challenge.UnderWay {
		return x.stale()
	}
	planned := ""
	if x.Begun() {
		planned = jsonText(x.Planned)
	}
	res, err := tx.ExecContext(ctx, `INSERT INTO service (round_id, revision, decided, sheet, planned, says, run, planned_at) VALUES (?1, ?2 + 1, ?3, ?4, ?5, ?6, ?7, ?8)
		ON CONFLICT (round_id) DO UPDATE SET revision = ?2 + 1, decided = ?3, sheet = ?4, planned = ?5, says = ?6, run = ?7, planned_at = ?8 WHERE revision = ?2`,
		x.Round.ID, x.Revision, jsonText(x.Service), jsonText(x.Sheet), planned, jsonText(x.Says), x.Run, millis(tx.now))
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return errors.Join(err, x.stale())
	}
	return nil
}

func (x Cooking) stale() error {
	return challenge.Refuse(challenge.Stale, "", "This plan was changed elsewhere. Look at it again; nothing was saved.")
}

// NoteCooking writes a button or a word into the cook's log, and plans what has
// not started where the note moves it. Pressing a button twice changes nothing.
func (db *DB) NoteCooking(ctx context.Context, a challenge.Actor, challengeID, round int64, n challenge.CookNote) error {
	const tries = 4 // two phones in one kitchen
	var err error
	for range tries {
		if err = db.noteCooking(ctx, a, challengeID, round, n); !isStale(err) {
			return err
		}
	}
	return err
}

func isStale(err error) bool {
	r, ok := errors.AsType[*challenge.Refusal](err)
	return ok && r.Why == challenge.Stale
}

func (db *DB) noteCooking(ctx context.Context, a challenge.Actor, challengeID, round int64, n challenge.CookNote) error {
	x, err := db.Cooking(ctx, a, challengeID, round)
	if err != nil {
		return err
	}
	if err := x.changeable(); err != nil {
		return err
	}
	now := db.now()
	if n.Do == "replan" { // nothing happened but time
		if x.Revision == 0 {
			return challenge.NotFound("There is no plan yet.")
		}
		if err := x.plan(ctx, now); err != nil {
			return err
		}
		return db.write(ctx, func(tx *Tx) error { return keepService(ctx, tx, x) })
	}
	e, fresh, err := n.Note(x.Sheet, x.Log, now)
	if err != nil || !fresh {
		return err
	}
	if !x.Begun() {
		x.Planned = x.Sheet
	}
	moves := n.Moves(x.Sheet, now)
	x.Log = append(x.Log, e)
	if moves {
		if err := x.plan(ctx, now); err != nil {
			return err
		}
	} else if n.Do != "word" {
		x.Says = wording.Sentence{}
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := keepService(ctx, tx, x); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO service_log (round_id, run, seq, entry, at) VALUES (?, ?, ?, ?, ?)`,
			x.Round.ID, x.Run, len(x.Log), jsonText(e), millis(tx.now))
		return err
	})
}

// CookAgain begins a new cooking of the same service after a rehearsal, with
// the durations that the log of it holds. The old log is kept.
func (db *DB) CookAgain(ctx context.Context, a challenge.Actor, challengeID, round int64, revision int, serve time.Time) error {
	x, err := db.Cooking(ctx, a, challengeID, round)
	if err != nil {
		return err
	}
	if err := x.changeable(); err != nil {
		return err
	}
	if revision != x.Revision {
		return x.stale()
	}
	if !x.Begun() {
		return challenge.Refuse(challenge.Shut, "", "Nothing has been cooked yet.")
	}
	x.Service.Corrected(x.Recipes, x.Log)
	x.Service.Serve, x.Log, x.Run = serve, nil, x.Run+1
	if err := x.Service.Check(db.now()); err != nil {
		return err
	}
	if err := x.plan(ctx, db.now()); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error { return keepService(ctx, tx, x) })
}
