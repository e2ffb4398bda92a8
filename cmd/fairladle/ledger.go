package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
	"fairladle/store"
	"fairladle/store/backup"
)

// ledgerCommand has one subcommand, check.
func ledgerCommand(ctx context.Context, args []string, out io.Writer) error {
	if len(args) == 0 || args[0] != "check" {
		return errors.New("say what to do with the ledger: fairladle ledger check --data FOLDER")
	}
	folder, rest, err := dataFlag("ledger check", args[1:], out)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return errors.New("ledger check takes a data folder only: fairladle ledger check --data FOLDER")
	}
	file := filepath.Join(folder, backup.Name)
	if _, err := os.Stat(file); err != nil {
		return fmt.Errorf("there is no database: %w", err)
	}
	db, err := store.Open(ctx, file, store.Options{Now: time.Now, Random: rand.Reader})
	if err != nil {
		return err
	}
	defer db.Close()
	cs, err := db.Challenges(ctx)
	if err != nil {
		return err
	}
	holds := true
	for _, c := range cs {
		ok, err := checkLeaves(ctx, db, c, out)
		if err != nil {
			return err
		}
		holds = holds && ok
	}
	fmt.Fprintln(out, "not shown  whether the whole file was exchanged: compare each head with one kept elsewhere, on a slip, in a record or on a page saved earlier")
	if !holds {
		return errFailed
	}
	return nil
}

// checkLeaves says what was found about each leaf of one ledger.
func checkLeaves(ctx context.Context, db *store.DB, c challenge.Challenge, out io.Writer) (bool, error) {
	found, err := db.CheckLedger(ctx, c.ID)
	if err != nil {
		return false, err
	}
	kinds, err := db.LeafKinds(ctx, c.ID)
	if err != nil {
		return false, err
	}
	fmt.Fprintf(out, "ledger of %s\n", c.Slug)
	count := map[ledger.State]int{}
	for i, f := range found {
		count[f.State]++
		fmt.Fprintf(out, "  %6d  %-8s  %s\n", f.Index, f.State, kinds[i])
		if f.Detail != "" {
			fmt.Fprintf(out, "          %s\n", f.Detail)
		}
	}
	fmt.Fprintf(out, "  %d hold, %d erased, %d tampered with\n", count[ledger.Holds], count[ledger.Erased], count[ledger.Tampered])
	if count[ledger.Tampered] > 0 {
		return false, nil
	}
	l, err := db.Ledger(ctx, c, challenge.Public)
	if err != nil {
		return false, err
	}
	head, err := ledger.ParseCheckpoint(l.Checkpoint)
	if err != nil {
		return false, err
	}
	fmt.Fprintf(out, "  head: %d leaves, root %s\n", head.Size, head.Root)
	return true, nil
}
