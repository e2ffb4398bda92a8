package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// said is what a command printed so far.
type said struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *said) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *said) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// running starts a command that serves, and stops it at the end of the test.
func running(t *testing.T, until string, args ...string) *said {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	out, ended := &said{}, make(chan error, 1)
	go func() { ended <- run(ctx, args, out) }()
	t.Cleanup(func() {
		stop()
		require.NoError(t, <-ended)
	})
	require.Eventually(t, func() bool { return strings.Contains(out.String(), until) }, 90*time.Second, 20*time.Millisecond, "it printed %s", out)
	return out
}

var addresses = regexp.MustCompile(`http://[0-9.]+:\d+\S*`)

// TestDemo enters by every link the demonstration prints, and looks at its
// pages in the second language.
func TestDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("filling the demonstration takes seconds; left out with -short")
	}
	out := running(t, "Stop with Ctrl-C", "demo", "--listen", "127.0.0.1:0")
	for _, word := range []string{"host: sign in at", "entrant", "judge", "cohost", "reader"} {
		require.Contains(t, out.String(), word)
	}
	links := addresses.FindAllString(out.String(), -1)
	require.Greater(t, len(links), 8)
	for _, link := range links {
		res, err := http.Get(link)
		require.NoError(t, err)
		body, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		require.Equal(t, http.StatusOK, res.StatusCode, "%s: %s", link, body)
	}
	speaksGerman(t, links)
}

func TestServeOnAnEmptyFolderPrintsASetUpLink(t *testing.T) {
	dir := t.TempDir()
	out := running(t, "/setup/", "serve", "--data", dir, "--listen", "127.0.0.1:0")
	link := addresses.FindString(out.String())
	res, err := http.Get(link)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, http.StatusOK, res.StatusCode)
	require.NoError(t, run(context.Background(), []string{"healthy", "--listen", strings.TrimPrefix(strings.Split(link, "/setup/")[0], "http://")}, io.Discard))
}

func TestMistakesAreExplained(t *testing.T) {
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"serve"}, "--data FOLDER"},
		{[]string{"serve", "--data", t.TempDir(), "more"}, "takes flags only"},
		{[]string{"serve", "--data", t.TempDir(), "--proxies", "proxy"}, "is no network"},
		{[]string{"serve", "--data", t.TempDir(), "--smtp", "mail.example.org"}, "smtp://"},
		{[]string{"serve", "--data", t.TempDir(), "--listen", "256.0.0.1:1"}, "cannot listen"},
		{[]string{"cook"}, "no command"},
		{[]string{"verify"}, "name the files"},
	} {
		require.ErrorContains(t, run(context.Background(), c.args, io.Discard), c.says, "%v", c.args)
	}
}
