package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
	"fairladle/challenge/recipe"
)

// A Dish is a recipe of a challenge as blind pages meet it: an entry by its
// number, or a house dish by its cook.
type Dish struct {
	ID      int64
	Kind    string // entry, house
	Number  int    // entry number, 0 for a house dish
	Title   string // masked
	Cook    string // of a house dish
	Version int
}

// Label is how a dish is written where names must not stand.
func (d Dish) Label() string {
	if d.Kind == "entry" {
		return fmt.Sprintf("No. %d", d.Number)
	}
	return "house dish " + d.Title
}

const dishSelect = `SELECT dish.id, dish.kind, COALESCE(entry.number, 0), dish.title, COALESCE(house_dish.cook, ''), dish.version
	FROM dish LEFT JOIN entry ON entry.dish_id = dish.id LEFT JOIN house_dish ON house_dish.dish_id = dish.id `

func scanDish(r *sql.Rows) (d Dish, err error) {
	return d, r.Scan(&d.ID, &d.Kind, &d.Number, &d.Title, &d.Cook, &d.Version)
}

// DishesIn lists what went into a round, in order.
func (db *DB) DishesIn(ctx context.Context, round int64) ([]Dish, error) {
	return rows(ctx, db.reads, scanDish, dishSelect+`JOIN round_in ON round_in.dish_id = dish.id WHERE round_in.round_id = ? ORDER BY round_in.place`, round)
}

// Dish finds one dish.
func (db *DB) Dish(ctx context.Context, id int64) (Dish, error) { return dishByID(ctx, db.reads, id) }

func dishByID(ctx context.Context, q querier, id int64) (Dish, error) {
	ds, err := rows(ctx, q, scanDish, dishSelect+`WHERE dish.id = ?`, id)
	if err == nil && len(ds) == 0 {
		err = challenge.NotFound("There is no such dish.")
	}
	if err != nil {
		return Dish{}, err
	}
	return ds[0], nil
}

// DishesByID finds many dishes, in the order asked.
func (db *DB) DishesByID(ctx context.Context, ids []int64) ([]Dish, error) {
	return dishesByID(ctx, db.reads, ids)
}

func dishesByID(ctx context.Context, q querier, ids []int64) ([]Dish, error) {
	return rows(ctx, q, scanDish, dishSelect+`JOIN json_each(?) AS wanted ON wanted.value = dish.id ORDER BY wanted.key`, jsonText(ids))
}

func dishLabels(ctx context.Context, q querier, ids []int64) ([]string, error) {
	ds, err := dishesByID(ctx, q, ids)
	labels := make([]string, 0, len(ds))
	for _, d := range ds {
		labels = append(labels, d.Label())
	}
	return labels, err
}

func hexSum(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// prepared is everything derived from a text before the write begins.
type prepared struct {
	text, masked, title string
	masks               []recipe.Place
	reading             recipe.Breakdown
	glance              Glance
	readingJSON         string
}

// prepare reads and masks a text. Lists show the reading as corrected, its
// title masked, since it stands on blind pages.
func prepare(text string, names []string, cs []recipe.Correction) prepared {
	p := prepared{text: text, reading: recipe.Read(text)}
	p.masked, p.masks = recipe.Mask(text, names)
	corrected, _ := p.reading.Apply(text, cs)
	p.title, _ = recipe.Mask(corrected.Title, names)
	p.glance = glanceOf(corrected)
	p.readingJSON = jsonText(p.reading)
	return p
}

// insertDish makes a dish with its first version.
func insertDish(ctx context.Context, tx *Tx, challengeID int64, kind string, p prepared, photo int64) (int64, ledger.Commitment, error) {
	var id int64
	err := tx.QueryRowContext(ctx, `INSERT INTO dish (challenge_id, kind, title, version, created_at) VALUES (?, ?, ?, 0, ?) RETURNING id`,
		challengeID, kind, p.title, millis(tx.now)).Scan(&id)
	if err != nil {
		return 0, ledger.Commitment{}, err
	}
	content, err := addVersion(ctx, tx, id, p, photo)
	return id, content, err
}

// addVersion keeps a text as the dish's newest version, with its breakdown,
// and asks for it to be indexed.
func addVersion(ctx context.Context, tx *Tx, dish int64, p prepared, photo int64) (ledger.Commitment, error) {
	salt, err := tx.bytes(16)
	if err != nil {
		return ledger.Commitment{}, err
	}
	content := ledger.Commit(ledger.Salt(salt), []byte(p.text))
	var version int
	err = tx.QueryRowContext(ctx, `UPDATE dish SET version = version + 1, title = ? WHERE id = ? RETURNING version`, p.title, dish).Scan(&version)
	if err != nil {
		return content, err
	}
	if _, err = tx.ExecContext(ctx, `INSERT INTO dish_version (dish_id, version, text, masked, masks, photo_id, received_at, salt, content)
		VALUES (?, ?, ?, ?, ?, NULLIF(?, 0), ?, ?, ?)`, dish, version, p.text, p.masked, jsonText(p.masks), photo, millis(tx.now), salt, content[:]); err != nil {
		return content, err
	}
	if _, err = tx.ExecContext(ctx, `INSERT INTO breakdown (dish_id, version, reader, reading, derived_at) VALUES (?, ?, ?, ?, ?)`,
		dish, version, p.reading.Reader, p.readingJSON, millis(tx.now)); err != nil {
		return content, err
	}
	return content, addJob(ctx, tx, jobIndex, dish)
}

// A Recipe is one version of a dish's text with its breakdown, corrected.
// It has no field for a name: Text is set only where the asker may see the
// words as received, and is the masked text otherwise.
type Recipe struct {
	Dish     Dish
	Version  int
	Text     string
	Photo    string   // address of the photo's file, empty without one
	More     []string // of pictures that came besides it
	Received time.Time
	Reading  recipe.Breakdown
	Orphaned []recipe.Correction
}

// Masked returns the current version of a dish for blind pages: the text and
// the reading are both of the masked words.
func (db *DB) Masked(ctx context.Context, dish int64) (Recipe, error) {
	return recipeOf(ctx, db.reads, dish, 0, true)
}

// recipeOf loads a version (0: the current one). A masked reading is derived
// anew from the masked text, so that no part of it can hold a name.
func recipeOf(ctx context.Context, q querier, dish int64, version int, masked bool) (Recipe, error) {
	d, err := dishByID(ctx, q, dish)
	if err != nil {
		return Recipe{}, err
	}
	if version == 0 {
		version = d.Version
	}
	x := Recipe{Dish: d, Version: version}
	var text, maskedText, masks, photo, reading string
	var received int64
	var reader int
	err = q.QueryRowContext(ctx, `SELECT v.text, v.masked, v.masks, COALESCE(lower(hex(photo.sha256)), ''), v.received_at, COALESCE(b.reader, 0), COALESCE(b.reading, '')
		FROM dish_version v LEFT JOIN breakdown b ON b.dish_id = v.dish_id AND b.version = v.version LEFT JOIN photo ON photo.id = v.photo_id
		WHERE v.dish_id = ? AND v.version = ?`, dish, version).Scan(&text, &maskedText, &masks, &photo, &received, &reader, &reading)
	if err != nil {
		return x, missing(err, "There is no such version.")
	}
	x.Received, x.Photo, x.Text = moment(received), photo, text
	if x.More, err = picturesOf(ctx, q, dish); err != nil {
		return x, err
	}
	cs, err := corrections(ctx, q, dish, version)
	if err != nil {
		return x, err
	}
	switch {
	case masked && maskedText != text:
		x.Text, x.Reading = maskedText, recipe.Read(maskedText)
		if cs, err = shifted(cs, masks, text, maskedText); err != nil {
			return x, err
		}
	case reader == recipe.Version:
		if err := json.Unmarshal([]byte(reading), &x.Reading); err != nil {
			return x, err
		}
	default:
		x.Reading = recipe.Read(text)
	}
	x.Reading, x.Orphaned = x.Reading.Apply(x.Text, cs)
	return x, nil
}

// shifted moves corrections of a text to where the same words stand in its
// masked form. One that touches a masked name has no place there.
func shifted(cs []recipe.Correction, masks, text, masked string) ([]recipe.Correction, error) {
	var ms []recipe.Place
	if err := json.Unmarshal([]byte(masks), &ms); err != nil || len(ms) == 0 {
		return nil, err
	}
	var out []recipe.Correction
	for _, c := range cs {
		by, touched := 0, false
		for _, m := range ms {
			touched = touched || m.Start < c.At.End && c.At.Start < m.End
			if m.End <= c.At.Start {
				by += markLength(masked[m.Start+by:]) - (m.End - m.Start)
			}
		}
		if !touched {
			c.At = recipe.Place{Start: c.At.Start + by, End: c.At.End + by}
			out = append(out, c)
		}
	}
	return out, nil
}

// markLength is the length of the mark that masked text begins with.
func markLength(masked string) int {
	for _, mark := range []string{recipe.NameMark, recipe.AddressMark, recipe.PhoneMark} {
		if strings.HasPrefix(masked, mark) {
			return len(mark)
		}
	}
	return 0
}

func corrections(ctx context.Context, q querier, dish int64, version int) ([]recipe.Correction, error) {
	scan := func(r *sql.Rows) (c recipe.Correction, err error) {
		return c, r.Scan(&c.At.Start, &c.At.End, &c.Was, &c.Field, &c.Value)
	}
	return rows(ctx, q, scan, `SELECT at_start, at_end, was, field, value FROM correction WHERE dish_id = ? AND version = ? ORDER BY id`, dish, version)
}

// Correct lays corrections over the reading of a dish's current version.
func saveCorrections(ctx context.Context, tx *Tx, dish int64, version int, by challenge.Role, cs []recipe.Correction) error {
	for _, c := range cs {
		_, err := tx.ExecContext(ctx, `INSERT INTO correction (dish_id, version, at_start, at_end, was, field, value, by_role, at)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`, dish, version, c.At.Start, c.At.End, c.Was, c.Field, c.Value, by, millis(tx.now))
		if err != nil {
			return err
		}
	}
	return nil
}
