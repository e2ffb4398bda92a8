package store

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/intake"
	"fairladle/challenge/recipe"
)

// ChooseImport says which items become entries; they are made one by one
// behind the pages.
func (db *DB) ChooseImport(ctx context.Context, a challenge.Actor, challengeID, id int64, seqs []int) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		c, err := challengeByID(ctx, tx, challengeID)
		if err != nil {
			return err
		}
		if err := c.MayBringIn(tx.now); err != nil {
			return err
		}
		i, err := importByID(ctx, tx, challengeID, id)
		if err != nil {
			return err
		}
		if i.State == "reading" {
			return challenge.Refuse(challenge.Stale, "", "This file was not read to its end. Choose it again.")
		}
		if len(seqs) == 0 {
			return challenge.Refuse(challenge.Invalid, "", "Nothing is ticked. Tick what should become an entry.")
		}
		if _, err := tx.ExecContext(ctx, `UPDATE import_item SET state = 'chosen' WHERE import_id = ? AND state = 'found' AND (text <> '' OR photo IS NOT NULL)
			AND seq IN (SELECT value FROM json_each(?))`, id, jsonText(seqs)); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE import SET state = 'creating' WHERE id = ?`, id)
		return err
	})
}

// DiscardImport puts an import away, with everything that did not become an
// entry. What did stays.
func (db *DB) DiscardImport(ctx context.Context, a challenge.Actor, challengeID, id int64) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		i, err := importByID(ctx, tx, challengeID, id)
		if err != nil {
			return err
		}
		if i.Working() {
			return challenge.Refuse(challenge.Stale, "", "Entries are still being made of this file. Wait until that is done.")
		}
		_, err = tx.ExecContext(ctx, `DELETE FROM import WHERE id = ?`, id)
		return err
	})
}

// importLife is how long a preview is kept that nobody put away: it holds
// names and addresses.
const importLife = 30 * 24 * time.Hour

// DropOldImports puts away what nobody decided on for long.
func (db *DB) DropOldImports(ctx context.Context) error {
	var old bool
	before := millis(db.now().Add(-importLife))
	err := db.reads.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM import WHERE created_at < ?)`, before).Scan(&old)
	if err != nil || !old {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM import WHERE created_at < ? AND NOT EXISTS
			(SELECT 1 FROM import_item WHERE import_id = import.id AND state = 'chosen')`, before)
		return err
	})
}

// ImportWork is a chosen item that waits to become an entry.
type ImportWork struct {
	Item   int64
	Photos [][]byte // as they came

	text, title, name, email, format string
	file, place                      string
	sent                             int64
}

// NextImport finds the chosen item that waits longest; ok is false where none
// does.
func (db *DB) NextImport(ctx context.Context) (w ImportWork, ok bool, err error) {
	err = db.read(ctx, func(q querier) error {
		var first []byte
		err := q.QueryRowContext(ctx, `SELECT item.id, item.photo, item.text, item.title, item.name, item.email, item.format, import.name, item.place, item.sent_at
			FROM import_item item JOIN import ON import.id = item.import_id WHERE item.state = 'chosen' ORDER BY item.id LIMIT 1`).
			Scan(&w.Item, &first, &w.text, &w.title, &w.name, &w.email, &w.format, &w.file, &w.place, &w.sent)
		if err != nil || first == nil {
			return err
		}
		more, err := rows(ctx, q, func(r *sql.Rows) (b []byte, err error) { return b, r.Scan(&b) },
			`SELECT photo FROM import_picture WHERE item_id = ? ORDER BY place`, w.Item)
		w.Photos = append([][]byte{first}, more...)
		return err
	})
	if errors.Is(err, sql.ErrNoRows) {
		return w, false, nil
	}
	return w, err == nil, err
}

// MakeImported makes the entry of an item, its private link and the message
// that brings it, and its mark against being brought in again: all or nothing.
// photos are the sums of the cleaned photos. An item that cannot become an entry
// fails by itself.
func (db *DB) MakeImported(ctx context.Context, w ImportWork, photos ...string) error {
	names := []string{w.name}
	p := prepare(w.text, names, nil)
	if p.title == "" || w.text == "" {
		p.title, _ = recipe.Mask(w.title, names)
	}
	err := db.write(ctx, func(tx *Tx) error { return makeImported(ctx, tx, w, p, photos) })
	if err == nil || ctx.Err() != nil || errors.Is(err, ErrClosed) {
		return err
	}
	return errors.Join(ignoreRefusal(err), db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE import_item SET state = 'failed' WHERE id = ? AND state = 'chosen'`, w.Item)
		return err
	}))
}

func ignoreRefusal(err error) error {
	if _, ok := errors.AsType[*challenge.Refusal](err); ok {
		return nil
	}
	return err
}

func makeImported(ctx context.Context, tx *Tx, w ImportWork, p prepared, photos []string) error {
	var key []byte
	var challengeID int64
	err := tx.QueryRowContext(ctx, `SELECT item.key, import.challenge_id FROM import_item item JOIN import ON import.id = item.import_id
		WHERE item.id = ? AND item.state = 'chosen'`, w.Item).Scan(&key, &challengeID)
	if errors.Is(err, sql.ErrNoRows) {
		return nil // another worker was faster
	}
	if err != nil {
		return err
	}
	c, err := challengeByID(ctx, tx, challengeID)
	if err != nil {
		return err
	}
	if err := c.MayBringIn(tx.now); err != nil {
		return err
	}
	var known bool
	if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM imported WHERE key = ? AND (challenge_id = ? OR dish_id IS NULL))`, key, c.ID).Scan(&known); err != nil {
		return err
	}
	if known {
		return challenge.Refuse(challenge.Stale, "", "It was brought in before.")
	}
	if w.text == "" && len(photos) == 0 {
		return challenge.Refuse(challenge.Invalid, "", "Its picture could not be read, and there is no text.")
	}
	dish, err := importedEntry(ctx, tx, c, w, p, photos)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO imported (key, challenge_id, dish_id, at) VALUES (?, ?, ?, ?)`, key, c.ID, dish, millis(tx.now)); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM import_picture WHERE item_id = ?`, w.Item); err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE import_item SET state = 'made', dish_id = ?, text = '', name = '', email = '', title = ?, photo = NULL WHERE id = ?`,
		dish, p.title, w.Item)
	return err
}

// importedEntry makes the entry. Its sender has agreed to nothing yet.
func importedEntry(ctx context.Context, tx *Tx, c challenge.Challenge, w ImportWork, p prepared, photos []string) (int64, error) {
	person, err := importedPerson(ctx, tx, w)
	if err != nil {
		return 0, err
	}
	ids := []int64{0}
	for i, sum := range photos {
		id, err := photoBySum(ctx, tx, sum)
		if err != nil {
			return 0, err
		}
		ids = append(ids[:i], id)
	}
	dish, content, err := insertDish(ctx, tx, c.ID, "entry", p, ids[0])
	if err != nil {
		return 0, err
	}
	source, number := "file", c.LastNumber+1
	if intake.Format(w.format) == intake.Mail {
		source = "mail"
	}
	for _, step := range []struct {
		query string
		args  []any
	}{
		{`INSERT INTO entry (dish_id, challenge_id, number, source, findings, ingredients, minutes) VALUES (?, ?, ?, ?, ?, ?, ?)`,
			[]any{dish, c.ID, number, source, p.glance.Findings, p.glance.Ingredients, p.glance.Minutes}},
		{`INSERT INTO entrant (dish_id, person_id, name, origin) VALUES (?, ?, ?, '')`, []any{dish, person, w.name}},
		{`UPDATE challenge SET entries = entries + 1, last_number = ? WHERE id = ?`, []any{number, c.ID}},
	} {
		if _, err := tx.ExecContext(ctx, step.query, step.args...); err != nil {
			return 0, err
		}
	}
	if err := keepOrigin(ctx, tx, w, dish, ids[1:]); err != nil {
		return 0, err
	}
	if err := offerLink(ctx, tx, c, w, dish, person); err != nil {
		return 0, err
	}
	return dish, recordVersion(ctx, tx, c.ID, dish, challenge.Event{Kind: challenge.EventReceived, By: challenge.Host, Entry: number, Version: 1,
		Content: content.String(), Reason: "brought in by " + source})
}

func importedPerson(ctx context.Context, tx *Tx, w ImportWork) (int64, error) {
	if key, err := challenge.AddressKey(w.email); err == nil {
		id, known, err := personByAddress(ctx, tx, key)
		if err != nil || known {
			return id, err
		}
	}
	return addPerson(ctx, tx, w.name, "", w.email)
}

// offerLink leaves the sender a private link in the outbox, to look at the
// breakdown and say what is agreed to.
func offerLink(ctx context.Context, tx *Tx, c challenge.Challenge, w ImportWork, dish, person int64) error {
	if w.email == "" {
		return nil
	}
	token, err := newLink(ctx, tx, ForEntrant, c.ID, dish, 0)
	if err != nil {
		return err
	}
	return addEntryMessage(ctx, tx, c.ID, person, dish, messageImported, token)
}

// withoutUnanswered takes out entries whose senders have not agreed to take
// part, as those of brought in ones at first.
func withoutUnanswered(ctx context.Context, q querier, challengeID int64, in []int64) ([]int64, error) {
	return rows(ctx, q, scanID, `SELECT value FROM json_each(?) WHERE value NOT IN
		(SELECT dish_id FROM entry WHERE challenge_id = ? AND state = 'in' AND agreed = 0) ORDER BY key`, jsonText(in), challengeID)
}

// Unanswered lists the numbers of entries whose senders have not agreed to
// take part yet.
func (db *DB) Unanswered(ctx context.Context, challengeID int64) ([]int, error) {
	scan := func(r *sql.Rows) (number int, err error) { return number, r.Scan(&number) }
	return rows(ctx, db.reads, scan, `SELECT number FROM entry WHERE challenge_id = ? AND state = 'in' AND agreed = 0 ORDER BY number`, challengeID)
}
