package store

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"slices"

	"fairladle/challenge"
)

// ErasedTitle is what stands where the title of an erased recipe stood.
const ErasedTitle = "(erased)"

// Erase deletes what a person sent with an entry, and who the person is where
// no other entry is theirs. Numbers, commitments and tree hashes stay, so that
// every proof, record and slip still checks; that something was erased, and
// which leaves, is recorded.
//
// What was deleted is overwritten in the file. Copies made earlier, by backup
// or by the file system, still hold it.
func (db *DB) Erase(ctx context.Context, a challenge.Actor, challengeID int64, number int) error {
	if err := challenge.May(a, challenge.EditChallenge, challengeID); err != nil {
		return err
	}
	return db.erase(ctx, a, `entry.challenge_id = ? AND entry.number = ?`, challengeID, number)
}

// EraseOwn is Erase by the entrant, through the entry's private link.
func (db *DB) EraseOwn(ctx context.Context, a challenge.Actor) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	return db.erase(ctx, a, `entry.challenge_id = ? AND entry.dish_id = ?`, a.Challenge, a.ID)
}

// erase finds the entry by a condition, one of the literals above.
func (db *DB) erase(ctx context.Context, a challenge.Actor, condition string, args ...any) error {
	err := db.write(ctx, func(tx *Tx) error {
		var x erasable
		err := tx.QueryRowContext(ctx, `SELECT entry.dish_id, entry.challenge_id, entry.number, entrant.person_id
			FROM entry JOIN entrant ON entrant.dish_id = entry.dish_id WHERE `+condition, args...).Scan(&x.dish, &x.challenge, &x.number, &x.person)
		if err != nil {
			return missing(err, "There is nothing left of this entry to erase.")
		}
		return x.erase(ctx, tx, a.Role)
	})
	if err != nil {
		return err
	}
	return db.emptyLog(ctx)
}

// emptyLog moves what the write-ahead log holds into the file and empties the
// log: it would keep deleted pages until they are written over.
func (db *DB) emptyLog(ctx context.Context) error {
	_, err := db.writer.ExecContext(ctx, `PRAGMA wal_checkpoint(TRUNCATE)`)
	return err
}

// An erasable is an entry with what has to be known of it to erase it.
type erasable struct {
	dish, challenge, person int64
	number                  int
	// timeOver: nobody asked, the challenge's time is over. The person may send
	// recipes again, by mail too.
	timeOver bool
}

func (x erasable) erase(ctx context.Context, tx *Tx, by challenge.Role) error {
	leaves, err := x.leavesAbout(ctx, tx)
	if err != nil {
		return err
	}
	seals, err := x.sealsAbout(ctx, tx)
	if err != nil {
		return err
	}
	leaves = append(leaves, seals...)
	slices.Sort(leaves)
	short, err := x.shortenRecords(ctx, tx)
	if err != nil {
		return err
	}
	if err := x.eraseBodies(ctx, tx, leaves); err != nil {
		return err
	}
	for _, step := range []func(context.Context, *Tx) error{x.eraseTexts, x.leave, x.erasePerson} {
		if err := step(ctx, tx); err != nil {
			return err
		}
	}
	return record(ctx, tx, x.challenge, challenge.Event{Kind: challenge.EventErased, By: by, Detail: erasure{Leaves: leaves, Records: short}})
}

// leavesAbout are the leaves whose bodies speak of the entry. Receiving one is
// by far the most frequent, and its leaf stands with the version it received.
func (x erasable) leavesAbout(ctx context.Context, tx *Tx) ([]int64, error) {
	return rows(ctx, tx, scanID, `SELECT b.seq FROM dish_version v JOIN ledger_body b ON b.challenge_id = ?1 AND b.seq = v.leaf WHERE v.dish_id = ?2
		UNION SELECT seq FROM ledger_body WHERE challenge_id = ?1 AND (kind < ?4 OR kind > ?4) AND json_extract(CAST(body AS TEXT), '$.entry') = ?3 ORDER BY 1`,
		x.challenge, x.dish, x.number, challenge.EventReceived)
}

// An erasure is the detail of an "erased" event: the leaves whose bodies are
// gone from then on, and the records of rounds that were shortened.
type erasure struct {
	Leaves  []int64      `json:"leaves"`
	Records []shortening `json:"records,omitempty"`
}

// eraseTexts empties every version and deletes what was derived from it.
func (x erasable) eraseTexts(ctx context.Context, tx *Tx) error {
	photos, err := rows(ctx, tx, scanID, `SELECT photo_id FROM dish_version WHERE dish_id = ?1 AND photo_id IS NOT NULL
		UNION SELECT photo_id FROM dish_picture WHERE dish_id = ?1`, x.dish)
	if err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `UPDATE dish SET title = ? WHERE id = ?`, ErasedTitle, x.dish); err != nil {
		return err
	}
	if err := execAll(ctx, tx, x.dish,
		`UPDATE dish_version SET text = '', masked = '', masks = '[]', photo_id = NULL, salt = x'' WHERE dish_id = ?`,
		`DELETE FROM breakdown WHERE dish_id = ?`,
		`DELETE FROM dish_picture WHERE dish_id = ?`,
		`DELETE FROM entry_origin WHERE dish_id = ?`,
		`DELETE FROM correction WHERE dish_id = ?`,
		`UPDATE entry SET findings = 0, ingredients = 0, minutes = 0 WHERE dish_id = ?`,
		// A run sheet and a cook's log are written in the words of the recipe.
		`DELETE FROM service_log WHERE round_id IN (SELECT round_id FROM round_in WHERE dish_id = ?)`,
		`DELETE FROM service WHERE round_id IN (SELECT round_id FROM round_in WHERE dish_id = ?)`,
		`DELETE FROM likeness WHERE dish_id = ?`,
		`DELETE FROM likeness_band WHERE dish_id = ?`,
		`DELETE FROM alike WHERE ? IN (first_id, second_id)`,
		`DELETE FROM question WHERE dish_id = ?`,
		`UPDATE bar SET reason = '', words = '', lifted = '' WHERE dish_id = ?`,
		`DELETE FROM cooked_page WHERE dish_id = ?`,
		`DELETE FROM prize_offer WHERE dish_id = ?`,
		`DELETE FROM import_item WHERE dish_id = ?`,
		`UPDATE imported SET dish_id = NULL WHERE dish_id = ?`,
		`DELETE FROM job WHERE kind = 'index' AND subject_id = ?`,
		`DELETE FROM dish_search WHERE rowid = ?`); err != nil {
		return err
	}
	if err := dropPhotos(ctx, tx, photos); err != nil {
		return err
	}
	// Merging the index is what drops the words of a deleted row from it.
	_, err = tx.ExecContext(ctx, `INSERT INTO dish_search (dish_search) VALUES ('optimize')`)
	return err
}

func execAll(ctx context.Context, tx *Tx, id int64, statements ...string) error {
	for _, s := range statements {
		if _, err := tx.ExecContext(ctx, s, id); err != nil {
			return err
		}
	}
	return nil
}

// eraseBodies deletes salts and bodies of the leaves about the entry.
func (x erasable) eraseBodies(ctx context.Context, tx *Tx, leaves []int64) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM ledger_body WHERE challenge_id = ? AND seq IN (SELECT value FROM json_each(?))`, x.challenge, jsonText(leaves))
	return err
}

// leave takes the entry out of whatever is still to come, as a withdrawal does.
func (x erasable) leave(ctx context.Context, tx *Tx) error {
	res, err := tx.ExecContext(ctx, `UPDATE entry SET state = 'withdrawn' WHERE dish_id = ? AND state = 'in'`, x.dish)
	if err != nil {
		return err
	}
	n, err := res.RowsAffected()
	if err != nil || n == 0 {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE challenge SET entries = entries - 1 WHERE id = ?`, x.challenge)
	return err
}

// erasePerson deletes what ties the entry to a person, and the person too
// where nothing else of theirs is here.
func (x erasable) erasePerson(ctx context.Context, tx *Tx) error {
	if err := execAll(ctx, tx, x.dish,
		`DELETE FROM consent WHERE dish_id = ?`,
		`UPDATE entry SET agreed = 0 WHERE dish_id = ?`,
		`DELETE FROM message WHERE dish_id = ?`,
		`DELETE FROM link WHERE purpose = 'entrant' AND subject_id = ?`,
		`DELETE FROM entrant WHERE dish_id = ?`); err != nil {
		return err
	}
	return x.dropPerson(ctx, tx)
}

// dropPerson deletes the person where nothing else of theirs is here.
func (x erasable) dropPerson(ctx context.Context, tx *Tx) error {
	var kept bool
	err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM entrant WHERE person_id = ?1) OR EXISTS (SELECT 1 FROM host WHERE person_id = ?1)
		OR EXISTS (SELECT 1 FROM participant WHERE person_id = ?1)`, x.person).Scan(&kept)
	if err != nil {
		return err
	}
	if kept {
		// The name was typed with the first entry, which may be the erased one.
		_, err := tx.ExecContext(ctx, `UPDATE person SET name = entrant.name, spoken = entrant.spoken FROM entrant
			WHERE person.id = ? AND entrant.person_id = person.id`, x.person)
		return err
	}
	if err := dropImported(ctx, tx, x.person); err != nil {
		return err
	}
	if !x.timeOver {
		if err := bury(ctx, tx, x.person); err != nil {
			return err
		}
	}
	return execAll(ctx, tx, x.person,
		`DELETE FROM message WHERE person_id = ?`,
		`DELETE FROM address_look WHERE person_id = ?`,
		`DELETE FROM voting_link WHERE person_id = ?`,
		`DELETE FROM link WHERE purpose = 'person' AND subject_id = ?`,
		`DELETE FROM address WHERE person_id = ?`,
		`DELETE FROM person WHERE id = ?`)
}

// dropImported deletes what lies in imports from a person's address.
func dropImported(ctx context.Context, tx *Tx, person int64) error {
	_, err := tx.ExecContext(ctx, `DELETE FROM import_item WHERE email_key IN (SELECT email_key FROM address WHERE person_id = ?)`, person)
	return err
}

// bury leaves a tombstone of a person's address.
func bury(ctx context.Context, tx *Tx, person int64) error {
	keys, err := rows(ctx, tx, scanText, `SELECT email_key FROM address WHERE person_id = ?`, person)
	if err != nil {
		return err
	}
	for _, key := range keys {
		mac, err := tombstone(ctx, tx, key)
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `INSERT OR IGNORE INTO tombstone (mac, at) VALUES (?, ?)`, mac, millis(tx.now)); err != nil {
			return err
		}
	}
	return nil
}

// tombstone is the HMAC-SHA-256 of an address under the site's erasure key.
func tombstone(ctx context.Context, q querier, addressKey string) ([]byte, error) {
	var key []byte
	if err := q.QueryRowContext(ctx, `SELECT erasure_key FROM site WHERE id = 1`).Scan(&key); err != nil {
		return nil, err
	}
	m := hmac.New(sha256.New, key)
	m.Write([]byte(addressKey))
	return m.Sum(nil), nil
}

// ErasedBefore says whether the data of the person behind an address were
// erased here, so that an import leaves them out. A form that the person sends
// anew is another matter.
func (db *DB) ErasedBefore(ctx context.Context, email string) (erased bool, err error) {
	key, err := challenge.AddressKey(email)
	if err != nil {
		return false, err
	}
	err = db.read(ctx, func(q querier) error {
		erased, err = erasedBefore(ctx, q, key)
		return err
	})
	return erased, err
}

func erasedBefore(ctx context.Context, q querier, addressKey string) (erased bool, err error) {
	mac, err := tombstone(ctx, q, addressKey)
	if err != nil {
		return false, err
	}
	err = q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM tombstone WHERE mac = ?)`, mac).Scan(&erased)
	return erased, err
}
