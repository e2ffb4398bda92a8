package store

import (
	"context"
	"database/sql"

	"fairladle/challenge"
)

func insertRound(ctx context.Context, tx *Tx, challengeID int64, r challenge.Round) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO round (challenge_id, position, kind, title, params, release_at) VALUES (?, ?, ?, ?, ?, ?)`,
		challengeID, r.Position, r.Kind, r.Title, string(r.Params.JSON()), millis(r.ReleaseAt))
	return err
}

// changeRounds runs change on a challenge's planned rounds. Once the challenge
// is announced the new plan goes into the ledger.
func (db *DB) changeRounds(ctx context.Context, a challenge.Actor, id int64, change func(tx *Tx, c challenge.Challenge) error) error {
	if err := challenge.May(a, challenge.EditChallenge, id); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, id)
		if err != nil {
			return err
		}
		if err := change(tx, c); err != nil || c.AnnouncedAt.IsZero() {
			return err
		}
		after, err := challengeByID(ctx, tx, id)
		if err != nil {
			return err
		}
		return record(ctx, tx, id, challenge.Event{Kind: challenge.EventRoundsChanged, By: a.Role, Detail: after.RoundTerms()})
	})
}

// AddRound plans one more round at the end of the run.
func (db *DB) AddRound(ctx context.Context, a challenge.Actor, id int64, k challenge.Kind) error {
	return db.changeRounds(ctx, a, id, func(tx *Tx, c challenge.Challenge) error {
		if len(c.Rounds) >= 24 {
			return challenge.Refuse(challenge.Invalid, "", "A challenge has at most 24 rounds.")
		}
		r, err := challenge.NewRound(k)
		if err != nil {
			return err
		}
		r.Position = len(c.Rounds) + 1
		return insertRound(ctx, tx, id, r)
	})
}

// EditRound changes what a planned round does, and when its outcome is shown.
// Once it has begun, only the challenge's own release time can still change.
func (db *DB) EditRound(ctx context.Context, a challenge.Actor, id int64, edited challenge.Round) error {
	return db.changeRounds(ctx, a, id, func(tx *Tx, c challenge.Challenge) error {
		r, err := c.Round(edited.ID)
		if err != nil {
			return err
		}
		if err := c.MayEdit(r); err != nil {
			return err
		}
		edited.Kind = r.Kind
		if err := edited.Check(); err != nil {
			return err
		}
		if err := c.CheckSources(edited); err != nil {
			return err
		}
		if err := c.CheckRule(edited); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE round SET title = ?, params = ?, release_at = ? WHERE id = ?`,
			edited.Title, string(edited.Params.JSON()), millis(edited.ReleaseAt), r.ID)
		return err
	})
}

// RemoveRound leaves a planned round out of the run.
func (db *DB) RemoveRound(ctx context.Context, a challenge.Actor, id, round int64) error {
	return db.changeRounds(ctx, a, id, func(tx *Tx, c challenge.Challenge) error {
		r, err := c.Round(round)
		if err != nil {
			return err
		}
		if err := c.MayEdit(r); err != nil {
			return err
		}
		// A rehearsal is counted for ever.
		if err := execAll(ctx, tx, r.ID, `UPDATE rehearsal SET round_id = NULL WHERE round_id = ?`,
			`DELETE FROM tickets WHERE round_id = ?`, `DELETE FROM round WHERE id = ?`); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE ledger_body SET round = CASE round WHEN ?2 THEN 0 ELSE round - 1 END
			WHERE challenge_id = ?1 AND round >= ?2`, id, r.Position); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE round SET position = position - 1 WHERE challenge_id = ? AND position > ?`, id, r.Position)
		return err
	})
}

// MoveRound puts a planned round one place earlier in the run.
func (db *DB) MoveRound(ctx context.Context, a challenge.Actor, id, round int64) error {
	return db.changeRounds(ctx, a, id, func(tx *Tx, c challenge.Challenge) error {
		r, err := c.Round(round)
		if err != nil {
			return err
		}
		if err := c.MayEdit(r); err != nil {
			return err
		}
		if r.Position < 2 || c.Rounds[r.Position-2].State != challenge.Planned {
			return challenge.Refuse(challenge.Shut, "", "“%s” cannot come any earlier.", r.Title)
		}
		if _, err := tx.ExecContext(ctx, `UPDATE round SET position = ? - position WHERE challenge_id = ? AND position IN (?, ?)`,
			2*r.Position-1, id, r.Position, r.Position-1); err != nil {
			return err
		}
		// What the ledger holds about the two already, such as a rehearsal, goes with them.
		_, err = tx.ExecContext(ctx, `UPDATE ledger_body SET round = ? - round WHERE challenge_id = ? AND round IN (?, ?)`,
			2*r.Position-1, id, r.Position, r.Position-1)
		return err
	})
}

// An engine is what one kind of round adds to the life cycle that all share.
type engine struct {
	// open prepares the round for what goes in; nil where nothing is needed.
	open func(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round, in []int64) error
	// close reads what was done in the round and decides what came out: the
	// whole record as bytes, and the placings. No record and no error means
	// that the round has to stay open for another step, such as a tie's draw.
	close func(ctx context.Context, tx *Tx, c challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error)
}

var engines = map[challenge.Kind]engine{
	challenge.Reading: {open: openReading, close: closeReading},
	challenge.Pick:    {close: closePick},
	challenge.Draw:    {open: openDraw, close: closeDraw},
	challenge.Cook:    {open: openCook, close: closeCook},
	challenge.Tasting: {open: openTasting, close: closeTasting},
	challenge.Vote:    {open: openVote, close: closeVote},
}

// OpenRound begins a round: what goes in is fixed, and what it does is locked.
func (db *DB) OpenRound(ctx context.Context, a challenge.Actor, id, round int64) error {
	if err := challenge.May(a, challenge.RunRound, id); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, id, round)
		if err != nil {
			return err
		}
		if err := c.MayOpen(r, tx.now); err != nil {
			return err
		}
		if err := recordClosing(ctx, tx, id); err != nil {
			return err
		}
		in, err := goesIn(ctx, tx, c, r)
		if err != nil {
			return err
		}
		if len(in) == 0 {
			return challenge.Refuse(challenge.Shut, "", "Nothing goes into “%s”: no recipe has come this far.", r.Title)
		}
		if err := saveOpening(ctx, tx, r, in); err != nil {
			return err
		}
		if err := recordOpening(ctx, tx, a, c, r, in); err != nil {
			return err
		}
		if open := engines[r.Kind].open; open != nil {
			return open(ctx, tx, c, r, in)
		}
		return nil
	})
}

func challengeAndRound(ctx context.Context, q querier, id, round int64) (challenge.Challenge, challenge.Round, error) {
	c, err := challengeByID(ctx, q, id)
	if err != nil {
		return c, challenge.Round{}, err
	}
	r, err := c.Round(round)
	return c, r, err
}

// goesIn is what the last round let through, or every eligible entry; dishes
// withdrawn since then stay out, and after a draw the next alternate steps in.
// An entry that was brought in is read like any other, and goes no further
// before its sender agreed to take part.
func goesIn(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) ([]int64, error) {
	in, err := comesThisFar(ctx, q, c, r)
	if err != nil || r.Kind == challenge.Reading {
		return in, err
	}
	return withoutUnanswered(ctx, q, c.ID, in)
}

func comesThisFar(ctx context.Context, q querier, c challenge.Challenge, r challenge.Round) ([]int64, error) {
	if prev, ok := c.Before(r); ok {
		in, err := rows(ctx, q, scanID, `SELECT round_out.dish_id FROM round_out LEFT JOIN entry ON entry.dish_id = round_out.dish_id
			WHERE round_id = ? AND through = 1 AND COALESCE(entry.state, 'in') = 'in' ORDER BY rank, round_out.dish_id`, prev.ID)
		if err != nil || len(in) > 0 || prev.Kind != challenge.Draw {
			return in, err
		}
		return rows(ctx, q, scanID, `SELECT round_out.dish_id FROM round_out JOIN entry ON entry.dish_id = round_out.dish_id
			WHERE round_id = ? AND entry.state = 'in' ORDER BY rank LIMIT 1`, prev.ID)
	}
	return rows(ctx, q, scanID, `SELECT dish_id FROM entry WHERE challenge_id = ? AND state = 'in' ORDER BY number`, c.ID)
}

func scanID(r *sql.Rows) (id int64, err error) { return id, r.Scan(&id) }

func saveOpening(ctx context.Context, tx *Tx, r challenge.Round, in []int64) error {
	if _, err := tx.ExecContext(ctx, `UPDATE round SET state = 'open', opened_at = ? WHERE id = ?`, millis(tx.now), r.ID); err != nil {
		return err
	}
	for i, dish := range in {
		if _, err := tx.ExecContext(ctx, `INSERT INTO round_in (round_id, dish_id, place) VALUES (?, ?, ?)`, r.ID, dish, i+1); err != nil {
			return err
		}
	}
	return nil
}

func recordOpening(ctx context.Context, tx *Tx, a challenge.Actor, c challenge.Challenge, r challenge.Round, in []int64) error {
	labels, err := dishLabels(ctx, tx, in)
	if err != nil {
		return err
	}
	type detail struct {
		Kind   challenge.Kind   `json:"kind"`
		Title  string           `json:"title"`
		Params challenge.Params `json:"params"`
		In     []string         `json:"in"`
	}
	return record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventRoundOpened, Round: r.Position, By: a.Role,
		Detail: detail{r.Kind, r.Title, r.Params, labels}})
}

// CloseRound ends a round: its engine decides what came out, once and for all.
// closed is false where another step is needed first, which is then open: the
// draw that settles a tie.
func (db *DB) CloseRound(ctx context.Context, a challenge.Actor, id, round int64) (closed bool, err error) {
	if err := challenge.May(a, challenge.RunRound, id); err != nil {
		return false, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		c, r, err := challengeAndRound(ctx, tx, id, round)
		if err != nil {
			return err
		}
		if err := c.MayClose(r); err != nil {
			return err
		}
		document, out, err := engines[r.Kind].close(ctx, tx, c, r)
		if err != nil || document == nil {
			return err
		}
		closed = true
		return saveClosing(ctx, tx, a, c, r, document, out)
	})
	return closed, err
}

func saveClosing(ctx context.Context, tx *Tx, a challenge.Actor, c challenge.Challenge, r challenge.Round, document []byte, out []challenge.Placing) error {
	if _, err := tx.ExecContext(ctx, `UPDATE round SET state = 'closed', closed_at = ?, document = ? WHERE id = ?`,
		millis(tx.now), document, r.ID); err != nil {
		return err
	}
	var through []int64
	for _, p := range out {
		if _, err := tx.ExecContext(ctx, `INSERT INTO round_out (round_id, dish_id, rank, through, note) VALUES (?, ?, ?, ?, ?)`,
			r.ID, p.Dish, p.Rank, p.Through, p.Note); err != nil {
			return err
		}
		if p.Through {
			through = append(through, p.Dish)
		}
	}
	labels, err := dishLabels(ctx, tx, through)
	if err != nil {
		return err
	}
	type detail struct {
		Kind     challenge.Kind `json:"kind"`
		Through  []string       `json:"through"`
		Document string         `json:"document"` // hex SHA-256 of the round's record
	}
	return record(ctx, tx, c.ID, challenge.Event{Kind: challenge.EventRoundClosed, Round: r.Position, By: a.Role,
		Detail: detail{r.Kind, labels, hexSum(document)}})
}

// Document returns the whole record of a closed round; nil where it is open.
func (db *DB) Document(ctx context.Context, round int64) ([]byte, error) {
	var b []byte
	err := db.reads.QueryRowContext(ctx, `SELECT document FROM round WHERE id = ?`, round).Scan(&b)
	return b, missing(err, "There is no such round.")
}

// Outcome returns the placings of a closed round, best first.
func (db *DB) Outcome(ctx context.Context, round int64) ([]challenge.Placing, error) {
	return outcome(ctx, db.reads, round)
}

func outcome(ctx context.Context, q querier, round int64) ([]challenge.Placing, error) {
	scan := func(r *sql.Rows) (p challenge.Placing, err error) {
		return p, r.Scan(&p.Dish, &p.Rank, &p.Through, &p.Note)
	}
	return rows(ctx, q, scan, `SELECT dish_id, rank, through, note FROM round_out WHERE round_id = ? ORDER BY rank, dish_id`, round)
}
