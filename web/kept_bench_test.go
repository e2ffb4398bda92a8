package web_test

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/web"
)

type nowhere struct{ h http.Header }

func (n *nowhere) Header() http.Header         { return n.h }
func (n *nowhere) Write(b []byte) (int, error) { return len(b), nil }
func (n *nowhere) WriteHeader(int)             {}

// BenchmarkKeptPage is what a kept page costs before net/http writes it.
func BenchmarkKeptPage(b *testing.B) {
	t := &testing.T{}
	l := newLive(t)
	slug := l.challenge(l.setUp())
	log, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	require.NoError(b, err)
	l.config.Log = slog.New(slog.NewTextHandler(log, nil))
	l.site = web.New(l.db, l.config)
	r := httptest.NewRequest(http.MethodGet, "/c/"+slug, http.NoBody)
	r.RequestURI, r.Host = "/c/"+slug, strings.TrimPrefix(l.server.URL, "http://")
	l.site.ServeHTTP(httptest.NewRecorder(), r)
	for b.Loop() {
		l.site.ServeHTTP(&nowhere{http.Header{}}, r)
	}
}
