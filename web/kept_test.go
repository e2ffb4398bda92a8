package web_test

import (
	"compress/gzip"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func (l *live) plain(path string, header ...string) (*http.Response, string) {
	l.t.Helper()
	r, err := http.NewRequestWithContext(l.t.Context(), http.MethodGet, l.server.URL+path, http.NoBody)
	require.NoError(l.t, err)
	r.Header.Set("Accept-Encoding", "identity")
	for i := 0; i < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	res, err := http.DefaultTransport.RoundTrip(r)
	require.NoError(l.t, err)
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	require.NoError(l.t, err)
	return res, string(b)
}

// A page that is kept is the page that was rendered, to the last header; it
// changes with the next write and to the moment with a release.
func TestKeptPageIsTheRenderedOne(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	path := "/c/" + slug
	first, body := l.plain(path)
	require.Equal(t, http.StatusOK, first.StatusCode)
	again, same := l.plain(path)
	require.Equal(t, body, same)
	first.Header.Del("Date")
	again.Header.Del("Date")
	again.Header.Del("Accept-Ranges")
	first.Header.Del("Accept-Ranges")
	require.Equal(t, first.Header, again.Header)

	zipped, packed := l.plain(path, "Accept-Encoding", "br, gzip")
	require.Equal(t, "gzip", zipped.Header.Get("Content-Encoding"))
	require.Less(t, len(packed), len(body))
	z, err := gzip.NewReader(strings.NewReader(packed))
	require.NoError(t, err)
	unpacked, err := io.ReadAll(z)
	require.NoError(t, err)
	require.Equal(t, body, string(unpacked))
	require.NotEqual(t, first.Header.Get("ETag"), zipped.Header.Get("ETag"))
	for _, tag := range []string{first.Header.Get("ETag"), zipped.Header.Get("ETag")} {
		unchanged, none := l.plain(path, "If-None-Match", tag)
		require.Equal(t, http.StatusNotModified, unchanged.StatusCode)
		require.Empty(t, none)
	}

	host.get("/host/c/"+slug+"/settings").ok().form("title").set("title", "Stuffed vine leaves").set("reason", "The old one was too narrow.").send().ok()
	_, changed := l.plain(path)
	require.Contains(t, changed, "Stuffed vine leaves", "the next write is seen at once")
	require.NotContains(t, body, "Stuffed vine leaves")

	c, err := l.db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	l.now = c.ClosesAt.Add(-time.Millisecond)
	l.plain(path)
	_, open := l.plain(path)
	l.now = c.ClosesAt
	_, closed := l.plain(path)
	require.NotEqual(t, open, closed, "a moment that the database names is kept to the millisecond")
	require.Contains(t, open, path+"/enter")
}

// Whoever brings a cookie is shown a page of their own, and never leaves it to
// others.
func TestKeptPagesAreForStrangersOnly(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	signedIn := host.get("/c/" + slug).ok().body
	_, stranger := l.plain("/c/" + slug)
	require.NotEqual(t, signedIn, stranger)
	require.Equal(t, signedIn, host.get("/c/"+slug).ok().body)
	_, again := l.plain("/c/" + slug)
	require.Equal(t, stranger, again)
	other, _ := l.plain("/c/" + slug + "?said=1")
	require.Equal(t, http.StatusOK, other.StatusCode)
}
