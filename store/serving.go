package store

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"

	"fairladle/challenge"
)

// TastingPlates lists the plates of a tasting with their codes, without those
// taken out. It is not for judges: see Served.
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

// Judges lists the judges invited to a challenge.
func (db *DB) Judges(ctx context.Context, challengeID int64) ([]Participant, error) {
	all, err := participants(ctx, db.reads, challengeID)
	return slices.DeleteFunc(all, func(p Participant) bool { return p.Role != challenge.Judge || p.Removed }), err
}

// WithdrawPlate takes a plate out of a tasting that has begun: its sheets stay
// and do not count.
func (db *DB) WithdrawPlate(ctx context.Context, a challenge.Actor, challengeID, round, plate int64, reason string) error {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return err
	}
	if reason = strings.TrimSpace(reason); reason == "" || len(reason) > maxComment {
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
		if settling, err := tieOpen(ctx, tx, round); err != nil || settling {
			return errors.Join(err, challenge.Refuse(challenge.Shut, "", "The sheets are tallied and a tie is being settled; no plate can be taken out now."))
		}
		var code int
		err = tx.QueryRowContext(ctx, `UPDATE tasting_plate SET withdrawn = 1 WHERE round_id = ? AND plate_id = ? AND withdrawn = 0 RETURNING code`, round, plate).Scan(&code)
		if err != nil {
			return missing(err, "There is no such plate in this tasting.")
		}
		return record(ctx, tx, challengeID, challenge.Event{Kind: challenge.EventPlateWithdrawn, Round: r.Position, By: a.Role, Reason: reason, Detail: map[string]int{"code": code}})
	})
}

// servedPlates lists every plate of a tasting by code, and which of them were
// taken out.
func servedPlates(ctx context.Context, q querier, round int64) (ps []Plate, out map[int64]bool, err error) {
	if ps, err = plates(ctx, q, `JOIN tasting_plate t ON t.plate_id = plate.id WHERE t.round_id = ? ORDER BY t.code`, round); err != nil {
		return nil, nil, err
	}
	type row struct {
		plate int64
		code  int
		out   bool
	}
	scan := func(r *sql.Rows) (x row, err error) { return x, r.Scan(&x.plate, &x.code, &x.out) }
	all, err := rows(ctx, q, scan, `SELECT plate_id, code, withdrawn FROM tasting_plate WHERE round_id = ? ORDER BY code`, round)
	out = map[int64]bool{}
	for i, x := range all {
		ps[i].Code, out[x.plate] = x.code, x.out
	}
	return ps, out, err
}

// A ServedPlate is a plate as a judge meets it. It has no field for a dish, a
// number or a cook, and none may be added.
type ServedPlate struct {
	Code     int
	Begun    bool // a draft is kept
	Sealed   bool
	TakenOut bool
}

// Served lists the plates of a tasting in the asker's serving order, with how
// far the asker's own sheets are.
func (db *DB) Served(ctx context.Context, a challenge.Actor, challengeID, round int64) (served []ServedPlate, err error) {
	if err := challenge.May(a, challenge.ScorePlate, challengeID); err != nil {
		return nil, err
	}
	err = db.read(ctx, func(q querier) error {
		_, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		at, err := seatingOf(ctx, q, r)
		if err != nil {
			return err
		}
		own, err := ownSheets(ctx, q, round, readerID(a))
		for _, p := range at.order(readerID(a)) {
			sheet, begun := own[p.ID]
			served = append(served, ServedPlate{Code: p.Code, Begun: begun, Sealed: !sheet.SealedAt.IsZero()})
		}
		return err
	})
	return served, err
}

// A Seat is one judge at the table: how many sheets are sealed, never what
// they say, and the codes in the order they are served.
type Seat struct {
	Judge   int64 // participant; 0 is the host
	Name    string
	Role    challenge.Role
	Removed bool
	// Pictures and Home: nobody serves them.
	Pictures bool
	Home     bool
	Sealed   int
	Codes    []int
}

// A TablePlate is a plate as whoever serves it knows it.
type TablePlate struct {
	Plate
	TakenOut bool
	Sheets   int // sealed
}

// A Table is a tasting as whoever runs it may see it before the closing.
type Table struct {
	Plates  []TablePlate // by code
	Seats   []Seat
	Judges  int // with at least one sealed sheet for a plate that counts
	TieOpen bool
	// Position and Follows are the fewest and most times that a plate stands in
	// a position, and directly follows another; zero where no plan is kept.
	Position, Follows [2]int
}

// Table shows how far a tasting is.
func (db *DB) Table(ctx context.Context, a challenge.Actor, challengeID, round int64) (t Table, err error) {
	if err := challenge.May(a, challenge.RunRound, challengeID); err != nil {
		return t, err
	}
	err = db.read(ctx, func(q querier) error {
		_, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		at, err := seatingOf(ctx, q, r)
		if err != nil {
			return err
		}
		for _, p := range at.plates {
			t.Plates = append(t.Plates, TablePlate{Plate: p, TakenOut: at.out[p.ID]})
		}
		sealed, err := t.countSealed(ctx, q, round)
		if err != nil {
			return err
		}
		if t.Seats, err = tableSeats(ctx, q, r, at, sealed); err != nil {
			return err
		}
		if at.plan != nil {
			t.Position, t.Follows = at.plan.Position, at.plan.Follows
		}
		t.TieOpen, err = tieOpen(ctx, q, round)
		return err
	})
	return t, err
}

// countSealed counts the sealed sheets of plates that are still served, by
// plate and by judge.
func (t *Table) countSealed(ctx context.Context, q querier, round int64) (byJudge map[int64]int, err error) {
	type row struct{ judge, plate int64 }
	scan := func(r *sql.Rows) (x row, err error) { return x, r.Scan(&x.judge, &x.plate) }
	all, err := rows(ctx, q, scan, `SELECT judge_id, sheet.plate_id FROM sheet JOIN tasting_plate t ON t.round_id = sheet.round_id
		AND t.plate_id = sheet.plate_id AND t.withdrawn = 0 WHERE sheet.round_id = ? AND sealed_at > 0`, round)
	byJudge = map[int64]int{}
	for _, x := range all {
		byJudge[x.judge]++
		for i := range t.Plates {
			if t.Plates[i].ID == x.plate {
				t.Plates[i].Sheets++
			}
		}
	}
	t.Judges = len(byJudge)
	return byJudge, err
}

// tableSeats lists who tastes: every judge who is invited or has handed in,
// co-hosts who have, and the host where the rules let the host score.
func tableSeats(ctx context.Context, q querier, r challenge.Round, table seating, sealed map[int64]int) ([]Seat, error) {
	people, err := participants(ctx, q, r.Challenge)
	if err != nil {
		return nil, err
	}
	people = append(people, Participant{ID: 0, Role: challenge.Host, Removed: !r.Params.HostScores})
	var ss []Seat
	for _, id := range table.joined {
		p := people[slices.IndexFunc(people, func(p Participant) bool { return p.ID == id })]
		if sealed[id] == 0 && (p.Removed || p.Role == challenge.Cohost) {
			continue
		}
		s := Seat{Judge: id, Name: p.Name, Role: p.Role, Removed: p.Removed, Pictures: p.Pictures, Home: p.Home > 0, Sealed: sealed[id]}
		for _, x := range table.order(id) {
			s.Codes = append(s.Codes, x.Code)
		}
		ss = append(ss, s)
	}
	return ss, nil
}
