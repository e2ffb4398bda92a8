package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"path"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/intake"
	"fairladle/challenge/likeness"
	"fairladle/challenge/recipe"
)

// mask hides a sender's name in what the preview shows.
func (i *ImportItem) mask(name string) {
	names := []string{name}
	i.Title, _ = recipe.Mask(i.Title, names)
	i.Text, _ = recipe.Mask(i.Text, names)
	i.Place, _ = recipe.Mask(i.Place, names)
	if i.Title == "" {
		i.Title = path.Base(i.Place[strings.LastIndexByte(i.Place, ':')+1:])
	}
}

// mostCompared bounds how many entries an import is compared with: the newest.
const mostCompared = 5000

// smallestSet is how many features a recipe needs to be compared.
const smallestSet = 8

// ReadyImport ends the reading of a file: what is much like an entry, or like
// something earlier in the file, is marked, and so is what goes beyond the
// number of entries one person may send.
func (db *DB) ReadyImport(ctx context.Context, a challenge.Actor, challengeID, id int64) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	marks, err := db.compareImport(ctx, challengeID, id)
	if err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		for _, m := range marks {
			if _, err := tx.ExecContext(ctx, `UPDATE import_item SET verdict = ?, reasons = ?, copies = ? WHERE import_id = ? AND seq = ? AND state = 'found'`,
				m.verdict, jsonText(m.reasons), jsonText(m.copies), id, m.seq); err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, `UPDATE import SET state = 'ready' WHERE id = ? AND challenge_id = ? AND state = 'reading'`, id, challengeID)
		return err
	})
}

// A compared text and where it stands.
type compared struct {
	at      Likeness // Like is not set
	seq     int
	text    string
	email   string
	verdict intake.Verdict
	reasons []intake.Reason
	copies  []Likeness
}

func (db *DB) compareImport(ctx context.Context, challengeID, id int64) (marks []compared, err error) {
	var before, items []compared
	sent := map[string]int{}
	var most int
	err = db.read(ctx, func(q querier) error {
		c, err := challengeByID(ctx, q, challengeID)
		if err != nil {
			return err
		}
		most = c.EntriesPerPerson
		before, err = rows(ctx, q, func(r *sql.Rows) (x compared, err error) { return x, r.Scan(&x.at.Entry, &x.text) },
			`SELECT entry.number, v.text FROM entry JOIN dish ON dish.id = entry.dish_id JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version
			WHERE entry.challenge_id = ? AND entry.state = 'in' ORDER BY entry.number DESC LIMIT ?`, challengeID, mostCompared)
		if err != nil {
			return err
		}
		if sent, err = sentByAddress(ctx, q, challengeID); err != nil {
			return err
		}
		items, err = rows(ctx, q, scanCompared, `SELECT seq, text, email, verdict, reasons FROM import_item
			WHERE import_id = ? AND verdict <> 'skipped' ORDER BY seq`, id)
		return err
	})
	if err != nil {
		return nil, err
	}
	var index likeness.Index
	var known []Likeness
	for _, x := range before {
		if set := likeness.Of(recipe.Read(x.text)); len(set) >= smallestSet {
			index.Add(likeness.Sign(set))
			known = append(known, x.at)
		}
	}
	for _, x := range items {
		if set := likeness.Of(recipe.Read(x.text)); len(set) >= smallestSet {
			sign := likeness.Sign(set)
			x.alike(index.Find(sign), known)
			index.Add(sign)
			known = append(known, x.at)
		}
		x.overLimit(sent, most)
		marks = append(marks, x)
	}
	return marks, nil
}

func scanCompared(r *sql.Rows) (x compared, err error) {
	var reasons string
	if err := r.Scan(&x.seq, &x.text, &x.email, &x.verdict, &reasons); err != nil {
		return x, err
	}
	x.at.Item = x.seq
	return x, json.Unmarshal([]byte(reasons), &x.reasons)
}

// alike keeps the three nearest; a copy is for the host to look at.
func (x *compared) alike(found []likeness.Match, known []Likeness) {
	for _, m := range found[:min(len(found), 3)] {
		l := known[m.Number]
		l.Like = m.Like
		x.copies = append(x.copies, l)
	}
	if len(x.copies) > 0 {
		x.verdict = intake.Doubtful
		x.reasons = append(x.reasons, intake.Copy)
	}
}

func (x *compared) overLimit(sent map[string]int, most int) {
	key, err := challenge.AddressKey(x.email)
	if err != nil || x.verdict != intake.Entry {
		return
	}
	if sent[key]++; sent[key] > most {
		x.verdict = intake.Doubtful
		x.reasons = append(x.reasons, intake.OverLimit)
	}
}

// sentByAddress counts the entries of each address in a challenge.
func sentByAddress(ctx context.Context, q querier, challengeID int64) (map[string]int, error) {
	type count struct {
		key string
		n   int
	}
	all, err := rows(ctx, q, func(r *sql.Rows) (c count, err error) { return c, r.Scan(&c.key, &c.n) },
		`SELECT address.email_key, count(*) FROM entry JOIN entrant ON entrant.dish_id = entry.dish_id
		JOIN address ON address.person_id = entrant.person_id WHERE entry.challenge_id = ? AND entry.state = 'in' GROUP BY 1`, challengeID)
	sent := map[string]int{}
	for _, c := range all {
		sent[c.key] = c.n
	}
	return sent, err
}
