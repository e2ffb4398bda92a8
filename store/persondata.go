package store

import (
	"context"
	"database/sql"
	"time"

	"fairladle/challenge"
)

// PersonData is everything that is stored about an entry and who sent it, for
// the person to take away. Notes, marks and scores of readers and judges are
// theirs and not in it.
type PersonData struct {
	Challenge  string    `json:"challenge"`
	Number     int       `json:"number"`
	State      string    `json:"state"`
	Name       string    `json:"name"`
	Spoken     string    `json:"spoken,omitempty"`
	Credit     string    `json:"credit,omitempty"`
	Email      string    `json:"email"`
	Origin     string    `json:"origin"`
	OriginNote string    `json:"originNote,omitempty"`
	Source     string    `json:"source"`
	Versions   []Written `json:"versions"`
	Fixes      []Fix     `json:"corrections,omitempty"`
	Consents   []Answer  `json:"consents"`
	Questions  []Talk    `json:"questions,omitempty"`
	Messages   []Mailed  `json:"messages,omitempty"`
	Links      []Linked  `json:"privateLinks"`
	// PrizeAddress is where a prize goes, until it has been sent.
	PrizeAddress string `json:"prizeAddress,omitempty"`
	// ShownToHosts is when a host was shown the name and address.
	ShownToHosts []time.Time `json:"addressShownToHosts,omitempty"`
}

// A Written is one version of a recipe as it was received.
type Written struct {
	Version  int       `json:"version"`
	Received time.Time `json:"received"`
	Text     string    `json:"text"`
	Photo    []byte    `json:"photo,omitempty"` // base64 in JSON
	MIME     string    `json:"photoType,omitempty"`
}

// A Fix is one correction of how a recipe was read.
type Fix struct {
	Field string    `json:"field"`
	Was   string    `json:"was"`
	Value string    `json:"value"`
	By    string    `json:"by"`
	At    time.Time `json:"at"`
}

// An Answer is one answer about a consent; the newest of a kind holds.
type Answer struct {
	Kind  string    `json:"kind"`
	Given bool      `json:"given"`
	At    time.Time `json:"at"`
}

// A Talk is a question to the entrant, and the answer.
type Talk struct {
	Asked    string    `json:"asked"`
	AskedAt  time.Time `json:"askedAt"`
	Answer   string    `json:"answer,omitempty"`
	Answered time.Time `json:"answeredAt,omitzero"`
}

// A Mailed is a message that was left for the person.
type Mailed struct {
	Kind    string    `json:"kind"`
	State   string    `json:"state"`
	Created time.Time `json:"created"`
	Sent    time.Time `json:"sent,omitzero"`
}

// A Linked is a private link; its secret is stored nowhere.
type Linked struct {
	Created time.Time `json:"created"`
	Revoked time.Time `json:"withdrawn,omitzero"`
}

// PersonData collects what is stored about an entry and its sender, for the
// entrant, or for a host who passes it on; that a host looked is written down.
func (db *DB) PersonData(ctx context.Context, a challenge.Actor, challengeID, dish int64) (x PersonData, err error) {
	own := a.Role == challenge.Entrant && a.ID == dish
	do := challenge.SeeAddress
	if own {
		do = challenge.KeepEntry
	}
	if err := challenge.May(a, do, challengeID); err != nil {
		return x, err
	}
	if !own {
		if _, err := db.Sender(ctx, a, challengeID, dish); err != nil {
			return x, err
		}
	}
	err = db.read(ctx, func(q querier) error {
		o, err := ownEntry(ctx, q, dish)
		if err != nil {
			return err
		}
		if o.Challenge.ID != challengeID {
			return challenge.NotFound(noEntry)
		}
		x = PersonData{Challenge: o.Challenge.Title, Number: o.Number, State: o.State, Name: o.Name, Spoken: o.Spoken, Credit: o.Credit,
			Email: o.Email, Origin: string(o.Origin), OriginNote: o.OriginNote}
		return x.collect(ctx, q, dish)
	})
	return x, err
}

func (x *PersonData) collect(ctx context.Context, q querier, dish int64) (err error) {
	if err = q.QueryRowContext(ctx, `SELECT source, COALESCE((SELECT address FROM prize_offer WHERE prize_offer.dish_id = entry.dish_id), '')
		FROM entry WHERE dish_id = ?`, dish).Scan(&x.Source, &x.PrizeAddress); err != nil {
		return err
	}
	var at, later int64
	x.Versions, err = rows(ctx, q, func(r *sql.Rows) (w Written, err error) {
		err = r.Scan(&w.Version, &at, &w.Text, &w.Photo, &w.MIME)
		w.Received = moment(at)
		return w, err
	}, `SELECT version, received_at, text, photo.large, COALESCE(photo.mime, '') FROM dish_version LEFT JOIN photo ON photo.id = photo_id WHERE dish_id = ? ORDER BY version`, dish)
	if err != nil {
		return err
	}
	x.Fixes, err = rows(ctx, q, func(r *sql.Rows) (f Fix, err error) {
		err = r.Scan(&f.Field, &f.Was, &f.Value, &f.By, &at)
		f.At = moment(at)
		return f, err
	}, `SELECT field, was, value, by_role, at FROM correction WHERE dish_id = ? ORDER BY id`, dish)
	if err != nil {
		return err
	}
	x.Consents, err = rows(ctx, q, func(r *sql.Rows) (c Answer, err error) {
		err = r.Scan(&c.Kind, &c.Given, &at)
		c.At = moment(at)
		return c, err
	}, `SELECT kind, given, at FROM consent WHERE dish_id = ? ORDER BY id`, dish)
	if err != nil {
		return err
	}
	x.Questions, err = rows(ctx, q, func(r *sql.Rows) (k Talk, err error) {
		err = r.Scan(&k.Asked, &at, &k.Answer, &later)
		k.AskedAt, k.Answered = moment(at), moment(later)
		return k, err
	}, `SELECT text, asked_at, answer, answered_at FROM question WHERE dish_id = ? ORDER BY id`, dish)
	if err != nil {
		return err
	}
	return x.collectTraffic(ctx, q, dish)
}

// collectTraffic is what went to and fro: messages, links, looks.
func (x *PersonData) collectTraffic(ctx context.Context, q querier, dish int64) (err error) {
	var at, later int64
	x.Messages, err = rows(ctx, q, func(r *sql.Rows) (m Mailed, err error) {
		err = r.Scan(&m.Kind, &m.State, &at, &later)
		m.Created, m.Sent = moment(at), moment(later)
		return m, err
	}, `SELECT kind, state, created_at, sent_at FROM message
		WHERE person_id = (SELECT person_id FROM entrant WHERE dish_id = ?1) AND dish_id = ?1 ORDER BY id`, dish)
	if err != nil {
		return err
	}
	x.Links, err = rows(ctx, q, func(r *sql.Rows) (l Linked, err error) {
		err = r.Scan(&at, &later)
		l.Created, l.Revoked = moment(at), moment(later)
		return l, err
	}, `SELECT created_at, revoked_at FROM link WHERE purpose = 'entrant' AND subject_id = ? ORDER BY id`, dish)
	if err != nil {
		return err
	}
	x.ShownToHosts, err = rows(ctx, q, func(r *sql.Rows) (t time.Time, err error) {
		err = r.Scan(&at)
		return moment(at), err
	}, `SELECT at FROM address_look WHERE person_id = (SELECT person_id FROM entrant WHERE dish_id = ?) ORDER BY id`, dish)
	return err
}
