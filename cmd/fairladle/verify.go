package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// verifyCommand checks files against nothing but themselves and what the
// caller kept from elsewhere.
func verifyCommand(_ context.Context, args []string, out io.Writer) error {
	f := flags("verify", out)
	key := f.String("key", "", "public key of the ledger, got elsewhere")
	head := f.String("head", "", "file with a head of the ledger, kept from elsewhere: a checkpoint or an entry slip")
	proof := f.String("proof", "", "file with the proof that leads from that head to the record's, from the ledger page")
	if err := f.Parse(args); err != nil {
		return err
	}
	if f.NArg() == 0 {
		return errors.New("name the files to check: fairladle verify FILE")
	}
	kept, err := keptElsewhere(*key, *head, *proof)
	if err != nil {
		return err
	}
	v := verifier{out: out, kept: kept, holds: true}
	for _, name := range f.Args() {
		b, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		if err := v.file(name, b); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	v.standings()
	if !v.holds {
		return errFailed
	}
	return nil
}

// keptElsewhere reads what the caller brings.
func keptElsewhere(key, head, proof string) (o draw.Options, err error) {
	if key != "" {
		if o.Key, err = ledger.ParseKey(key); err != nil {
			return o, fmt.Errorf("--key: %w", err)
		}
	}
	if head != "" {
		text, err := os.ReadFile(head)
		if err != nil {
			return o, err
		}
		h, err := ledger.ParseHead(string(text))
		if err != nil {
			return o, fmt.Errorf("--head: %w", err)
		}
		o.Head = &h
	}
	if proof != "" {
		text, err := os.ReadFile(proof)
		if err != nil {
			return o, err
		}
		var file struct{ Proof *ledger.Proof }
		if err := json.Unmarshal(text, &file); err != nil || file.Proof == nil {
			return o, errors.New("--proof: this is not a proof of the ledger page")
		}
		o.Proof = *file.Proof
	}
	return o, nil
}

// A verifier checks one file after the other and says what it finds.
type verifier struct {
	out     io.Writer
	kept    draw.Options
	holds   bool
	records []draw.Record
	slips   []ledger.Slip
}

// file tells a slip from a record by its members.
func (v *verifier) file(name string, b []byte) error {
	fmt.Fprintf(v.out, "%s\n", name)
	var shape struct {
		Body *string         `json:"body"`
		Plan json.RawMessage `json:"plan"`
	}
	if err := json.Unmarshal(b, &shape); err != nil {
		return errors.New("this is not a draw record or an entry slip: it is no JSON")
	}
	if shape.Body != nil && shape.Plan == nil {
		return v.slip(b)
	}
	v.record(b)
	return nil
}

func (v *verifier) record(b []byte) {
	report := draw.Verify(b, v.kept)
	v.claims(report.Claims)
	for _, line := range report.CannotShow {
		fmt.Fprintf(v.out, "  not shown  %s\n", line)
	}
	if report.Holds() {
		v.records = append(v.records, report.Record)
	}
}

func (v *verifier) slip(b []byte) error {
	slip, err := ledger.ParseSlip(b)
	if err != nil {
		return err
	}
	v.slips = append(v.slips, slip)
	if v.kept.Key != nil {
		v.claims(slip.Verify(v.kept.Key))
		return nil
	}
	fmt.Fprintln(v.out, "  not shown  who signed the checkpoint: give the ledger's public key with --key to check that")
	v.claims([]ledger.Claim{unsigned(slip)})
	return nil
}

// unsigned checks what a slip shows without the key: that its content is in
// the tree its checkpoint names.
func unsigned(s ledger.Slip) ledger.Claim {
	head, err := ledger.ParseCheckpoint(s.Checkpoint)
	if err == nil {
		content := s.Commitment()
		err = ledger.VerifyInclusion(s.Proof, head.Size, head.Root, s.Leaf, ledger.LeafHash(content[:]))
	}
	c := ledger.Claim{What: fmt.Sprintf("entry No. %d stands in the ledger the slip names", s.Entry), Holds: err == nil}
	if err != nil {
		c.Detail = err.Error()
	}
	return c
}

// standings says of each slip whether its entry stands in the list of each
// record of the same challenge that holds.
func (v *verifier) standings() {
	for _, s := range v.slips {
		for _, rec := range v.records {
			if rec.Plan.Challenge == s.Challenge {
				fmt.Fprintf(v.out, "slip of No. %d and the draw %q\n", s.Entry, rec.Plan.Draw)
				v.claims([]ledger.Claim{rec.Standing(s)})
			}
		}
	}
}

func (v *verifier) claims(all []ledger.Claim) {
	for _, c := range all {
		word := "holds"
		if !c.Holds {
			word, v.holds = "DOES NOT HOLD", false
		}
		fmt.Fprintf(v.out, "  %-10s %s\n", word, c.What)
		if c.Detail != "" {
			fmt.Fprintf(v.out, "             %s\n", c.Detail)
		}
	}
}
