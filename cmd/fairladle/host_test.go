package main

import (
	"bytes"
	"crypto/rand"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/store"
	"fairladle/store/backup"
)

// setUpFolder is a data folder of a server that was set up and still runs.
func setUpFolder(t *testing.T) (string, *store.DB) {
	folder := t.TempDir()
	db, err := store.Open(t.Context(), filepath.Join(folder, backup.Name), store.Options{Now: time.Now, Random: rand.Reader})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	token, err := db.SetUpLink(t.Context())
	require.NoError(t, err)
	_, err = db.SetUpSite(t.Context(), token, store.SetUp{SiteName: "S", PublicURL: "https://recipes.example", Language: "en", Name: "Hanne", Email: "hanne@example.org", PasswordHash: "x"})
	require.NoError(t, err)
	return folder, db
}

func TestHostResetWhileTheServerRuns(t *testing.T) {
	folder, db := setUpFolder(t)
	id, _, err := db.BeginSignIn(t.Context(), 1, "Firefox, Linux")
	require.NoError(t, err)
	say := func(args ...string) (string, error) {
		var out bytes.Buffer
		err := run(t.Context(), append([]string{"host"}, args...), &out)
		return out.String(), err
	}
	out, err := say("list", "--data", folder)
	require.NoError(t, err)
	require.Equal(t, "Hanne <hanne@example.org>\n", out)
	_, err = say("reset", "--data", folder, "--email", "nobody@example.org")
	require.ErrorContains(t, err, "host list says who there is")
	out, err = say("reset", "--data", folder)
	require.NoError(t, err)
	link := regexp.MustCompile(`https://recipes\.example/reset/(\S+)`).FindStringSubmatch(out)
	require.NotNil(t, link, out)
	lines, err := db.AccountLines(t.Context(), 1, 10)
	require.NoError(t, err)
	require.Equal(t, store.ResetLinkMade, lines[0].Kind, "an audit line is written")
	host, err := db.Reset(t.Context(), link[1], "another")
	require.NoError(t, err)
	require.EqualValues(t, 1, host)
	holds, err := db.SignInHolds(t.Context(), id, 1)
	require.NoError(t, err)
	require.False(t, holds, "whoever was signed in is out")
	_, err = db.Reset(t.Context(), link[1], "again")
	require.Error(t, err)
}

func TestHostAddAndAddress(t *testing.T) {
	folder, db := setUpFolder(t)
	var out bytes.Buffer
	require.NoError(t, run(t.Context(), []string{"host", "add", "--data", folder, "--email", "lior@example.org", "--name", "Lior"}, &out))
	require.Contains(t, out.String(), "/reset/")
	require.ErrorContains(t, run(t.Context(), []string{"host", "add", "--data", folder, "--email", "LIOR@example.org", "--name", "L"}, &out), "already")
	require.NoError(t, run(t.Context(), []string{"host", "address", "--data", folder, "https://kitchen.example/"}, &out))
	site, err := db.Site(t.Context())
	require.NoError(t, err)
	require.Equal(t, "https://kitchen.example", site.PublicURL)
	for _, bad := range []string{"kitchen.example", "https://kitchen.example/path", "ftp://kitchen.example", "https://u@kitchen.example"} {
		require.ErrorContains(t, run(t.Context(), []string{"host", "address", "--data", folder, bad}, &out), "no address", bad)
	}
	require.ErrorContains(t, run(t.Context(), []string{"host", "list", "--data", t.TempDir()}, &out), "no database")
	require.Error(t, run(t.Context(), []string{"host"}, &out))
}
