package store

import (
	"cmp"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"path"
	"slices"
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

// mostCompared bounds how many entries that no job has signed yet an import is
// compared with.
const mostCompared = 1000

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

// compareImport looks every item up in the index of the challenge's entries,
// and among the items before it.
func (db *DB) compareImport(ctx context.Context, challengeID, id int64) (marks []compared, err error) {
	err = db.read(ctx, func(q querier) error {
		c, err := challengeByID(ctx, q, challengeID)
		if err != nil {
			return err
		}
		beside, err := unsigned(ctx, q, challengeID)
		if err != nil {
			return err
		}
		sent, err := sentByAddress(ctx, q, challengeID)
		if err != nil {
			return err
		}
		marks, err = rows(ctx, q, scanCompared, `SELECT seq, text, email, verdict, reasons FROM import_item
			WHERE import_id = ? AND verdict <> 'skipped' ORDER BY seq`, id)
		if err != nil {
			return err
		}
		for i := range marks {
			x := &marks[i]
			if set := likeness.Of(recipe.Read(x.text)); len(set) >= smallestSet {
				sign := likeness.Sign(set)
				found, err := entriesAlike(ctx, q, challengeID, sign)
				if err != nil {
					return err
				}
				x.alike(append(found, beside.find(sign)...))
				beside.add(sign, x.at)
			}
			x.overLimit(sent, c.EntriesPerPerson)
		}
		return nil
	})
	return marks, err
}

// entriesAlike looks a signature up among the entries that take part.
func entriesAlike(ctx context.Context, q querier, challengeID int64, sign likeness.Signature) (found []Likeness, err error) {
	all, err := lookUpAlike(ctx, q, challengeID, sign)
	if err != nil {
		return nil, err
	}
	for _, x := range all {
		l := Likeness{Like: x.like}
		err := q.QueryRowContext(ctx, `SELECT number FROM entry WHERE dish_id = ? AND state = 'in'`, x.dish).Scan(&l.Entry)
		if errors.Is(err, sql.ErrNoRows) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if found = append(found, l); len(found) == mostLikened {
			break
		}
	}
	return found, nil
}

// mostLikened is how many likenesses of one item are kept.
const mostLikened = 3

// A heap of what the index does not hold: entries whose job has not run, and the
// items of the import itself.
type heap struct {
	index likeness.Index
	known []Likeness
}

func (h *heap) add(sign likeness.Signature, at Likeness) {
	h.index.Add(sign)
	h.known = append(h.known, at)
}

func (h *heap) find(sign likeness.Signature) (out []Likeness) {
	for _, m := range h.index.Find(sign) {
		l := h.known[m.Number]
		l.Like = m.Like
		out = append(out, l)
	}
	return out
}

// unsigned are the entries that no job has signed yet.
func unsigned(ctx context.Context, q querier, challengeID int64) (*heap, error) {
	before, err := rows(ctx, q, func(r *sql.Rows) (x compared, err error) { return x, r.Scan(&x.at.Entry, &x.text) },
		`SELECT DISTINCT entry.number, v.text FROM job CROSS JOIN entry ON entry.dish_id = job.subject_id JOIN dish ON dish.id = entry.dish_id
		JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version
		WHERE job.state = 'waiting' AND job.kind = 'index' AND entry.challenge_id = ? AND entry.state = 'in' ORDER BY entry.number DESC LIMIT ?`, challengeID, mostCompared)
	h := &heap{}
	for _, x := range before {
		if set := likeness.Of(recipe.Read(x.text)); len(set) >= smallestSet {
			h.add(likeness.Sign(set), x.at)
		}
	}
	return h, err
}

func scanCompared(r *sql.Rows) (x compared, err error) {
	var reasons string
	if err := r.Scan(&x.seq, &x.text, &x.email, &x.verdict, &reasons); err != nil {
		return x, err
	}
	x.at.Item = x.seq
	return x, json.Unmarshal([]byte(reasons), &x.reasons)
}

// alike keeps the nearest; a copy is for the host to look at.
func (x *compared) alike(found []Likeness) {
	seen := map[Likeness]bool{}
	for _, l := range found {
		at := Likeness{Entry: l.Entry, Item: l.Item}
		if !seen[at] {
			seen[at] = true
			x.copies = append(x.copies, l)
		}
	}
	slices.SortStableFunc(x.copies, func(a, b Likeness) int { return cmp.Compare(b.Like, a.Like) })
	x.copies = x.copies[:min(len(x.copies), mostLikened)]
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
