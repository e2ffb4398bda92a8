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
	"fairladle/store"
	"fairladle/store/backup"
	"fairladle/web"
)

const hostHelp = `fairladle host list    --data FOLDER                 who may sign in
fairladle host reset   --data FOLDER --email ADDRESS  a link for a new password, for a host who cannot sign in
fairladle host add     --data FOLDER --email ADDRESS --name NAME  a further host
fairladle host address --data FOLDER https://NAME     another public address for the site

The server may be running. Each is written down where hosts see it.`

// hostCommand is for whoever runs the server: it needs the data folder, so
// nobody reaches it from outside.
func hostCommand(ctx context.Context, args []string, out io.Writer) error {
	if len(args) == 0 || strings.HasPrefix(args[0], "-") {
		fmt.Fprintln(out, hostHelp)
		return errors.New("say what to do: list, reset, add or address")
	}
	do := args[0]
	f := flags("host "+do, out)
	data := f.String("data", env("FAIRLADLE_DATA", ""), "the data folder (FAIRLADLE_DATA)")
	email := f.String("email", "", "the host's e-mail address")
	name := f.String("name", "", "the new host's name")
	if err := f.Parse(args[1:]); err != nil {
		return err
	}
	db, err := openData(ctx, *data)
	if err != nil {
		return err
	}
	defer closeDB(db)
	switch do {
	case "list":
		return listHosts(ctx, db, out)
	case "reset":
		return resetHost(ctx, db, *email, out)
	case "add":
		return addHost(ctx, db, *name, *email, out)
	case "address":
		return moveSite(ctx, db, f.Args(), out)
	}
	fmt.Fprintln(out, hostHelp)
	return fmt.Errorf("host cannot %q", do)
}

// openData opens the database of a folder that has one.
func openData(ctx context.Context, folder string) (*store.DB, error) {
	if folder == "" {
		return nil, errors.New("say which data folder: --data FOLDER")
	}
	file := filepath.Join(folder, backup.Name)
	if _, err := os.Stat(file); err != nil {
		return nil, fmt.Errorf("there is no database in %s: %w", folder, err)
	}
	return store.Open(ctx, file, store.Options{Now: time.Now, Random: rand.Reader})
}

func listHosts(ctx context.Context, db *store.DB, out io.Writer) error {
	all, err := db.Hosts(ctx)
	if err != nil {
		return err
	}
	for _, h := range all {
		fmt.Fprintf(out, "%s <%s>\n", h.Name, h.Email)
	}
	if len(all) == 0 {
		fmt.Fprintln(out, "Nobody yet: the server has not been set up.")
	}
	return nil
}

func resetHost(ctx context.Context, db *store.DB, email string, out io.Writer) error {
	all, err := db.Hosts(ctx)
	if err != nil {
		return err
	}
	if email == "" && len(all) == 1 {
		email = all[0].Email
	}
	h, err := db.HostByEmail(ctx, email)
	if err != nil {
		return fmt.Errorf("there is no host with the address %q; fairladle host list says who there is", email)
	}
	token, err := db.ResetLink(ctx, h.ID)
	if err != nil {
		return err
	}
	return tellReset(ctx, db, h.Name, token, out)
}

func addHost(ctx context.Context, db *store.DB, name, email string, out io.Writer) error {
	if name == "" || email == "" {
		return errors.New("give both: fairladle host add --data FOLDER --email ADDRESS --name NAME")
	}
	token, err := db.AddHost(ctx, name, email)
	if err != nil {
		return err
	}
	return tellReset(ctx, db, name, token, out)
}

func tellReset(ctx context.Context, db *store.DB, name, token string, out io.Writer) error {
	site, err := db.Site(ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "Give this link to %s. It works once, within an hour:\n\n  %s/reset/%s\n", name, site.PublicURL, token)
	return nil
}

func moveSite(ctx context.Context, db *store.DB, args []string, out io.Writer) error {
	if len(args) != 1 {
		return errors.New("give the new address: fairladle host address --data FOLDER https://recipes.example.org")
	}
	site, err := db.Site(ctx)
	if err != nil {
		return err
	}
	if site.SetUpAt.IsZero() {
		return challenge.Refuse(challenge.Shut, "", "the server has not been set up; it asks for its address then")
	}
	address := strings.TrimRight(args[0], "/")
	if !web.IsAddress(address) {
		return fmt.Errorf("%q is no address; write it with https:// and without anything behind the name, such as https://recipes.example.org", args[0])
	}
	if err := db.MoveSite(ctx, address); err != nil {
		return err
	}
	fmt.Fprintf(out, "The site's address was %s and is now %s. Passkeys made for the old name work no more.\n", site.PublicURL, address)
	return nil
}
