package store

import (
	"context"
	"database/sql"
	"strings"
	"time"

	"fairladle/challenge"
)

// A Line is one entry in the host's list. It holds no name and no address.
type Line struct {
	Dish        int64
	Number      int
	Title       string
	State       string
	Received    time.Time
	Findings    int
	Ingredients int
	Minutes     int
	Photo       bool
	Mark        string // the asker's own mark in the reading round that is open
}

// FieldQuery is what the list shows: a page of at most Size lines after the
// key (After, AfterNumber) of the last line before it.
type FieldQuery struct {
	Search      string
	Sort        string // number, title, received, minutes, ingredients, findings
	Descending  bool
	AfterKey    string
	AfterNumber int
	Size        int
	Round       int64 // reading round whose marks of Reader are shown; 0 for none
	Reader      int64
}

// A Page is a page of lines and the key the next one starts after.
type Page struct {
	Lines      []Line
	More       bool
	NextKey    string
	NextNumber int
}

// sorts maps what a page may ask for to the expression it sorts by; every one
// is a value that keyset paging can continue after, and has an index. Numbers
// are given out as entries are received.
var sorts = map[string]string{
	"number": "entry.number", "title": "entry.title COLLATE NOCASE", "received": "entry.number",
	"minutes": "entry.minutes", "ingredients": "entry.ingredients", "findings": "entry.findings",
}

// Field lists the entries of a challenge.
func (db *DB) Field(ctx context.Context, a challenge.Actor, challengeID int64, f FieldQuery) (Page, error) {
	if err := challenge.May(a, challenge.SeeField, challengeID); err != nil {
		return Page{}, err
	}
	query, args := f.sql(challengeID)
	scan := func(r *sql.Rows) (l keyedLine, err error) {
		var received int64
		err = r.Scan(&l.Dish, &l.Number, &l.Title, &l.State, &received, &l.Findings, &l.Ingredients, &l.Minutes, &l.Photo, &l.Mark, &l.key)
		l.Received = moment(received)
		return l, err
	}
	ls, err := rows(ctx, db.reads, scan, query, args...)
	return pageOf(ls, f.size()), err
}

type keyedLine struct {
	Line
	key string
}

func pageOf(ls []keyedLine, size int) Page {
	var p Page
	for _, l := range ls {
		if len(p.Lines) == size {
			p.More = true
			break
		}
		p.Lines = append(p.Lines, l.Line)
		p.NextKey, p.NextNumber = l.key, l.Number
	}
	return p
}

func (f FieldQuery) size() int { return min(max(f.Size, 1), 200) }

func (f FieldQuery) sql(challengeID int64) (string, []any) {
	sort, ok := sorts[f.Sort]
	if !ok {
		sort = sorts["number"]
	}
	than, direction := ">", "ASC"
	if f.Descending {
		than, direction = "<", "DESC"
	}
	q := `SELECT dish.id, entry.number, dish.title, entry.state, dish.created_at, entry.findings, entry.ingredients, entry.minutes,
		v.photo_id IS NOT NULL, COALESCE(mark.mark, ''), CAST(` + sort + ` AS TEXT)
		FROM entry JOIN dish ON dish.id = entry.dish_id
		JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version
		LEFT JOIN mark ON mark.round_id = ? AND mark.dish_id = dish.id AND mark.reader_id = ?
		WHERE entry.challenge_id = ?`
	args := []any{f.Round, f.Reader, challengeID}
	if match := searchTerms(f.Search); match != "" {
		q += ` AND dish.id IN (SELECT rowid FROM dish_search WHERE dish_search MATCH ?)`
		args = append(args, match)
	}
	if f.AfterNumber > 0 {
		key := "?"
		if f.Sort != "title" {
			key = "CAST(? AS INTEGER)"
		}
		q += ` AND (` + sort + `, entry.number) ` + than + ` (` + key + `, ?)`
		args = append(args, f.AfterKey, f.AfterNumber)
	}
	q += ` ORDER BY ` + sort + ` ` + direction + `, entry.number ` + direction + ` LIMIT ?`
	return q, append(args, f.size()+1)
}

// searchTerms makes what a person typed into a full-text query: every word
// must occur, the last may be the beginning of one. Nothing typed is syntax.
func searchTerms(typed string) string {
	var terms []string
	for _, w := range strings.Fields(typed) {
		if len(terms) == 12 {
			break
		}
		terms = append(terms, `"`+strings.ReplaceAll(w, `"`, `""`)+`"`)
	}
	if len(terms) == 0 {
		return ""
	}
	return strings.Join(terms, " ") + "*"
}

// A Sender is who stands behind an entry.
type Sender struct {
	Name, Email, Credit, Spoken string
	Origin                      challenge.Origin
	OriginNote                  string
	Consents                    challenge.Consents
}

// Sender says who sent an entry, to a host, and keeps that it was asked.
func (db *DB) Sender(ctx context.Context, a challenge.Actor, challengeID, dish int64) (s Sender, err error) {
	if err := challenge.May(a, challenge.SeeAddress, challengeID); err != nil {
		return s, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		o, err := ownEntry(ctx, tx, dish)
		if err != nil {
			return err
		}
		if o.Challenge.ID != challengeID {
			return challenge.NotFound(noEntry)
		}
		s = Sender{o.Name, o.Email, o.Credit, o.Spoken, o.Origin, o.OriginNote, o.Consents}
		_, err = tx.ExecContext(ctx, `INSERT INTO address_look (host_id, person_id, at)
			SELECT ?, person_id, ? FROM entrant WHERE dish_id = ?`, a.ID, millis(tx.now), dish)
		return err
	})
	return s, err
}

// EntryByNumber finds the dish of an entry by its public number.
func (db *DB) EntryByNumber(ctx context.Context, challengeID int64, number int) (int64, error) {
	var dish int64
	err := db.reads.QueryRowContext(ctx, `SELECT dish_id FROM entry WHERE challenge_id = ? AND number = ?`, challengeID, number).Scan(&dish)
	return dish, missing(err, noEntry)
}
