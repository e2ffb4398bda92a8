package main

import (
	"bytes"
	"crypto/rand"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-imap/v2"
	"github.com/emersion/go-imap/v2/imapserver"
	"github.com/emersion/go-imap/v2/imapserver/imapmemserver"
	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/store"
)

func openFolder(t *testing.T, folder string) *store.DB {
	t.Helper()
	db, err := store.Open(t.Context(), filepath.Join(folder, "fairladle.db"), store.Options{Now: time.Now, Random: rand.Reader})
	require.NoError(t, err)
	return db
}

// openChallenge makes a data folder with a challenge that takes entries.
func openChallenge(t *testing.T, folder string) (slug string) {
	t.Helper()
	host, db := challenge.Actor{Role: challenge.Host}, openFolder(t, folder)
	now := time.Now()
	slug, err := db.CreateChallenge(t.Context(), host, challenge.Settings{Title: "Root soups", Zone: "UTC", OpensAt: now.Add(-time.Hour), ClosesAt: now.AddDate(0, 0, 9),
		Release: now.AddDate(0, 0, 20), EntriesPerPerson: 1, Kitchen: challenge.DefaultKitchen(), Criteria: challenge.DefaultCriteria()})
	require.NoError(t, err)
	c, err := db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	require.NoError(t, db.Announce(t.Context(), host, c.ID))
	require.NoError(t, db.Close())

	return slug
}

func TestImportCommand(t *testing.T) {
	folder := t.TempDir()
	slug := openChallenge(t, folder)
	open := func() *store.DB { return openFolder(t, folder) }

	box := filepath.Join(folder, "post.mbox")
	var b strings.Builder
	for i, root := range []string{"beet", "carrot", "turnip"} {
		fmt.Fprintf(&b, "From x Mon Nov  2 10:00:00 2026\nFrom: Cook%d Alder <cook%d@example.org>\nMessage-ID: <%d@example.org>\n\n%s soup\n\n500 g %s\n1 l stock\n\nSimmer %s in stock, mash %s well, season %s, serve %s hot after %d minutes.\n\n",
			i, i, i, root, root, root, root, root, root, 20+i)
	}
	b.WriteString("From x Mon Nov  2 10:00:00 2026\nFrom: a@example.org\nAuto-Submitted: auto-replied\n\nAway.\n")
	require.NoError(t, os.WriteFile(box, []byte(b.String()), 0o600))

	run := func(args ...string) string {
		var out bytes.Buffer
		require.NoError(t, importCommand(t.Context(), append([]string{"--data", folder, "--challenge", slug, box}, args...), &out))
		require.NotContains(t, out.String(), "Alder")
		return out.String()
	}
	entries := func() int {
		db := open()
		defer db.Close()
		c, err := db.ChallengeBySlug(t.Context(), slug)
		require.NoError(t, err)
		return c.Entries
	}
	require.Contains(t, run(), "Nothing was created; --yes makes 3 entries.")
	require.Zero(t, entries())
	said := run("--yes")
	require.Contains(t, said, "An automatic reply.")
	require.Contains(t, said, "3 entries made, 0 not made.")
	require.Equal(t, 3, entries())
	require.Contains(t, run("--yes"), "It was brought in before.")
	require.Equal(t, 3, entries())

	var out bytes.Buffer
	require.ErrorContains(t, importCommand(t.Context(), []string{"--data", folder}, &out), "say where")
	require.ErrorContains(t, importCommand(t.Context(), []string{"--data", t.TempDir(), "--challenge", slug, box}, &out), "is no data folder")
	require.ErrorContains(t, importCommand(t.Context(), []string{"--data", folder, "--challenge", slug, "--column", "colour=x", box}, &out), "ROLE=HEADING")
}

// The mails of a folder come in through a server that the test starts, once.
func TestImportFolder(t *testing.T) {
	folder := t.TempDir()
	slug := openChallenge(t, folder)
	user := imapmemserver.NewUser("cook", "ladle")
	require.NoError(t, user.Create("Recipes", nil))
	for i, root := range []string{"beet", "carrot"} {
		m := fmt.Sprintf("From: Cook%d Alder <cook%d@example.org>\r\nMessage-ID: <%d@example.org>\r\nSubject: %s soup\r\n\r\n%s soup\r\n\r\n500 g %s\r\n1 l stock\r\n\r\nSimmer %s in stock for 20 minutes, mash and season.\r\n", i, i, i, root, root, root, root)
		_, err := user.Append("Recipes", literal{strings.NewReader(m)}, &imap.AppendOptions{})
		require.NoError(t, err)
	}
	address := serveFolder(t, user)

	run := func(args ...string) (string, error) {
		var out bytes.Buffer
		err := importCommand(t.Context(), append([]string{"--data", folder, "--challenge", slug, "--imap", address}, args...), &out)
		return out.String(), err
	}
	_, err := run()
	require.ErrorContains(t, err, "FAIRLADLE_IMAP_PASSWORD")
	t.Setenv("FAIRLADLE_IMAP_PASSWORD", "ladle")
	said, err := run("--yes", "--doubtful")
	require.NoError(t, err)
	require.Contains(t, said, "Recipes, mail 1")
	require.Contains(t, said, "2 entries made, 0 not made.")
	said, err = run("--yes")
	require.NoError(t, err)
	require.Contains(t, said, "It was brought in before.")
	require.Contains(t, said, "Nothing was created")

	t.Setenv("FAIRLADLE_IMAP_PASSWORD", "spoon")
	_, err = run("--yes")
	require.ErrorContains(t, err, "refuses cook")
	require.NotContains(t, err.Error(), "spoon")
}

type literal struct{ *strings.Reader }

func serveFolder(t *testing.T, user *imapmemserver.User) string {
	t.Helper()
	memory := imapmemserver.New()
	memory.AddUser(user)
	s := imapserver.New(&imapserver.Options{InsecureAuth: true, Caps: imap.CapSet{imap.CapIMAP4rev1: {}},
		NewSession: func(*imapserver.Conn) (imapserver.Session, *imapserver.GreetingData, error) {
			return memory.NewSession(), nil, nil
		}})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	go s.Serve(l) //nolint:errcheck // ends with Close
	t.Cleanup(func() { s.Close() })
	return "imap://cook@" + l.Addr().String() + "/Recipes"
}
