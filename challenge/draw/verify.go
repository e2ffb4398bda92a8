package draw

import (
	"bytes"
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"fairladle/challenge/ledger"
)

// Options are what a verifier knows from elsewhere.
type Options struct {
	// Head is a head of the same ledger kept elsewhere, from a slip or a feed;
	// its Origin may be empty.
	Head *ledger.Checkpoint
	// Proof leads from Head to the record's checkpoint if their sizes differ
	// and the record does not name that head itself.
	Proof ledger.Proof
	// Key is the ledger's public key, learned from elsewhere.
	Key ed25519.PublicKey
}

// Report says for each claim of a record whether it holds.
type Report struct {
	Record Record // as far as it could be read
	Claims []ledger.Claim
	// CannotShow lists in plain sentences what no check of this record can show.
	CannotShow []string
}

// Holds reports whether every claim holds.
func (r Report) Holds() bool {
	return len(r.Claims) > 0 && !slices.ContainsFunc(r.Claims, func(c ledger.Claim) bool { return !c.Holds })
}

// First returns the first claim that does not hold, in one line; it is empty if
// all do.
func (r Report) First() string {
	for _, c := range r.Claims {
		if !c.Holds {
			return c.What + ": " + c.Detail
		}
	}
	return ""
}

func (r *Report) claim(what, detail string, err error) bool {
	c := ledger.Claim{What: what, Holds: err == nil, Detail: detail}
	if err != nil {
		c.Detail = err.Error()
	}
	r.Claims = append(r.Claims, c)
	return c.Holds
}

// Verify checks a record from its bytes alone, without network or store, and
// against whatever the options bring from elsewhere.
func Verify(doc []byte, o Options) Report {
	var r Report
	rec, err := Parse(doc)
	if !r.claim("The file is a draw record, version 1", "", err) {
		return r
	}
	r.Record = rec
	list := NewList(rec.Roster)
	r.claim("The file is in canonical form (RFC 8785) and says nothing besides", "", canonical(doc, rec))
	r.claim("The plan was complete before the draw and fits its method", rec.Plan.summary(), rec.planError())
	r.claim("The list is in order and is the one the plan names", rec.Plan.Roster.summary(), rec.Plan.checkList(list))
	s, err := list.Replay(rec.Plan, rec.Events)
	if r.claim("Every event was allowed when it came", counted(len(rec.Events), "event"), err) {
		r.claim("The steps follow from the list and the events", counted(len(rec.Steps), "step"), sameSteps(s.Steps, rec.Steps))
		r.claim("The result follows from the steps", resultText(rec), sameResult(s, rec))
	}
	r.checkLedger(o)
	r.CannotShow = rec.cannotShow(o)
	return r
}

// counted writes a number with what is counted.
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func canonical(doc []byte, rec Record) error {
	again, err := ledger.Canonical(rec)
	if err != nil {
		return err
	}
	if bytes.Equal(again, doc) {
		return nil
	}
	at := 0
	for at < len(again) && at < len(doc) && again[at] == doc[at] {
		at++
	}
	return fmt.Errorf("the file differs from its canonical form at byte %d", at)
}

func (rec Record) planError() error {
	if !rec.Plan.Frozen() {
		return fmt.Errorf("the plan names no frozen list")
	}
	return rec.Plan.Check()
}

func sameSteps(want, have []Step) error {
	for i := range min(len(want), len(have)) {
		if reflect.DeepEqual(want[i], have[i]) {
			continue
		}
		text, err := ledger.Canonical(want[i])
		return errors.Join(err, fmt.Errorf("step %d should be %s", i+1, text))
	}
	if len(want) != len(have) {
		return fmt.Errorf("there should be %d steps, not %d", len(want), len(have))
	}
	return nil
}

func sameResult(s *State, rec Record) error {
	switch {
	case !s.Done && !s.Void:
		return ErrUnfinished
	case s.Void != rec.Void:
		return fmt.Errorf("whether the draw is void is told wrongly")
	case s.Void && len(rec.Result) > 0:
		return fmt.Errorf("a void draw has no result")
	case !s.Void && !slices.Equal(s.Result, rec.Result):
		return fmt.Errorf("it should be %v", s.Result)
	}
	return nil
}

// noteLines counts the line feeds of a checkpoint with one signature.
const noteLines = 5

// checkLedger checks that the plan, each event and the sealed outcome stand in
// the ledger, in this order, under a signed head.
func (r *Report) checkLedger(o Options) {
	rec, pins := r.Record, r.Record.Ledger
	head, err := ledger.ParseCheckpoint(pins.Checkpoint)
	if err == nil && strings.Count(pins.Checkpoint, "\n") != noteLines {
		err = fmt.Errorf("the checkpoint has not exactly one signature")
	}
	if !r.claim("The record names a head of the ledger", headText(head), err) {
		return
	}
	key, err := pins.key()
	if r.claim("The head is signed with the key in the record", pins.Key, err) {
		_, err = ledger.VerifyCheckpoint(pins.Checkpoint, key)
		r.Claims[len(r.Claims)-1].Holds = err == nil
		if err != nil {
			r.Claims[len(r.Claims)-1].Detail = err.Error()
		}
	}
	body, err := FrozenBody(rec.Plan)
	if err == nil {
		err = pins.Frozen.check(head, body)
	}
	r.claim("The plan and the list were fixed in the ledger", fmt.Sprintf("leaf %d", pins.Frozen.Leaf), err)
	r.claim("Every event stands in the ledger, in this order", counted(len(rec.Events), "event"), rec.checkEventPins(head))
	if pins.Outcome != nil || !rec.Plan.ReleaseAt.IsZero() && !rec.Void {
		r.claim("The outcome sealed before the release is this one", "", rec.checkOutcomePin(head))
	}
	for _, e := range pins.Earlier {
		err := ledger.VerifyConsistency(e.Proof, head, ledger.Checkpoint{Size: e.Size, Root: e.Root})
		r.claim(fmt.Sprintf("The ledger continues its earlier head of %d leaves", e.Size), "root "+e.Root.String(), err)
	}
	r.checkOutside(head, o)
}

func (p Pins) key() (ed25519.PublicKey, error) {
	key, err := hex.DecodeString(p.Key)
	if err != nil || len(key) != ed25519.PublicKeySize || KeyText(key) != p.Key {
		return nil, ledger.ErrKey
	}
	return key, nil
}

func (p Pin) check(head ledger.Checkpoint, body []byte) error {
	c := ledger.Commit(p.Salt, body)
	return ledger.VerifyInclusion(p.Proof, head.Size, head.Root, p.Leaf, ledger.LeafHash(c[:]))
}

func (rec Record) checkEventPins(head ledger.Checkpoint) error {
	pins := rec.Ledger
	if len(pins.Events) != len(rec.Events) {
		return fmt.Errorf("%d events, but %d proofs", len(rec.Events), len(pins.Events))
	}
	last := int64(-1)
	for i, e := range rec.Events {
		pin := pins.Events[i]
		body, err := EventBody(rec.Plan.Draw, e)
		if err == nil {
			err = pin.check(head, body)
		}
		switch {
		case err != nil:
			return fmt.Errorf("event %d: %w", e.N, err)
		case pin.Leaf <= last:
			return fmt.Errorf("event %d stands before the one it follows", e.N)
		case needsList(e.Kind) && pin.Leaf <= pins.Frozen.Leaf:
			return fmt.Errorf("event %d stands before the list was fixed", e.N)
		}
		last = pin.Leaf
	}
	return nil
}

// checkOutcomePin checks the outcome that was sealed until its release. It has
// to stand behind the events that led to it: the last confirmation may come
// later.
func (rec Record) checkOutcomePin(head ledger.Checkpoint) error {
	pin := rec.Ledger.Outcome
	if pin == nil {
		return fmt.Errorf("the plan has a release time, but no sealed outcome is shown")
	}
	for i, e := range rec.Events {
		if e.Kind != Confirmed && i < len(rec.Ledger.Events) && pin.Leaf <= rec.Ledger.Events[i].Leaf {
			return fmt.Errorf("it was sealed before event %d", e.N)
		}
	}
	body, err := OutcomeBody(rec.Plan.Draw, rec.Result)
	if err != nil {
		return err
	}
	return pin.check(head, body)
}

// needsList reports whether an event of this kind can come only after the list
// was fixed.
func needsList(k Kind) bool { return k != Committed && k != Voided }

// checkOutside compares the record with what was kept elsewhere: the only check
// that someone who rebuilt everything cannot pass.
func (r *Report) checkOutside(head ledger.Checkpoint, o Options) {
	if o.Key != nil {
		_, err := ledger.VerifyCheckpoint(r.Record.Ledger.Checkpoint, o.Key)
		r.claim("The head is signed with the key you gave", KeyText(o.Key), err)
	}
	if o.Head != nil {
		r.claim("The ledger is the one whose head you gave", headText(*o.Head), r.againstHead(head, o))
	}
}

func (r *Report) againstHead(head ledger.Checkpoint, o Options) error {
	kept := *o.Head
	if kept.Origin != "" && kept.Origin != head.Origin {
		return fmt.Errorf("your head is of %q, the record's of %q", kept.Origin, head.Origin)
	}
	if kept.Size == head.Size {
		if kept.Root != head.Root {
			return fmt.Errorf("the roots differ: %s in the record, %s in yours", head.Root, kept.Root)
		}
		return nil
	}
	for _, e := range r.Record.Ledger.Earlier {
		if e.Size == kept.Size && o.Proof == nil {
			o.Proof = e.Proof
		}
	}
	if o.Proof == nil {
		return fmt.Errorf("your head has %d leaves, the record's %d: give the proof that leads from one to the other as well", kept.Size, head.Size)
	}
	if kept.Size > head.Size {
		return ledger.VerifyConsistency(o.Proof, kept, head)
	}
	return ledger.VerifyConsistency(o.Proof, head, kept)
}

func headText(c ledger.Checkpoint) string {
	return fmt.Sprintf("%s, %d leaves, root %s", c.Origin, c.Size, c.Root)
}
