package draw

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"

	"fairladle/challenge/ledger"
)

// RecordVersion is the version of the record's form that this package writes
// and reads.
const RecordVersion = 1

// Record is the published document of one draw; RECORD.md describes it for
// someone who writes a verifier of their own.
type Record struct {
	Version int     `json:"version"`
	Plan    Plan    `json:"plan"`
	Roster  Roster  `json:"roster"`
	Events  []Event `json:"events"`
	Steps   []Step  `json:"steps"`
	// Result lists the entries drawn, the first place first; it is empty for a
	// draw that was declared void.
	Result []int `json:"result"`
	Void   bool  `json:"void"`
	Ledger Pins  `json:"ledger"`
}

// Pins ties the record to the challenge's ledger.
type Pins struct {
	Checkpoint string `json:"checkpoint"` // signed; the head all proofs lead to
	Key        string `json:"key"`        // Ed25519 public key, hex
	Frozen     Pin    `json:"frozen"`     // of FrozenBody(plan)
	Events     []Pin  `json:"events"`     // of EventBody(draw, event), one each
	// Outcome is of OutcomeBody(draw, result); it must be there if the plan has
	// a release time and the draw is not void.
	Outcome *Pin `json:"outcome,omitempty"`
	// Earlier are heads published before, each with the proof that the
	// checkpoint continues it.
	Earlier []EarlierHead `json:"earlier,omitempty"`
}

// Pin shows one leaf of the ledger: its body is known, its salt is given here.
type Pin struct {
	Leaf  int64        `json:"leaf"` // index, from 0
	Salt  ledger.Salt  `json:"salt"`
	Proof ledger.Proof `json:"proof"`
}

// EarlierHead is a head published before the record's checkpoint.
type EarlierHead struct {
	Size  int64        `json:"size"`
	Root  ledger.Hash  `json:"root"`
	Proof ledger.Proof `json:"proof"`
}

// ErrUnfinished says that a record was asked for before the draw had a result
// or was void.
var ErrUnfinished = errors.New("draw: the draw is neither finished nor void")

// Build returns the record of a finished or void draw as canonical JSON. It
// fails if the events do not give an outcome, and if the record would not
// verify by itself: one that does not must never be published.
func Build(p Plan, r Roster, events []Event, pins Pins) ([]byte, error) {
	s, err := Replay(p, r, events)
	if err != nil {
		return nil, err
	}
	if !s.Done && !s.Void {
		return nil, ErrUnfinished
	}
	doc, err := ledger.Canonical(recordOf(s, r, events, pins))
	if err != nil {
		return nil, err
	}
	if report := Verify(doc, Options{}); !report.Holds() {
		return nil, fmt.Errorf("draw: the record does not verify: %s", report.First())
	}
	return doc, nil
}

func recordOf(s *State, r Roster, events []Event, pins Pins) Record {
	rec := Record{
		Version: RecordVersion, Plan: s.Plan, Roster: r, Events: events,
		Steps: s.Steps, Result: s.Result, Void: s.Void, Ledger: pins,
	}
	if rec.Events == nil {
		rec.Events = []Event{}
	}
	if rec.Steps == nil {
		rec.Steps = []Step{}
	}
	if rec.Result == nil || rec.Void {
		rec.Result = []int{}
	}
	if rec.Ledger.Events == nil {
		rec.Ledger.Events = []Pin{}
	}
	return rec
}

// Parse reads a record without checking what it says.
func Parse(doc []byte) (Record, error) {
	var r Record
	if err := strictJSON(doc, &r); err != nil {
		return Record{}, fmt.Errorf("draw: not a draw record: %w", err)
	}
	if r.Version != RecordVersion {
		return Record{}, fmt.Errorf("draw: a draw record of version %d; this program reads version %d", r.Version, RecordVersion)
	}
	return r, nil
}

// KeyText writes a public key as a record does.
func KeyText(key ed25519.PublicKey) string { return hex.EncodeToString(key) }

// Inline returns a record as a page holds it for the script that checks it,
// inside <script type="application/json" id="record">: every "<" is written as
// \u003c, so that no text in the record can end the element.
func Inline(doc []byte) []byte { return bytes.ReplaceAll(doc, []byte("<"), []byte(`\u003c`)) }
