package store

import (
	"context"
	"database/sql"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
	"fairladle/challenge/shortlist"
)

// A Mark is one reader's opinion of one entry.
type Mark struct {
	Dish   int64
	Reader int64  // participant; 0 is the host
	Mark   string // keep, maybe, out
	Note   string
}

// readerID is the number under which an actor reads and judges: a
// participant's own, or 0 for the host.
func readerID(a challenge.Actor) int64 {
	if a.Role == challenge.Host {
		return 0
	}
	return a.ID
}

// Mark saves a reader's mark; marking again changes it, and an empty mark
// takes it back.
func (db *DB) Mark(ctx context.Context, a challenge.Actor, challengeID, round int64, m Mark) error {
	if err := challenge.May(a, challenge.MarkEntry, challengeID); err != nil {
		return err
	}
	if len(m.Note) > 2000 {
		return challenge.Refuse(challenge.Invalid, "note", "The note is too long: at most %v characters.", 2000)
	}
	return db.write(ctx, func(tx *Tx) error {
		if err := roundUnderWay(ctx, tx, challengeID, round, challenge.Reading, m.Dish); err != nil {
			return err
		}
		if m.Mark == "" {
			_, err := tx.ExecContext(ctx, `DELETE FROM mark WHERE round_id = ? AND dish_id = ? AND reader_id = ?`, round, m.Dish, readerID(a))
			return err
		}
		if _, err := shortlist.ParseMark(m.Mark); err != nil {
			return challenge.Refuse(challenge.Invalid, "mark", "Choose keep, maybe or leave out.")
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO mark (round_id, dish_id, reader_id, mark, note, at) VALUES (?, ?, ?, ?, ?, ?)
			ON CONFLICT (round_id, dish_id, reader_id) DO UPDATE SET mark = excluded.mark, note = excluded.note, at = excluded.at`,
			round, m.Dish, readerID(a), m.Mark, m.Note, millis(tx.now))
		return err
	})
}

// roundUnderWay refuses where the round is not open, is of another kind, or
// the dish is not in it.
func roundUnderWay(ctx context.Context, q querier, challengeID, round int64, k challenge.Kind, dish int64) error {
	_, r, err := challengeAndRound(ctx, q, challengeID, round)
	if err != nil {
		return err
	}
	if r.Kind != k {
		return challenge.NotFound("There is no such round in this challenge.")
	}
	if r.State != challenge.UnderWay {
		return challenge.Refuse(challenge.Shut, "", "“%s” is not open; nothing was changed.", r.Title)
	}
	if dish == 0 {
		return nil
	}
	var in bool
	err = q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM round_in WHERE round_id = ? AND dish_id = ?)`, round, dish).Scan(&in)
	if err == nil && !in {
		err = challenge.NotFound("This recipe is not part of the round.")
	}
	return err
}

// OwnMarks returns a reader's marks in a round by dish.
func (db *DB) OwnMarks(ctx context.Context, a challenge.Actor, challengeID, round int64) (map[int64]Mark, error) {
	if err := challenge.May(a, challenge.MarkEntry, challengeID); err != nil {
		return nil, err
	}
	all, err := rows(ctx, db.reads, scanMark, `SELECT dish_id, reader_id, mark, note FROM mark WHERE round_id = ? AND reader_id = ?`, round, readerID(a))
	own := make(map[int64]Mark, len(all))
	for _, m := range all {
		own[m.Dish] = m
	}
	return own, err
}

func scanMark(r *sql.Rows) (m Mark, err error) {
	return m, r.Scan(&m.Dish, &m.Reader, &m.Mark, &m.Note)
}

// Marks returns all marks of a round, for the host and co-host who cut.
func (db *DB) Marks(ctx context.Context, a challenge.Actor, challengeID, round int64) ([]Mark, error) {
	if err := challenge.May(a, challenge.SeeMarks, challengeID); err != nil {
		return nil, err
	}
	return marksOf(ctx, db.reads, round)
}

func marksOf(ctx context.Context, q querier, round int64) ([]Mark, error) {
	return rows(ctx, q, scanMark, `SELECT dish_id, reader_id, mark, note FROM mark WHERE round_id = ? ORDER BY dish_id, reader_id`, round)
}

// ReaderProgress is how far a reader has come in a round.
type ReaderProgress struct {
	Reader int64
	Name   string
	Done   int
}

// Progress says how many entries of a round each reader has marked.
func (db *DB) Progress(ctx context.Context, a challenge.Actor, challengeID, round int64) ([]ReaderProgress, error) {
	if err := challenge.May(a, challenge.SeeMarks, challengeID); err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (p ReaderProgress, err error) { return p, r.Scan(&p.Reader, &p.Name, &p.Done) }
	return rows(ctx, db.reads, scan, `SELECT mark.reader_id, COALESCE(person.name, ''), count(*) FROM mark
		LEFT JOIN participant ON participant.id = mark.reader_id LEFT JOIN person ON person.id = participant.person_id
		WHERE mark.round_id = ? GROUP BY mark.reader_id ORDER BY mark.reader_id`, round)
}

// Cut is what closing a reading round now would let through: the ranking by
// marks, with what the host chose by hand laid over it.
type Cut struct {
	Lines   []CutLine
	Chosen  int
	Keep    int
	ByHand  int // how many lines the host moved over the line by hand
	Words   []string
	Unread  int
	Readers int
}

// A CutLine is one entry at the cut.
type CutLine struct {
	shortlist.Line
	Dish   Dish
	Chosen bool
	ByHand bool
	Reason string
	Notes  []string
}

// readingRule is the rule of the cut: plain means; who is level at the cut
// comes in, so that no chance decides before the draw.
var readingRule = shortlist.Rule{Kind: shortlist.Plain, AtCut: shortlist.TakeNone}

// Cut says what closing a reading round now would let through.
func (db *DB) Cut(ctx context.Context, a challenge.Actor, challengeID, round int64) (cut Cut, err error) {
	if err := challenge.May(a, challenge.SeeMarks, challengeID); err != nil {
		return cut, err
	}
	err = db.read(ctx, func(q querier) error {
		_, r, err := challengeAndRound(ctx, q, challengeID, round)
		if err != nil {
			return err
		}
		cut, err = cutOf(ctx, q, r)
		return err
	})
	return cut, err
}

func cutOf(ctx context.Context, q querier, r challenge.Round) (Cut, error) {
	in, err := rows(ctx, q, scanDish, dishSelect+`JOIN round_in ON round_in.dish_id = dish.id
		WHERE round_in.round_id = ? AND COALESCE(entry.state, 'in') = 'in' ORDER BY round_in.place`, r.ID)
	if err != nil {
		return Cut{}, err
	}
	marks, err := marksOf(ctx, q, r.ID)
	if err != nil {
		return Cut{}, err
	}
	choices, err := choicesOf(ctx, q, r.ID)
	if err != nil {
		return Cut{}, err
	}
	return newCut(r, in, marks, choices)
}

func newCut(r challenge.Round, in []Dish, marks []Mark, choices []Choice) (Cut, error) {
	ids, dishes := make([]int64, len(in)), map[int64]Dish{}
	for i, d := range in {
		ids[i], dishes[d.ID] = d.ID, d
	}
	readings, notes, readers := make([]shortlist.Reading, len(marks)), map[int64][]string{}, map[int64]bool{}
	for i, m := range marks {
		mark, err := shortlist.ParseMark(m.Mark)
		if err != nil {
			return Cut{}, err
		}
		readings[i] = shortlist.Reading{Entry: m.Dish, Reader: m.Reader, Mark: mark}
		readers[m.Reader] = true
		if m.Note != "" {
			notes[m.Dish] = append(notes[m.Dish], m.Note)
		}
	}
	list, err := shortlist.Cut(readings, ids, r.Params.Keep, readingRule)
	if err != nil {
		return Cut{}, err
	}
	cut := Cut{Keep: r.Params.Keep, Words: list.Words, Readers: len(readers)}
	for _, l := range list.Lines {
		cut.add(CutLine{Line: l, Dish: dishes[l.Entry], Chosen: l.In, Notes: notes[l.Entry]}, choices)
	}
	return cut, nil
}

// add appends a line, as the host decided by hand or else as the marks say.
func (cut *Cut) add(l CutLine, choices []Choice) {
	for _, c := range choices {
		if c.Dish == l.Entry {
			l.ByHand, l.Chosen, l.Reason = c.Chosen != l.In, c.Chosen, c.Reason
		}
	}
	if l.ByHand {
		cut.ByHand++
	}
	if l.Chosen {
		cut.Chosen++
	}
	if l.Readings == 0 {
		cut.Unread++
	}
	cut.Lines = append(cut.Lines, l)
}

// closeReading lets the chosen entries through. The record holds every mark,
// so that the ledger commits to all of them at once.
func closeReading(ctx context.Context, tx *Tx, _ challenge.Challenge, r challenge.Round) ([]byte, []challenge.Placing, error) {
	cut, err := cutOf(ctx, tx, r)
	if err != nil {
		return nil, nil, err
	}
	if cut.Chosen == 0 {
		return nil, nil, challenge.Refuse(challenge.Shut, "", "No recipe is on the shortlist yet. Mark recipes, or choose them by hand, first.")
	}
	marks, err := marksOf(ctx, tx, r.ID)
	if err != nil {
		return nil, nil, err
	}
	document, err := ledger.Canonical(struct {
		Marks []Mark    `json:"marks"`
		Cut   []CutLine `json:"cut"`
	}{marks, cut.Lines})
	if err != nil {
		return nil, nil, err
	}
	var out []challenge.Placing
	for _, through := range []bool{true, false} {
		for _, l := range cut.Lines {
			if l.Chosen == through {
				out = append(out, challenge.Placing{Dish: l.Entry, Rank: len(out) + 1, Through: through, Note: l.Reason})
			}
		}
	}
	return document, out, nil
}
