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
	head := f.String("head", "", "file with a checkpoint of the ledger, kept from elsewhere")
	if err := f.Parse(args); err != nil {
		return err
	}
	if f.NArg() == 0 {
		return errors.New("name the files to check: fairladle verify FILE")
	}
	holds := true
	for _, name := range f.Args() {
		b, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		ok, err := verifyFile(out, name, b, *key, *head)
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		holds = holds && ok
	}
	if !holds {
		return errFailed
	}
	return nil
}

// verifyFile tells a slip from a record by its members.
func verifyFile(out io.Writer, name string, b []byte, key, head string) (bool, error) {
	fmt.Fprintf(out, "%s\n", name)
	var shape struct {
		Body *string         `json:"body"`
		Plan json.RawMessage `json:"plan"`
	}
	if err := json.Unmarshal(b, &shape); err != nil {
		return false, errors.New("this is not a draw record or an entry slip: it is no JSON")
	}
	if shape.Body != nil && shape.Plan == nil {
		return verifySlip(out, b, key)
	}
	return verifyRecord(out, b, key, head)
}

func verifyRecord(out io.Writer, b []byte, key, head string) (bool, error) {
	var o draw.Options
	if key != "" {
		k, err := ledger.ParseKey(key)
		if err != nil {
			return false, fmt.Errorf("--key: %w", err)
		}
		o.Key = k
	}
	if head != "" {
		text, err := os.ReadFile(head)
		if err != nil {
			return false, err
		}
		h, err := ledger.ParseCheckpoint(string(text))
		if err != nil {
			return false, fmt.Errorf("--head: %w", err)
		}
		o.Head = &h
	}
	report := draw.Verify(b, o)
	printClaims(out, report.Claims)
	for _, line := range report.CannotShow {
		fmt.Fprintf(out, "  not shown  %s\n", line)
	}
	return report.Holds(), nil
}

func verifySlip(out io.Writer, b []byte, key string) (bool, error) {
	slip, err := ledger.ParseSlip(b)
	if err != nil {
		return false, err
	}
	if key == "" {
		fmt.Fprintln(out, "  not shown  who signed the checkpoint: give the ledger's public key with --key to check that")
		return checkUnsigned(out, slip), nil
	}
	k, err := ledger.ParseKey(key)
	if err != nil {
		return false, fmt.Errorf("--key: %w", err)
	}
	return printClaims(out, slip.Verify(k)), nil
}

// checkUnsigned checks what a slip shows without the key: that its content is
// in the tree its checkpoint names.
func checkUnsigned(out io.Writer, s ledger.Slip) bool {
	head, err := ledger.ParseCheckpoint(s.Checkpoint)
	if err == nil {
		content := s.Commitment()
		err = ledger.VerifyInclusion(s.Proof, head.Size, head.Root, s.Leaf, ledger.LeafHash(content[:]))
	}
	c := ledger.Claim{What: fmt.Sprintf("entry No. %d stands in the ledger the slip names", s.Entry), Holds: err == nil}
	if err != nil {
		c.Detail = err.Error()
	}
	return printClaims(out, []ledger.Claim{c})
}

func printClaims(out io.Writer, claims []ledger.Claim) bool {
	all := true
	for _, c := range claims {
		word := "holds"
		if !c.Holds {
			word, all = "DOES NOT HOLD", false
		}
		fmt.Fprintf(out, "  %-10s %s\n", word, c.What)
		if c.Detail != "" {
			fmt.Fprintf(out, "             %s\n", c.Detail)
		}
	}
	return all
}
