package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"fairladle/store/backup"
)

// dataFlag is the folder a command works on.
func dataFlag(name string, args []string, out io.Writer) (folder string, rest []string, err error) {
	f := flags(name, out)
	f.StringVar(&folder, "data", env("FAIRLADLE_DATA", ""), "the data folder (FAIRLADLE_DATA)")
	if err := f.Parse(args); err != nil {
		return "", nil, err
	}
	if folder == "" {
		return "", nil, fmt.Errorf("say which data folder: fairladle %s --data FOLDER", name)
	}
	return folder, f.Args(), nil
}

func backupCommand(ctx context.Context, args []string, out io.Writer) error {
	folder, rest, err := dataFlag("backup", args, out)
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return errors.New("name the file to write: fairladle backup --data FOLDER FILE")
	}
	r, err := backup.Copy(ctx, folder, rest[0])
	if err != nil {
		return err
	}
	return tellReport(out, r, "copied and checked")
}

func restoreCommand(ctx context.Context, args []string, out io.Writer) error {
	folder, rest, err := dataFlag("restore", args, out)
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return errors.New("name the copy to put back: fairladle restore --data FOLDER FILE")
	}
	r, err := backup.Restore(ctx, rest[0], folder)
	if err != nil {
		return err
	}
	return tellReport(out, r, "put back")
}

func checkCommand(ctx context.Context, args []string, out io.Writer) error {
	folder, rest, err := dataFlag("check", args, out)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return errors.New("check takes a data folder only: fairladle check --data FOLDER")
	}
	r, err := backup.Check(ctx, filepath.Join(folder, backup.Name))
	if err != nil {
		return err
	}
	return tellReport(out, r, "nothing is wrong")
}

func tellReport(out io.Writer, r backup.Report, good string) error {
	fmt.Fprintf(out, "%d challenges, %d entries, %d photos, %d lines of ledger (%d erased)\n", r.Challenges, r.Entries, r.Photos, r.Leaves, r.Erased)
	if len(r.Faults) == 0 {
		fmt.Fprintln(out, good)
		return nil
	}
	for _, f := range r.Faults {
		fmt.Fprintln(out, "  fault:", f)
	}
	return errFailed
}
