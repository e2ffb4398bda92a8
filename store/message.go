package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// The kinds of messages. Each has a subject and a body in the catalogue.
type messageKind string

const (
	messageSlip   messageKind = "entry-received"
	messageLink   messageKind = "link-again"
	messageCohost messageKind = "invite-cohost"
	messageReader messageKind = "invite-reader"
	messageJudge  messageKind = "invite-judge"

	messageImported messageKind = "entry-imported"
	messageVoter    messageKind = "invite-voter"

	messageQuestion messageKind = "question"
	messageNews     messageKind = "entry-news"
	messagePickDue  messageKind = "pick-reminder"
	messageStandIn  messageKind = "pick-stand-in"
	messageMine     messageKind = "own-entries"

	messageRemindReader messageKind = "reminder-reader"
	messageRemindJudge  messageKind = "reminder-judge"
	messagePrize        messageKind = "prize-offer"
)

func invitation(r challenge.Role) messageKind {
	return map[challenge.Role]messageKind{challenge.Cohost: messageCohost, challenge.Reader: messageReader, challenge.Judge: messageJudge}[r]
}

// addMessage leaves a message in the outbox. Its words are made when it is
// sent or shown; the token in it is the only copy, and goes when it is sent.
func addMessage(ctx context.Context, tx *Tx, c challenge.Challenge, person int64, k messageKind, token string) error {
	return addEntryMessage(ctx, tx, c.ID, person, 0, k, token)
}

// addEntryMessage is addMessage for a message about one entry.
func addEntryMessage(ctx context.Context, tx *Tx, challengeID, person, dish int64, k messageKind, token string) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO message (challenge_id, person_id, dish_id, kind, token, created_at) VALUES (?, ?, ?, ?, ?, ?)`,
		challengeID, person, dish, k, token, millis(tx.now))
	return err
}

// againAfter is how soon a link is sent again: asking more often sends nothing,
// so that nobody's mailbox can be flooded through the form.
const againAfter = 10 * time.Minute

// A Message is mail that waits to be sent.
type Message struct {
	ID        int64
	Kind      string
	Challenge string // title
	Slug      string
	Language  string // the challenge's; empty for the community's
	Number    int    // of the entry it is about, 0 for none
	Title     string // of that entry
	Token     string
	Stop      string // the token that stops mailings, for those that can be stopped
	To, Name  string
	Own       challenge.Letter // the host's words, if any
	CreatedAt time.Time
	Tries     int
	// Blind says that the message is about an entry as the host knows it: it
	// goes out by the mail server or not at all, because its address would tell
	// the host who is behind the number. What it says stands on the private page.
	Blind   bool
	Failure string // why the last try failed
}

// Waiting lists the outbox, oldest first.
func (db *DB) Waiting(ctx context.Context, limit int) ([]Message, error) {
	return messages(ctx, db.reads, `message.state = 'waiting' ORDER BY message.id LIMIT ?`, limit)
}

func messages(ctx context.Context, q querier, which string, args ...any) ([]Message, error) {
	key, err := stopKey(ctx, q)
	if err != nil {
		return nil, err
	}
	scan := func(r *sql.Rows) (m Message, err error) {
		var at, person int64
		err = r.Scan(&m.ID, &m.Kind, &m.Challenge, &m.Slug, &m.Language, &m.Number, &m.Title, &m.Token, &m.To, &m.Name,
			&m.Own.Subject, &m.Own.Body, &at, &m.Tries, &m.Failure, &person)
		m.CreatedAt = moment(at)
		m.Blind = messageKind(m.Kind) == messageQuestion || messageKind(m.Kind) == messageNews
		if stoppable(messageKind(m.Kind)) {
			m.Stop = stopToken(key, person)
		}
		return m, err
	}
	return rows(ctx, q, scan, `SELECT message.id, message.kind, COALESCE(challenge.title, ''), COALESCE(challenge.slug, ''), COALESCE(challenge.language, ''),
		COALESCE(entry.number, 0), COALESCE(dish.title, ''), message.token, address.email, COALESCE(entrant.name, person.name),
		COALESCE(letter.subject, ''), COALESCE(letter.body, ''), message.created_at, message.tries, message.failure, message.person_id
		FROM message JOIN person ON person.id = message.person_id JOIN address ON address.person_id = person.id
		LEFT JOIN challenge ON challenge.id = message.challenge_id LEFT JOIN entry ON entry.dish_id = message.dish_id
		LEFT JOIN dish ON dish.id = message.dish_id LEFT JOIN entrant ON entrant.dish_id = message.dish_id
		LEFT JOIN letter ON letter.challenge_id = message.challenge_id AND letter.kind = message.kind WHERE `+which, args...)
}

// stoppable are messages to many, which nobody asked for one by one.
func stoppable(k messageKind) bool {
	switch k {
	case messageVoter, messageRemindReader, messageRemindJudge, messageKind(challenge.Shortlisted), messageKind(challenge.NotThisTime),
		messageKind(challenge.WasDrawn), messageKind(challenge.ResultIsOut):
		return true
	}
	return false
}

// ByHand returns a waiting message for a host who sends it by hand. A look at
// who is behind an entry is logged; a Blind message is refused.
func (db *DB) ByHand(ctx context.Context, a challenge.Actor, id int64) (m Message, err error) {
	if err := challenge.May(a, challenge.SeeAddress, 0); err != nil {
		return m, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		found, err := messages(ctx, tx, `message.state = 'waiting' AND message.id = ?`, id)
		switch {
		case err != nil:
			return err
		case len(found) == 0:
			return challenge.NotFound("This message is not waiting any more.")
		case found[0].Blind:
			return challenge.Refuse(challenge.Shut, "", "This message would tell you who is behind the number. It goes out when a mail server is set up; until then it stands on the entrant's private page.")
		}
		m = found[0]
		_, err = tx.ExecContext(ctx, `INSERT INTO address_look (host_id, person_id, at) SELECT ?, person_id, ? FROM message WHERE id = ? AND dish_id > 0`,
			a.ID, millis(tx.now), id)
		return err
	})
	return m, err
}

// CountByHand says how many messages [DB.AllByHand] would list, and the newest
// of them.
func (db *DB) CountByHand(ctx context.Context, limit int) (n int, last int64, err error) {
	err = db.reads.QueryRowContext(ctx, `SELECT count(*), COALESCE(max(id), 0) FROM (SELECT id, kind FROM message WHERE state = 'waiting' ORDER BY id LIMIT ?)
		WHERE kind NOT IN (?, ?)`, limit, messageQuestion, messageNews).Scan(&n, &last)
	return n, last, err
}

// AllByHand are the waiting messages that a host may send by hand, oldest
// first, with a look at an address noted for each entrant among them.
func (db *DB) AllByHand(ctx context.Context, a challenge.Actor, limit int) (list []Message, err error) {
	if err := challenge.May(a, challenge.SeeAddress, 0); err != nil {
		return nil, err
	}
	err = db.write(ctx, func(tx *Tx) error {
		all, err := messages(ctx, tx, `message.state = 'waiting' ORDER BY message.id LIMIT ?`, limit)
		if err != nil {
			return err
		}
		var ids []int64
		for _, m := range all {
			if !m.Blind {
				list, ids = append(list, m), append(ids, m.ID)
			}
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO address_look (host_id, person_id, at) SELECT ?, person_id, ? FROM message
			WHERE id IN (SELECT value FROM json_each(?)) AND dish_id > 0`, a.ID, millis(tx.now), jsonText(ids))
		return err
	})
	return list, err
}

// Sent marks a message as sent and forgets the token in it.
func (db *DB) Sent(ctx context.Context, id int64) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE message SET state = 'sent', token = '', sent_at = ? WHERE id = ? AND state = 'waiting'`, millis(tx.now), id)
		return err
	})
}

// maxMailTries is how often a message is tried before it rests as failed: with
// doubled waits that is about a day.
const maxMailTries = 11

// NotSent counts a failed try and puts the next one off, each time for twice
// as long. why says what failed, without the address; for good rests the
// message at once, where trying again can change nothing.
func (db *DB) NotSent(ctx context.Context, id int64, why string, forGood bool) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE message SET tries = tries + 1, next_at = ? + (60000 << tries), failure = ?,
			state = CASE WHEN ? OR tries + 1 >= ? THEN 'failed' ELSE state END WHERE id = ? AND state = 'waiting'`, millis(tx.now), why, forGood, maxMailTries, id)
		return err
	})
}

// Undelivered lists messages that were given up.
func (db *DB) Undelivered(ctx context.Context, limit int) ([]Message, error) {
	return messages(ctx, db.reads, `message.state = 'failed' ORDER BY message.id LIMIT ?`, limit)
}

// TryAgain puts a message that was given up back into the outbox.
func (db *DB) TryAgain(ctx context.Context, id int64) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE message SET state = 'waiting', tries = 0, next_at = 0, failure = '' WHERE id = ? AND state = 'failed'`, id)
		return err
	})
}

// SentUpTo marks as sent what was in the outbox up to a message: the host has
// sent them by other means.
func (db *DB) SentUpTo(ctx context.Context, last int64) error {
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE message SET state = 'sent', token = '', sent_at = ? WHERE id <= ? AND state = 'waiting'
			AND kind NOT IN (?, ?)`, millis(tx.now), last, messageQuestion, messageNews)
		return err
	})
}

// Due lists waiting messages whose next try has come.
func (db *DB) Due(ctx context.Context, limit int) ([]Message, error) {
	return messages(ctx, db.reads, `message.state = 'waiting' AND message.next_at <= ? ORDER BY message.id LIMIT ?`, millis(db.now()), limit)
}

// MailReceived leaves a message that tells an entrant, once, that the entry
// behind a token was received, with its private link.
func (db *DB) MailReceived(ctx context.Context, token string) error {
	return db.write(ctx, func(tx *Tx) error {
		link, err := followLink(ctx, tx, ForEntrant, token, tx.now)
		if err != nil {
			return err
		}
		var person int64
		if err := tx.QueryRowContext(ctx, `SELECT person_id FROM entrant WHERE dish_id = ?`, link.Subject).Scan(&person); err != nil {
			return missing(err, noEntry)
		}
		var told bool
		if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM message WHERE person_id = ? AND challenge_id = ? AND kind = ? AND dish_id = ?)`,
			person, link.Challenge, messageSlip, link.Subject).Scan(&told); err != nil || told {
			return err
		}
		return addEntryMessage(ctx, tx, link.Challenge, person, link.Subject, messageSlip, token)
	})
}

// AskLinkAgain notes that somebody wants the private links of what an address
// sent to a challenge. What it does, and how long it takes, does not depend on
// whether the address is known; [DB.RunJobs] does the rest a moment later.
func (db *DB) AskLinkAgain(ctx context.Context, challengeID int64, email string) error {
	key, err := challenge.AddressKey(email)
	if err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO link_wish (challenge_id, email_key) VALUES (?, ?)`, challengeID, key)
		return err
	})
}

// grantWishes leaves a message with a fresh private link for each entry whose
// link was asked for.
func (db *DB) grantWishes(ctx context.Context) error {
	var any bool
	if err := db.reads.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM link_wish)`).Scan(&any); err != nil || !any {
		return err
	}
	type own struct{ challenge, dish, person int64 }
	scan := func(r *sql.Rows) (o own, err error) { return o, r.Scan(&o.challenge, &o.dish, &o.person) }
	return db.write(ctx, func(tx *Tx) error {
		owned, err := rows(ctx, tx, scan, `SELECT entry.challenge_id, entry.dish_id, entrant.person_id FROM link_wish
			CROSS JOIN address ON address.email_key = link_wish.email_key CROSS JOIN entrant ON entrant.person_id = address.person_id
			CROSS JOIN entry ON entry.dish_id = entrant.dish_id AND entry.challenge_id = link_wish.challenge_id WHERE NOT EXISTS
			(SELECT 1 FROM message m WHERE m.person_id = entrant.person_id AND m.dish_id = entry.dish_id AND m.kind = ? AND m.created_at > ?)
			ORDER BY entry.dish_id LIMIT 1000`, messageLink, millis(tx.now.Add(-againAfter)))
		if err != nil {
			return err
		}
		for _, o := range owned {
			token, err := newLink(ctx, tx, ForEntrant, o.challenge, o.dish, 0)
			if err != nil {
				return err
			}
			if err := addEntryMessage(ctx, tx, o.challenge, o.person, o.dish, messageLink, token); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, `DELETE FROM link_wish`)
		return err
	})
}
