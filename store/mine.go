package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// AskOwnEntries notes that somebody wants the page of all entries that came
// from an address. It takes the same time whether there are any; [DB.RunJobs]
// sends the link a moment later.
func (db *DB) AskOwnEntries(ctx context.Context, email string) error {
	key, err := challenge.AddressKey(email)
	if err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO own_wish (email_key) VALUES (?)`, key)
		return err
	})
}

// AskOwnEntriesFrom is the same for the address behind an entry. It goes by
// mail, since an entry's link may have been passed on to somebody who must not
// see the others.
func (db *DB) AskOwnEntriesFrom(ctx context.Context, a challenge.Actor) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		_, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO own_wish (email_key) SELECT email_key FROM entrant
			JOIN address ON address.person_id = entrant.person_id WHERE entrant.dish_id = ?`, a.ID)
		return err
	})
}

// grantOwnWishes leaves a message with a private link for each address that was
// asked for and has sent something.
func (db *DB) grantOwnWishes(ctx context.Context) error {
	var any bool
	if err := db.reads.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM own_wish)`).Scan(&any); err != nil || !any {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		people, err := rows(ctx, tx, scanID, `SELECT min(address.person_id) FROM own_wish CROSS JOIN address ON address.email_key = own_wish.email_key
			CROSS JOIN entrant ON entrant.person_id = address.person_id WHERE NOT EXISTS (SELECT 1 FROM message m JOIN address asked ON asked.person_id = m.person_id
				WHERE asked.email_key = own_wish.email_key AND m.kind = ? AND m.created_at > ?)
			GROUP BY own_wish.email_key ORDER BY 1 LIMIT 1000`, messageMine, millis(tx.now.Add(-againAfter)))
		if err != nil {
			return err
		}
		for _, person := range people {
			token, err := newLink(ctx, tx, ForPerson, 0, person, ownLinkLife)
			if err != nil {
				return err
			}
			if err := addEntryMessage(ctx, tx, 0, person, 0, messageMine, token); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, `DELETE FROM own_wish`)
		return err
	})
}

// ownLinkLife is how long the link to somebody's entries works; another is a
// message away.
const ownLinkLife = 400 * 24 * time.Hour

// An OwnLine is one entry on the page of everything that came from an address.
type OwnLine struct {
	Dish      int64
	Challenge challenge.Challenge
	Number    int
	Title     string
	State     string // in, withdrawn or barred
	Place     int    // in the final result, where that is public
	Finalist  bool   // as far as that is public
	Drawn     bool
	Recipe    bool // everyone can read it
}

const ownSelect = `SELECT entry.dish_id, entry.challenge_id, entry.number, dish.title, entry.state FROM address
	JOIN address same ON same.email_key = address.email_key JOIN entrant ON entrant.person_id = same.person_id
	JOIN entry ON entry.dish_id = entrant.dish_id JOIN dish ON dish.id = entry.dish_id
	WHERE address.person_id = ? ORDER BY entry.challenge_id DESC, entry.number`

// OwnEntries lists what came from the address behind a private link, in every
// challenge, the newest first. It tells of outcomes what everyone can see.
func (db *DB) OwnEntries(ctx context.Context, token string) (ls []OwnLine, err error) {
	err = db.read(ctx, func(q querier) error {
		l, err := followLink(ctx, q, ForPerson, token, db.now())
		if err != nil {
			return err
		}
		ls, err = ownLines(ctx, q, l.Subject)
		for i := range ls {
			if err == nil && (i == 0 || ls[i].Challenge.ID != ls[i-1].Challenge.ID) {
				err = db.tellOwn(ctx, q, ls, ls[i].Challenge.ID)
			}
		}
		return err
	})
	return ls, err
}

func ownLines(ctx context.Context, q querier, person int64) ([]OwnLine, error) {
	scan := func(r *sql.Rows) (l OwnLine, err error) {
		return l, r.Scan(&l.Dish, &l.Challenge.ID, &l.Number, &l.Title, &l.State)
	}
	return rows(ctx, q, scan, ownSelect, person)
}

// tellOwn fills in what is public of one challenge.
func (db *DB) tellOwn(ctx context.Context, q querier, ls []OwnLine, challengeID int64) error {
	c, err := challengeByID(ctx, q, challengeID)
	if err != nil {
		return err
	}
	x, err := disclosure{ctx: ctx, q: q, challenge: c, shows: c.Shows(challenge.Public, db.now())}.all()
	if err != nil {
		return err
	}
	for i := range ls {
		if l := &ls[i]; l.Challenge.ID == challengeID {
			l.Challenge = c
			l.Place, l.Finalist, l.Recipe = x.placeOf(l.Dish), holds(x.Finalists, l.Dish), holds(x.Recipes, l.Dish)
			l.Drawn = x.Drawn != nil && x.Drawn.ID == l.Dish
		}
	}
	return nil
}

// OwnOutcome is what everyone can know of what became of an entry, for its own
// page.
func (db *DB) OwnOutcome(ctx context.Context, a challenge.Actor) (OwnLine, error) {
	ls := []OwnLine{{Dish: a.ID, Challenge: challenge.Challenge{ID: a.Challenge}}}
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return ls[0], err
	}
	err := db.read(ctx, func(q querier) error { return db.tellOwn(ctx, q, ls, a.Challenge) })
	return ls[0], err
}

// placeOf is a dish's place in the final result, 0 for none.
func (x Results) placeOf(dish int64) int {
	place := 1
	for _, level := range x.Final {
		if holds(level, dish) {
			return place
		}
		place += len(level)
	}
	return 0
}

func holds(ds []PublicDish, dish int64) bool {
	for _, d := range ds {
		if d.ID == dish {
			return true
		}
	}
	return false
}

// OpenOwn makes a private link of one of the entries on the page, and returns
// its token.
func (db *DB) OpenOwn(ctx context.Context, token string, dish int64) (entry string, err error) {
	err = db.write(ctx, func(tx *Tx) error {
		l, err := followLink(ctx, tx, ForPerson, token, tx.now)
		if err != nil {
			return err
		}
		ls, err := ownLines(ctx, tx, l.Subject)
		if err != nil {
			return err
		}
		for _, x := range ls {
			if x.Dish == dish {
				entry, err = newLink(ctx, tx, ForEntrant, x.Challenge.ID, dish, 0)
				return err
			}
		}
		return challenge.NotFound("There is no such entry.")
	})
	return entry, err
}
