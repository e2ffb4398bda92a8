package store

import (
	"context"
	"database/sql"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
)

// A Question is what a host asked the author of an entry, without knowing who
// that is. Answer is masked unless the author asks for it.
type Question struct {
	ID         int64
	Number     int // of the entry
	Text       string
	Answer     string
	AskedAt    time.Time
	AnsweredAt time.Time
}

// mostQuestions bounds what one entry can be asked.
const mostQuestions = 20

// Ask puts a question to the author of an entry: it stands on the private page
// at once, and a message with the link waits in the outbox.
func (db *DB) Ask(ctx context.Context, a challenge.Actor, challengeID, dish int64, text string) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	if text = strings.TrimSpace(text); text == "" || len(text) > maxReason {
		return challenge.Refuse(challenge.Invalid, "question", "Write your question: one to %v characters.", maxReason)
	}
	return db.write(ctx, func(tx *Tx) error {
		if _, err := entryInChallenge(ctx, tx, challengeID, dish); err != nil {
			return err
		}
		var asked int
		if err := tx.QueryRowContext(ctx, `SELECT count(*) FROM question WHERE dish_id = ?`, dish).Scan(&asked); err != nil {
			return err
		}
		if asked >= mostQuestions {
			return challenge.Refuse(challenge.Invalid, "question", "This entry has been asked %v questions; that is the most there can be.", mostQuestions)
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO question (dish_id, text, asked_at) VALUES (?, ?, ?)`, dish, text, millis(tx.now)); err != nil {
			return err
		}
		return tellEntrant(ctx, tx, challengeID, dish, messageQuestion)
	})
}

// Answer keeps an entrant's answer; answering again replaces it until the
// challenge has ended. Blind pages show it with names masked.
func (db *DB) Answer(ctx context.Context, a challenge.Actor, question int64, text string) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	if text = challenge.KeptText(strings.TrimSpace(text)); text == "" || len(text) > 2*maxReason {
		return challenge.Refuse(challenge.Invalid, "answer", "Write your answer: one to %v characters.", 2*maxReason)
	}
	o, err := db.OwnEntry(ctx, a)
	if err != nil {
		return err
	}
	masked, _ := recipe.Mask(text, []string{o.Name, o.Spoken, o.Credit, o.Email})
	return db.write(ctx, func(tx *Tx) error {
		res, err := tx.ExecContext(ctx, `UPDATE question SET answer = ?, masked = ?, answered_at = ? WHERE id = ? AND dish_id = ?`,
			text, masked, millis(tx.now), question, a.ID)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return challenge.NotFound("There is no such question.")
		}
		return nil
	})
}

func scanQuestion(r *sql.Rows) (q Question, err error) {
	var asked, answered int64
	err = r.Scan(&q.ID, &q.Number, &q.Text, &q.Answer, &asked, &answered)
	q.AskedAt, q.AnsweredAt = moment(asked), moment(answered)
	return q, err
}

// Questions lists what an entry was asked, with masked answers, for pages that
// are read blind.
func (db *DB) Questions(ctx context.Context, a challenge.Actor, challengeID, dish int64) ([]Question, error) {
	if err := challenge.May(a, challenge.ReadBlind, challengeID); err != nil {
		return nil, err
	}
	return rows(ctx, db.reads, scanQuestion, `SELECT question.id, entry.number, question.text, question.masked, asked_at, answered_at
		FROM question JOIN entry ON entry.dish_id = question.dish_id WHERE question.dish_id = ? AND entry.challenge_id = ? ORDER BY question.id`, dish, challengeID)
}

// AllQuestions lists the questions of a challenge, the unanswered first.
func (db *DB) AllQuestions(ctx context.Context, a challenge.Actor, challengeID int64) ([]Question, error) {
	if err := challenge.May(a, challenge.SeeField, challengeID); err != nil {
		return nil, err
	}
	return rows(ctx, db.reads, scanQuestion, `SELECT question.id, entry.number, question.text, question.masked, asked_at, answered_at
		FROM question CROSS JOIN entry ON entry.dish_id = question.dish_id WHERE entry.challenge_id = ? ORDER BY answered_at > 0, question.id DESC LIMIT 500`, challengeID)
}

// OwnQuestions lists what an entrant was asked, with the answers as written.
func (db *DB) OwnQuestions(ctx context.Context, a challenge.Actor) ([]Question, error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return nil, err
	}
	return rows(ctx, db.reads, scanQuestion, `SELECT question.id, entry.number, question.text, question.answer, asked_at, answered_at
		FROM question JOIN entry ON entry.dish_id = question.dish_id WHERE question.dish_id = ? ORDER BY question.id`, a.ID)
}
