package store

import (
	"context"
	"database/sql"
	"encoding/json"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
)

// A Mark is one reader's opinion of one entry.
type Mark struct {
	Dish    int64
	Reader  int64  // participant; 0 is the host
	Mark    string // keep, maybe, out
	Note    string
	Answers []int `json:",omitempty"` // to the round's criteria, in their order; the mark follows from them
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
		if err := inShare(ctx, tx, a, challengeID, round, m.Dish); err != nil {
			return err
		}
		if err := byCriteria(ctx, tx, challengeID, round, &m); err != nil {
			return err
		}
		if m.Mark == "" {
			_, err := tx.ExecContext(ctx, `DELETE FROM mark WHERE round_id = ? AND dish_id = ? AND reader_id = ?`, round, m.Dish, readerID(a))
			return err
		}
		if _, err := shortlist.ParseMark(m.Mark); err != nil {
			return challenge.Refuse(challenge.Invalid, "mark", "Choose keep, maybe or leave out.")
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO mark (round_id, dish_id, reader_id, mark, note, answers, at) VALUES (?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (round_id, dish_id, reader_id) DO UPDATE SET mark = excluded.mark, note = excluded.note, answers = excluded.answers, at = excluded.at`,
			round, m.Dish, readerID(a), m.Mark, m.Note, answersText(m.Answers), millis(tx.now))
		if err != nil {
			return err
		}
		return bringBack(ctx, tx, round, readerID(a))
	})
}

// byCriteria makes the mark of the answers where the round has criteria; a
// mark that is taken back needs none.
func byCriteria(ctx context.Context, q querier, challengeID, round int64, m *Mark) error {
	_, r, err := challengeAndRound(ctx, q, challengeID, round)
	if err != nil {
		return err
	}
	rule := r.Params.CutRule()
	if len(rule.Criteria) == 0 {
		m.Answers = nil
		return nil
	}
	if m.Mark == "" && len(m.Answers) == 0 {
		return nil
	}
	mark, _, err := rule.Score(m.Answers)
	if err != nil {
		return challenge.Refuse(challenge.Invalid, "answers", "Answer each of the questions; your other answers are kept below.")
	}
	m.Mark = mark.String()
	return nil
}

func answersText(answers []int) string {
	if len(answers) == 0 {
		return ""
	}
	return jsonText(answers)
}

func readAnswers(text string, answers *[]int) error {
	if text == "" {
		return nil
	}
	return json.Unmarshal([]byte(text), answers)
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

func scanMark(r *sql.Rows) (m Mark, err error) {
	var answers string
	if err := r.Scan(&m.Dish, &m.Reader, &m.Mark, &m.Note, &answers); err != nil {
		return m, err
	}
	return m, readAnswers(answers, &m.Answers)
}

// Marks returns all marks of a round, for the host and co-host who cut.
func (db *DB) Marks(ctx context.Context, a challenge.Actor, challengeID, round int64) ([]Mark, error) {
	if err := challenge.May(a, challenge.SeeMarks, challengeID); err != nil {
		return nil, err
	}
	return marksOf(ctx, db.reads, round)
}

func marksOf(ctx context.Context, q querier, round int64) ([]Mark, error) {
	return rows(ctx, q, scanMark, `SELECT dish_id, reader_id, mark, note, answers FROM mark WHERE round_id = ? ORDER BY dish_id, reader_id`, round)
}
