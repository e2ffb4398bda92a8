package main

import (
	"bytes"
	"crypto/rand"
	"database/sql"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/store/backup"
)

func TestLedgerCheckTellsEachLeaf(t *testing.T) {
	ctx, dir := t.Context(), t.TempDir()
	file := filepath.Join(dir, backup.Name)
	now := time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)
	db, err := store.Open(ctx, file, store.Options{Now: func() time.Time { return now }, Random: rand.Reader})
	require.NoError(t, err)
	host := challenge.Actor{Role: challenge.Host, ID: 1}
	slug, err := db.CreateChallenge(ctx, host, challenge.Settings{Title: "Stuffed leaves", Zone: "UTC", OpensAt: now, ClosesAt: now.AddDate(0, 0, 7),
		Release: now.AddDate(0, 0, 30), EntriesPerPerson: 1, Kitchen: challenge.DefaultKitchen(), Criteria: challenge.DefaultCriteria()})
	require.NoError(t, err)
	c, err := db.ChallengeBySlug(ctx, slug)
	require.NoError(t, err)
	require.NoError(t, db.Announce(ctx, host, c.ID))
	for _, name := range []string{"ada", "ben"} {
		_, _, err := db.Submit(ctx, c.ID, "", challenge.Submission{Name: name, Email: name + "@example.org", Origin: challenge.OriginOwn, Text: "Leek soup of " + name + "\n\n3 leeks",
			Consents: map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}}, "", nil)
		require.NoError(t, err)
	}
	require.NoError(t, db.Erase(ctx, host, c.ID, 1))
	require.NoError(t, db.Close())

	check := func() (string, error) {
		var out bytes.Buffer
		err := run(ctx, []string{"ledger", "check", "--data", dir}, &out)
		return out.String(), err
	}
	said, err := check()
	require.NoError(t, err, said)
	require.Contains(t, said, "0  holds     challenge-announced")
	require.Contains(t, said, "1  erased ")
	require.Contains(t, said, "3 hold, 1 erased, 0 tampered with")
	require.Contains(t, said, "head: 4 leaves")
	require.NotContains(t, said, "ben")

	raw, err := sql.Open("sqlite", file)
	require.NoError(t, err)
	_, err = raw.Exec(`UPDATE dish_version SET text = 'Another soup' WHERE leaf = 2`)
	require.NoError(t, err)
	require.NoError(t, raw.Close())
	said, err = check()
	require.ErrorIs(t, err, errFailed)
	require.Contains(t, said, "2  tampered  entry-received\n          the stored text of the entry is not what was received")

	require.ErrorContains(t, run(ctx, []string{"ledger"}, &bytes.Buffer{}), "ledger check --data FOLDER")
	require.ErrorContains(t, run(ctx, []string{"ledger", "check", "--data", t.TempDir()}, &bytes.Buffer{}), "no database")
}
