package backup_test

import (
	"context"
	"crypto/rand"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/store/backup"
)

// used is a data folder whose server is running.
func used(t *testing.T) (string, *store.DB) {
	dir := t.TempDir()
	db, err := store.Open(t.Context(), filepath.Join(dir, backup.Name), store.Options{Now: time.Now, Random: rand.Reader})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	host := challenge.Actor{Role: challenge.Host, ID: 1}
	now := time.Now()
	slug, err := db.CreateChallenge(t.Context(), host, challenge.Settings{Title: "Leaves", Zone: "UTC", OpensAt: now.Add(-time.Hour),
		ClosesAt: now.AddDate(0, 0, 2), Release: now.AddDate(0, 0, 9), EntriesPerPerson: 1, Criteria: challenge.DefaultCriteria()})
	require.NoError(t, err)
	c, err := db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	require.NoError(t, db.Announce(t.Context(), host, c.ID))
	_, _, err = db.Submit(t.Context(), c.ID, "", challenge.Submission{Name: "A", Email: "a@example.org", Origin: challenge.OriginOwn, Text: "Soup\n\n1 leek",
		Consents: map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}}, "", nil)
	require.NoError(t, err)
	return dir, db
}

func TestCopyWhileInUseThenRestore(t *testing.T) {
	dir, _ := used(t)
	file := filepath.Join(t.TempDir(), "copy.db")
	r, err := backup.Copy(t.Context(), dir, file)
	require.NoError(t, err)
	require.Empty(t, r.Faults)
	require.Equal(t, 1, r.Entries)
	require.Equal(t, 2, r.Leaves)
	_, err = backup.Copy(t.Context(), dir, file)
	require.ErrorIs(t, err, backup.ErrExists)

	fresh := filepath.Join(t.TempDir(), "fresh")
	_, err = backup.Restore(t.Context(), file, fresh)
	require.NoError(t, err)
	_, err = backup.Restore(t.Context(), file, fresh)
	require.ErrorIs(t, err, backup.ErrExists)
	db, err := store.Open(context.Background(), filepath.Join(fresh, backup.Name), store.Options{Now: time.Now, Random: rand.Reader})
	require.NoError(t, err)
	defer db.Close()
	c, err := db.ChallengeBySlug(t.Context(), "leaves")
	require.NoError(t, err)
	require.Equal(t, 1, c.Entries)
}

func TestDamageIsFound(t *testing.T) {
	dir, _ := used(t)
	file := filepath.Join(t.TempDir(), "copy.db")
	_, err := backup.Copy(t.Context(), dir, file)
	require.NoError(t, err)
	b, err := os.ReadFile(file)
	require.NoError(t, err)
	for i := len(b) / 2; i < len(b)/2+4096; i++ {
		b[i] ^= 0x5a
	}
	require.NoError(t, os.WriteFile(file, b, 0o600))
	r, err := backup.Check(t.Context(), file)
	require.True(t, err != nil || len(r.Faults) > 0)
	_, err = backup.Check(t.Context(), filepath.Join(dir, "nothing.db"))
	require.ErrorContains(t, err, "no database")
}

func TestRotateKeepsTheNewestAndTouchesNothingElse(t *testing.T) {
	dir, _ := used(t)
	folder := t.TempDir()
	mine := filepath.Join(folder, "fairladle-by-hand.db")
	require.NoError(t, os.WriteFile(mine, []byte("a copy somebody made"), 0o600))
	start := time.Date(2026, 11, 25, 2, 0, 0, 0, time.UTC)
	for i := range 5 {
		r, err := backup.Rotate(t.Context(), dir, folder, start.AddDate(0, 0, i), 3)
		require.NoError(t, err)
		require.Empty(t, r.Faults)
	}
	names := func() (all []string) {
		entries, err := os.ReadDir(folder)
		require.NoError(t, err)
		for _, e := range entries {
			all = append(all, e.Name())
		}
		return all
	}
	want := []string{"fairladle-20261127T020000Z.db", "fairladle-20261128T020000Z.db", "fairladle-20261129T020000Z.db", "fairladle-by-hand.db"}
	require.Equal(t, want, names())
	newest, err := backup.Newest(folder)
	require.NoError(t, err)
	require.Equal(t, start.AddDate(0, 0, 4), newest)
	info, err := os.Stat(filepath.Join(folder, want[0]))
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())

	// A copy that fails deletes none of those there are.
	_, err = backup.Rotate(t.Context(), t.TempDir(), folder, start.AddDate(0, 0, 9), 1)
	require.Error(t, err)
	require.Equal(t, want, names())
}
