package main

import (
	"bytes"
	"crypto/rand"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/store"
)

func TestImportCommand(t *testing.T) {
	folder := t.TempDir()
	host := challenge.Actor{Role: challenge.Host}
	open := func() *store.DB {
		db, err := store.Open(t.Context(), filepath.Join(folder, "fairladle.db"), store.Options{Now: time.Now, Random: rand.Reader})
		require.NoError(t, err)
		return db
	}
	db := open()
	now := time.Now()
	slug, err := db.CreateChallenge(t.Context(), host, challenge.Settings{Title: "Root soups", Zone: "UTC", OpensAt: now.Add(-time.Hour), ClosesAt: now.AddDate(0, 0, 9),
		Release: now.AddDate(0, 0, 20), EntriesPerPerson: 1, Kitchen: challenge.DefaultKitchen(), Criteria: challenge.DefaultCriteria()})
	require.NoError(t, err)
	c, err := db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	require.NoError(t, db.Announce(t.Context(), host, c.ID))
	require.NoError(t, db.Close())

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
