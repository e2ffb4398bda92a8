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

	"fairladle/store"
	"fairladle/store/backup"
	"fairladle/web"
	"fairladle/web/site"
)

// exportCommand takes what is public elsewhere. So far there is one kind of
// export, the static site.
func exportCommand(ctx context.Context, args []string, out io.Writer) error {
	if len(args) == 0 || args[0] != "site" {
		return errors.New("say what to export: fairladle export site --data FOLDER --challenge NAME FILE.zip")
	}
	f := flags("export site", out)
	data := f.String("data", env("FAIRLADLE_DATA", ""), "the data folder (FAIRLADLE_DATA)")
	slug := f.String("challenge", "", "the challenge, as in its address /c/NAME")
	if err := f.Parse(args[1:]); err != nil {
		return err
	}
	if *data == "" || *slug == "" || f.NArg() != 1 {
		return errors.New("say which challenge and where to: fairladle export site --data FOLDER --challenge NAME FILE.zip")
	}
	return exportSite(ctx, *data, *slug, f.Arg(0), out)
}

func exportSite(ctx context.Context, data, slug, file string, out io.Writer) error {
	path := filepath.Join(data, backup.Name)
	if _, err := os.Stat(path); err != nil {
		return fmt.Errorf("%s holds no data: %w", data, err)
	}
	db, err := store.Open(ctx, path, store.Options{Now: time.Now, Random: rand.Reader})
	if err != nil {
		return err
	}
	defer closeDB(db)
	settings, err := db.Site(ctx)
	if err != nil {
		return err
	}
	c, err := site.Collect(ctx, web.New(db, web.Config{}), slug, settings.PublicURL)
	if err != nil {
		return fmt.Errorf("challenge %q: %w", slug, err)
	}
	if err := c.SaveZip(file, time.Now()); err != nil {
		return err
	}
	fmt.Fprintf(out, "%d files of what is public now, in %s\n", len(c.Files), file)
	if len(c.Left) > 0 {
		fmt.Fprintf(out, "%d addresses had nothing public and were left out\n", len(c.Left))
	}
	fmt.Fprintln(out, "A recipe whose author takes the agreement back stays in copies made before; make a new one then.")
	return nil
}
