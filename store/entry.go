package store

import (
	"context"
	"database/sql"
	"encoding/hex"
	"errors"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
)

// Submit keeps an entry and returns its number and the token of its private
// link. form is the token the form was made with: the same form sent twice by
// the same address is one entry. photo is the hex SHA-256 of a stored photo.
func (db *DB) Submit(ctx context.Context, challengeID int64, form string, s challenge.Submission, photo string, cs []recipe.Correction) (number int, token string, err error) {
	s.Normalise()
	if err := s.Check(); err != nil {
		return 0, "", err
	}
	key, err := challenge.AddressKey(s.Email)
	if err != nil {
		return 0, "", err
	}
	names := []string{s.Name, s.Spoken, s.Credit}
	cs = maskValues(cs, names)
	p := prepare(s.Text, names, cs)
	err = db.write(ctx, func(tx *Tx) error {
		number, token, err = sentBefore(ctx, tx, challengeID, form, key)
		if err != nil || number > 0 {
			return err
		}
		number, token, err = submit(ctx, tx, challengeID, form, key, s, p, photo, cs)
		return err
	})
	return number, token, err
}

// sentBefore recognises a form that was sent twice.
func sentBefore(ctx context.Context, tx *Tx, challengeID int64, form, addressKey string) (int, string, error) {
	hash, ok := hashToken(form)
	if !ok {
		return 0, "", nil
	}
	var number int
	err := tx.QueryRowContext(ctx, `SELECT entry.number FROM link JOIN entry ON entry.dish_id = link.subject_id
		JOIN entrant ON entrant.dish_id = entry.dish_id JOIN address ON address.person_id = entrant.person_id
		WHERE link.token_hash = ? AND link.purpose = 'entrant' AND entry.challenge_id = ? AND address.email_key = ?`,
		hash, challengeID, addressKey).Scan(&number)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, "", nil
	}
	return number, form, err
}

func submit(ctx context.Context, tx *Tx, challengeID int64, form, addressKey string, s challenge.Submission, p prepared, photo string, cs []recipe.Correction) (int, string, error) {
	c, err := challengeByID(ctx, tx, challengeID)
	if err != nil {
		return 0, "", err
	}
	if err := c.TakesEntries(tx.now); err != nil {
		return 0, "", err
	}
	person, err := entrantPerson(ctx, tx, c, s, addressKey)
	if err != nil {
		return 0, "", err
	}
	photoID, err := photoBySum(ctx, tx, photo)
	if err != nil {
		return 0, "", err
	}
	dish, content, err := insertDish(ctx, tx, c.ID, "entry", p, photoID)
	if err != nil {
		return 0, "", err
	}
	number := c.LastNumber + 1
	if err := insertEntry(ctx, tx, c.ID, dish, number, person, s, p); err != nil {
		return 0, "", err
	}
	if err := saveCorrections(ctx, tx, dish, 1, challenge.Entrant, cs); err != nil {
		return 0, "", err
	}
	token, err := entrantLink(ctx, tx, c.ID, dish, form)
	if err != nil {
		return 0, "", err
	}
	return number, token, recordVersion(ctx, tx, c.ID, dish, challenge.Event{Kind: challenge.EventReceived, Entry: number, Version: 1, Content: content.String()})
}

// entrantPerson finds or makes the person behind an address and refuses one
// entry too many.
func entrantPerson(ctx context.Context, tx *Tx, c challenge.Challenge, s challenge.Submission, addressKey string) (int64, error) {
	id, known, err := personByAddress(ctx, tx, addressKey)
	if err != nil {
		return 0, err
	}
	if !known {
		return addPerson(ctx, tx, s.Name, s.Spoken, s.Email)
	}
	var sent int
	err = tx.QueryRowContext(ctx, `SELECT count(*) FROM entrant JOIN entry ON entry.dish_id = entrant.dish_id
		WHERE entrant.person_id = ? AND entry.challenge_id = ? AND entry.state = 'in'`, id, c.ID).Scan(&sent)
	if err != nil {
		return 0, err
	}
	if sent >= c.EntriesPerPerson {
		return 0, challenge.Refuse(challenge.Invalid, "email",
			"Entries from this address: %v of %v. To change your recipe, open the private link of your entry; “Send my link again” brings it back.", sent, c.EntriesPerPerson)
	}
	return id, nil
}

func insertEntry(ctx context.Context, tx *Tx, challengeID, dish int64, number int, person int64, s challenge.Submission, p prepared) error {
	if _, err := tx.ExecContext(ctx, `INSERT INTO entry (dish_id, challenge_id, number, title, findings, ingredients, minutes, agreed) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
		dish, challengeID, number, p.title, p.glance.Findings, p.glance.Ingredients, p.glance.Minutes, challenge.Agreed(s.Consents)); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO entrant (dish_id, person_id, name, credit, spoken, origin, origin_note) VALUES (?, ?, ?, ?, ?, ?, ?)`,
		dish, person, s.Name, s.Credit, s.Spoken, s.Origin, s.OriginNote); err != nil {
		return err
	}
	for _, k := range challenge.ConsentKinds {
		if err := addConsent(ctx, tx, dish, k, s.Consents[k]); err != nil {
			return err
		}
	}
	_, err := tx.ExecContext(ctx, `UPDATE challenge SET entries = entries + 1, last_number = ? WHERE id = ?`, number, challengeID)
	return err
}

func addConsent(ctx context.Context, tx *Tx, dish int64, k challenge.ConsentKind, given bool) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO consent (dish_id, kind, given, at) VALUES (?, ?, ?, ?)`, dish, k, given, millis(tx.now))
	return err
}

// entrantLink makes the entry's private link from the form's token, or from a
// fresh one where that is spent or none.
func entrantLink(ctx context.Context, tx *Tx, challengeID, dish int64, form string) (string, error) {
	if hash, ok := hashToken(form); ok {
		var taken bool
		if err := tx.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM link WHERE token_hash = ?)`, hash).Scan(&taken); err != nil {
			return "", err
		}
		if !taken {
			return form, saveLink(ctx, tx, ForEntrant, challengeID, dish, form, 0)
		}
	}
	return newLink(ctx, tx, ForEntrant, challengeID, dish, 0)
}

func maskValues(cs []recipe.Correction, names []string) []recipe.Correction {
	for i := range cs {
		cs[i].Value, _ = recipe.Mask(cs[i].Value, names)
	}
	return cs
}

// A Glance is what the list of entries shows of a reading.
type Glance struct{ Findings, Ingredients, Minutes int }

func glanceOf(b recipe.Breakdown) Glance {
	var g Glance
	g.Findings = len(b.Findings)
	longest := 0.0
	for _, t := range b.Times {
		longest = max(longest, t.Minutes.Max)
	}
	steps := 0.0
	for _, c := range b.Components {
		g.Ingredients += len(c.Ingredients)
		for _, s := range c.Steps {
			for _, d := range s.Durations {
				steps += d.MaxMinutes
			}
		}
	}
	g.Minutes = int(max(longest, steps))
	return g
}

// Own is an entry as its entrant sees it through the private link.
type Own struct {
	Recipe     Recipe
	Number     int
	State      string
	Challenge  challenge.Challenge
	Name       string
	Spoken     string
	Credit     string
	Email      string
	Origin     challenge.Origin
	OriginNote string
	Consents   challenge.Consents
}

const noEntry = "There is no such entry."

// OwnEntry loads the entry behind an entrant's link.
func (db *DB) OwnEntry(ctx context.Context, a challenge.Actor) (o Own, err error) {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return o, err
	}
	err = db.read(ctx, func(q querier) error {
		o, err = ownEntry(ctx, q, a.ID)
		return err
	})
	return o, err
}

func ownEntry(ctx context.Context, q querier, dish int64) (Own, error) {
	var o Own
	var challengeID int64
	err := q.QueryRowContext(ctx, `SELECT entry.challenge_id, entry.number, entry.state, entrant.name, entrant.spoken, entrant.credit,
		COALESCE(address.email, ''), entrant.origin, entrant.origin_note
		FROM entry JOIN entrant ON entrant.dish_id = entry.dish_id JOIN person ON person.id = entrant.person_id
		LEFT JOIN address ON address.person_id = person.id WHERE entry.dish_id = ?`, dish).
		Scan(&challengeID, &o.Number, &o.State, &o.Name, &o.Spoken, &o.Credit, &o.Email, &o.Origin, &o.OriginNote)
	if err != nil {
		return o, missing(err, noEntry)
	}
	if o.Challenge, err = challengeByID(ctx, q, challengeID); err != nil {
		return o, err
	}
	if o.Consents, err = consents(ctx, q, dish); err != nil {
		return o, err
	}
	o.Recipe, err = recipeOf(ctx, q, dish, 0, false)
	return o, err
}

func consents(ctx context.Context, q querier, dish int64) (challenge.Consents, error) {
	scan := func(r *sql.Rows) (c challenge.Consent, err error) {
		var at int64
		err = r.Scan(&c.Kind, &c.Given, &at)
		c.At = moment(at)
		return c, err
	}
	all, err := rows(ctx, q, scan, `SELECT kind, given, at FROM consent WHERE dish_id = ? ORDER BY id`, dish)
	now := challenge.Consents{}
	for _, c := range all {
		now[c.Kind] = c
	}
	return now, err
}

// ChangeEntry keeps a new version of the text. version is the one the form
// showed; a photo of "" keeps the one there is.
func (db *DB) ChangeEntry(ctx context.Context, a challenge.Actor, version int, text, photo string, cs []recipe.Correction) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	text = challenge.KeptText(text)
	var bad challenge.Refusals
	if challenge.CheckRecipe(&bad, text); len(bad) > 0 {
		return bad
	}
	o, err := db.OwnEntry(ctx, a)
	if err != nil {
		return err
	}
	names := []string{o.Name, o.Spoken, o.Credit}
	cs = maskValues(cs, names)
	return db.write(ctx, func(tx *Tx) error {
		o, err := ownEntry(ctx, tx, a.ID)
		if err != nil {
			return err
		}
		if err := mayChangeEntry(o, version, tx.now); err != nil {
			return err
		}
		if o.Recipe.Text == text && photo == "" {
			return correctEntry(ctx, tx, a, version, text, names, cs)
		}
		return changeEntry(ctx, tx, a, o, prepare(text, names, cs), photo, cs)
	})
}

func mayChangeEntry(o Own, version int, now time.Time) error {
	if o.State != "in" {
		return challenge.Refuse(challenge.Shut, "", "This entry was withdrawn and cannot be changed.")
	}
	if err := o.Challenge.TakesEntries(now); err != nil {
		return err
	}
	if o.Recipe.Version != version {
		return challenge.Refuse(challenge.Stale, "", "This recipe was changed elsewhere since you opened this page. Your text is still below; compare it with the newer version before you send it again.")
	}
	return nil
}

// correctEntry lays corrections over the version there is, and lets lists show
// the result.
func correctEntry(ctx context.Context, tx *Tx, a challenge.Actor, version int, text string, names []string, cs []recipe.Correction) error {
	if err := saveCorrections(ctx, tx, a.ID, version, a.Role, cs); err != nil {
		return err
	}
	all, err := corrections(ctx, tx, a.ID, version)
	if err != nil {
		return err
	}
	p := prepare(text, names, all)
	if _, err := tx.ExecContext(ctx, `UPDATE dish SET title = ? WHERE id = ?`, p.title, a.ID); err != nil {
		return err
	}
	if err := addJob(ctx, tx, jobIndex, a.ID); err != nil {
		return err
	}
	return saveGlance(ctx, tx, a.ID, p)
}

func saveGlance(ctx context.Context, tx *Tx, dish int64, p prepared) error {
	_, err := tx.ExecContext(ctx, `UPDATE entry SET findings = ?, ingredients = ?, minutes = ? WHERE dish_id = ?`,
		p.glance.Findings, p.glance.Ingredients, p.glance.Minutes, dish)
	return err
}

func changeEntry(ctx context.Context, tx *Tx, a challenge.Actor, o Own, p prepared, photo string, cs []recipe.Correction) error {
	if photo == "" {
		photo = o.Recipe.Photo
	}
	photoID, err := photoBySum(ctx, tx, photo)
	if err != nil {
		return err
	}
	content, err := addVersion(ctx, tx, a.ID, p, photoID)
	if err != nil {
		return err
	}
	if err := saveGlance(ctx, tx, a.ID, p); err != nil {
		return err
	}
	if err := saveCorrections(ctx, tx, a.ID, o.Recipe.Version+1, a.Role, cs); err != nil {
		return err
	}
	return recordVersion(ctx, tx, o.Challenge.ID, a.ID, challenge.Event{Kind: challenge.EventChanged, Entry: o.Number,
		Version: o.Recipe.Version + 1, Content: content.String()})
}

// recordVersion records a version of an entry and keeps which leaf says so,
// for the slip.
func recordVersion(ctx context.Context, tx *Tx, challengeID, dish int64, e challenge.Event) error {
	leaf, err := recordLeaf(ctx, tx, challengeID, e)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE dish_version SET leaf = ? WHERE dish_id = ? AND version = ?`, leaf, dish, e.Version)
	return err
}

// SetConsents records the answers that differ from those that hold. Taking
// back a needed one withdraws the entry.
func (db *DB) SetConsents(ctx context.Context, a challenge.Actor, answers map[challenge.ConsentKind]bool, credit, spoken string) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	if err := challenge.CheckCredit(credit, spoken); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		o, err := ownEntry(ctx, tx, a.ID)
		if err != nil {
			return err
		}
		for _, k := range challenge.ConsentKinds {
			if answers[k] != o.Consents.Given(k) {
				if err := addConsent(ctx, tx, a.ID, k, answers[k]); err != nil {
					return err
				}
			}
			if k.Needed() && !answers[k] && o.State == "in" {
				return challenge.Refuse(challenge.Invalid, "consent-"+string(k), "An entry cannot take part without this. To take your entry back, use “Withdraw my entry”.")
			}
		}
		if _, err := tx.ExecContext(ctx, `UPDATE entry SET agreed = ? WHERE dish_id = ?`, challenge.Agreed(answers), a.ID); err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE entrant SET credit = ?, spoken = ? WHERE dish_id = ?`, credit, spoken, a.ID)
		return err
	})
}

// Withdraw takes an entry back. It leaves every later round by itself; what
// the ledger and a frozen roster say of it stays as it was.
func (db *DB) Withdraw(ctx context.Context, a challenge.Actor) error {
	if err := challenge.May(a, challenge.KeepEntry, a.Challenge); err != nil {
		return err
	}
	return db.write(ctx, func(tx *Tx) error {
		o, err := ownEntry(ctx, tx, a.ID)
		if err != nil {
			return err
		}
		if o.State != "in" {
			return challenge.Refuse(challenge.Stale, "", "This entry was withdrawn already.")
		}
		if _, err := tx.ExecContext(ctx, `UPDATE entry SET state = 'withdrawn' WHERE dish_id = ?`, a.ID); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, `UPDATE challenge SET entries = entries - 1 WHERE id = ?`, o.Challenge.ID); err != nil {
			return err
		}
		return record(ctx, tx, o.Challenge.ID, challenge.Event{Kind: challenge.EventWithdrawn, Entry: o.Number})
	})
}

// photoBySum finds a stored photo by its hex SHA-256; "" is no photo.
func photoBySum(ctx context.Context, q querier, sum string) (int64, error) {
	if sum == "" {
		return 0, nil
	}
	raw, err := hex.DecodeString(sum)
	if err != nil {
		return 0, challenge.Refuse(challenge.Invalid, "photo", "Add the photo again, please; it did not come along.")
	}
	var id int64
	err = q.QueryRowContext(ctx, `SELECT id FROM photo WHERE sha256 = ?`, raw).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, challenge.Refuse(challenge.Invalid, "photo", "Add the photo again, please; it did not come along.")
	}
	return id, err
}
