package draw

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"

	"fairladle/challenge/ledger"
)

// Kind is a kind of event.
type Kind string

// The kinds of events.
const (
	Rolled    Kind = "roll"    // dice were thrown and typed
	Confirmed Kind = "confirm" // a second person saw the same roll
	Committed Kind = "commit"  // a party sealed its secret
	Revealed  Kind = "reveal"  // a party opened its secret
	Published Kind = "source"  // a public value appeared and was typed
	Voided    Kind = "void"    // the draw was declared void
)

// Event is one thing that happened in a draw. By is a role ("host"), never a
// name: events are published.
type Event struct {
	// N counts the events of a draw from 1. Whoever adds one says which number
	// it is to have: if another came first, it is refused as stale.
	N    int    `json:"n"`
	Kind Kind   `json:"kind"`
	At   Moment `json:"at"`
	By   string `json:"by"`

	Place int   `json:"place,omitempty"` // roll: the place it is for, from 1
	Dice  []int `json:"dice,omitempty"`  // roll: what each die shows
	Roll  int   `json:"roll,omitempty"`  // confirm: the roll event's N

	Party      string             `json:"party,omitempty"`      // commit, reveal
	Commitment *ledger.Commitment `json:"commitment,omitempty"` // commit
	Nonce      *ledger.Salt       `json:"nonce,omitempty"`      // reveal
	Secret     string             `json:"secret,omitempty"`     // reveal

	Source int      `json:"source,omitempty"` // source: which, from 1
	Values []string `json:"values,omitempty"` // source: as typed

	Reason string `json:"reason,omitempty"` // void
}

// fits reports whether the event has the fields of its kind and no others.
func (e Event) fits() bool {
	rest, ok := e, false
	switch e.Kind {
	case Rolled:
		rest.Place, rest.Dice, ok = 0, nil, e.Place > 0
	case Confirmed:
		rest.Roll, ok = 0, e.Roll > 0
	case Committed:
		rest.Party, rest.Commitment, ok = "", nil, e.Commitment != nil
	case Revealed:
		rest.Party, rest.Nonce, rest.Secret, ok = "", nil, "", e.Nonce != nil
	case Published:
		rest.Source, rest.Values, ok = 0, nil, e.Source > 0
	case Voided:
		rest.Reason, ok = "", e.Reason != "" && plain(e.Reason, 1000)
	}
	rest.N, rest.Kind, rest.At, rest.By = 0, "", Moment{}, ""
	return ok && reflect.ValueOf(rest).IsZero() && !e.At.IsZero() && e.By != "" && plain(e.By, 100)
}

// EventBody returns the body whose commitment the ledger keeps for an event of
// the named draw.
func EventBody(draw string, e Event) ([]byte, error) {
	return ledger.Canonical(struct {
		Draw  string `json:"draw"`
		Event Event  `json:"event"`
	}{draw, e})
}

// ParseEventBody reads what EventBody wrote.
func ParseEventBody(body []byte) (draw string, e Event, err error) {
	var v struct {
		Draw  string `json:"draw"`
		Event Event  `json:"event"`
	}
	if err := strictJSON(body, &v); err != nil {
		return "", Event{}, fmt.Errorf("draw: event: %w", err)
	}
	return v.Draw, v.Event, nil
}

// FrozenBody returns the body whose commitment the ledger keeps for the moment
// the roster is frozen: the whole plan, so that nothing in it can change later.
func FrozenBody(p Plan) ([]byte, error) {
	return ledger.Canonical(struct {
		Frozen Plan `json:"frozen"`
	}{p})
}

// OutcomeBody returns the body whose commitment stands in public between the
// draw and its release.
func OutcomeBody(draw string, result []int) ([]byte, error) {
	return ledger.Canonical(struct {
		Draw   string `json:"draw"`
		Result []int  `json:"result"`
	}{draw, result})
}

// strictJSON decodes one JSON value with no unknown members and nothing after.
func strictJSON(text []byte, v any) error {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(v); err != nil {
		return err
	}
	if _, err := dec.Token(); err != io.EOF {
		return fmt.Errorf("more follows after its end")
	}
	return nil
}
