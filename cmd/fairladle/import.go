package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/intake"
	"fairladle/cmd/fairladle/mailfolder"
	"fairladle/store"
	"fairladle/web"
	"fairladle/web/pdf"
)

// An importing is what the import command is told.
type importing struct {
	data, slug    string
	yes, doubtful bool
	columns       columnFlags
	files         []string
	folder        *mailfolder.Account // of a mail server, instead of files
	since         time.Time           // of mails in the folder
}

// columnFlags collect --column ROLE=HEADING.
type columnFlags map[string]string

func (c columnFlags) String() string { return "" }

// Set takes one ROLE=HEADING.
func (c columnFlags) Set(s string) error {
	role, heading, ok := strings.Cut(s, "=")
	for _, r := range intake.Roles {
		if ok && r == role {
			c[role] = heading
			return nil
		}
	}
	return fmt.Errorf("write it as ROLE=HEADING; the roles are %s", strings.Join(intake.Roles, ", "))
}

// importCommand shows what files bring, and with --yes makes entries of it.
func importCommand(ctx context.Context, args []string, out io.Writer) error {
	i := importing{columns: columnFlags{}}
	f := flags("import", out)
	f.StringVar(&i.data, "data", env("FAIRLADLE_DATA", ""), "the data folder (FAIRLADLE_DATA)")
	f.StringVar(&i.slug, "challenge", "", "the challenge: the last part of its public address")
	f.BoolVar(&i.yes, "yes", false, "make entries; without it they are only shown")
	f.BoolVar(&i.doubtful, "doubtful", false, "make entries of what is doubtful too")
	address := f.String("imap", "", "a folder of a mail server instead of files, as imaps://USER@HOST/FOLDER; it is only looked at, and the password comes from FAIRLADLE_IMAP_PASSWORD")
	f.Func("since", "of that folder only mails of this day or later, as 2026-11-01", func(s string) (err error) {
		i.since, err = time.Parse(time.DateOnly, s)
		return err
	})
	f.Var(i.columns, "column", "which column of a table holds what, as ROLE=HEADING; can be given again")
	var err error
	if i.files, err = parseMixed(f, args); err != nil {
		return err
	}
	if *address != "" {
		if i.folder, err = folderOf(*address); err != nil {
			return err
		}
	}
	if i.data == "" || i.slug == "" || len(i.files) == 0 && i.folder == nil {
		return errors.New("say where, for which challenge, and what: fairladle import --data FOLDER --challenge NAME FILE... [--yes]")
	}
	file := filepath.Join(i.data, "fairladle.db")
	if _, err := os.Stat(file); err != nil {
		return fmt.Errorf("%s is no data folder: %w", i.data, err)
	}
	db, err := store.Open(ctx, file, store.Options{Now: time.Now, Random: rand.Reader})
	if err != nil {
		return err
	}
	defer closeDB(db)
	return i.run(ctx, db, out)
}

func (i importing) run(ctx context.Context, db *store.DB, out io.Writer) error {
	host := challenge.Actor{Role: challenge.Host}
	c, err := db.ChallengeBySlug(ctx, i.slug)
	if err != nil {
		return err
	}
	stage := i.stage
	if i.folder != nil {
		stage = i.stageFolder(out)
	}
	id, err := stage(ctx, db, host, c.ID)
	if err != nil {
		return err
	}
	_, items, err := db.Import(ctx, host, c.ID, id)
	if err != nil {
		return err
	}
	chosen := i.preview(out, items)
	if !i.yes || len(chosen) == 0 {
		fmt.Fprintf(out, "\nNothing was created; --yes makes %d entries.\n", len(chosen))
		return db.DiscardImport(ctx, host, c.ID, id)
	}
	if err := db.ChooseImport(ctx, host, c.ID, id, chosen); err != nil {
		return err
	}
	return i.create(ctx, db, host, c.ID, id, out)
}

func (i importing) stage(ctx context.Context, db *store.DB, host challenge.Actor, challengeID int64) (int64, error) {
	id, err := db.BeginImport(ctx, host, challengeID, filepath.Base(i.files[0]))
	if err != nil {
		return 0, err
	}
	for _, name := range i.files {
		data, err := os.ReadFile(name)
		if err != nil {
			return 0, errors.Join(err, db.DiscardImport(ctx, host, challengeID, id))
		}
		if err := db.StageImport(ctx, id, intake.All(filepath.Base(name), data, i.options(ctx))); err != nil {
			return 0, err
		}
	}
	return id, db.ReadyImport(ctx, host, challengeID, id)
}

func (i importing) options(ctx context.Context) intake.Options {
	return intake.Options{Columns: i.columns, PDF: pdfApart(ctx)}
}

// pdfApart reads PDFs in a process of their own.
func pdfApart(ctx context.Context) func([]byte) (string, error) {
	return func(data []byte) (string, error) { return pdf.Apart(ctx, data) }
}

// preview prints what was found, without names, and returns what is to become
// an entry.
func (i importing) preview(out io.Writer, items []store.ImportItem) (chosen []int) {
	for _, x := range items {
		fmt.Fprintf(out, "%4d. %-8s %s (%s)\n", x.Seq, x.Verdict, x.Title, x.Place)
		for _, why := range x.Reasons {
			fmt.Fprintf(out, "               %s\n", why)
		}
		for _, l := range x.Copies {
			if l.Entry > 0 {
				fmt.Fprintf(out, "               %.0f %% like entry No. %d\n", 100*l.Like, l.Entry)
			} else {
				fmt.Fprintf(out, "               %.0f %% like number %d\n", 100*l.Like, l.Item)
			}
		}
		if x.MayBecome() && (x.Verdict == intake.Entry || i.doubtful && x.Verdict == intake.Doubtful) {
			chosen = append(chosen, x.Seq)
		}
	}
	return chosen
}

// create works off what was chosen. Stopped in the middle, it goes on when a
// server runs on the folder, or with the next import.
func (i importing) create(ctx context.Context, db *store.DB, host challenge.Actor, challengeID, id int64, out io.Writer) error {
	site := web.New(db, web.Config{})
	for {
		n, err := site.MakeImported(ctx, 50)
		if err != nil {
			return err
		}
		if n == 0 {
			break
		}
		made, _, err := db.Import(ctx, host, challengeID, id)
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "%d of %d\n", made.Made+made.Failed, made.Chosen+made.Made+made.Failed)
	}
	done, _, err := db.Import(ctx, host, challengeID, id)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%d entries made, %d not made. Their senders' private links wait in the outbox.\n", done.Made, done.Failed)
	return nil
}
