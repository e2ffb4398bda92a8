package main

import (
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Memory is given back only after a time without requests, so that a request
// must be seen, and a connection that only stays open must not.
func TestRestSeesRequests(t *testing.T) {
	d := drain{busy: map[net.Conn]time.Time{}}
	server := httptest.NewUnstartedServer(http.NotFoundHandler())
	server.Config.ConnState = d.note
	server.Start()
	defer server.Close()
	require.False(t, d.wasUsed())
	for range 2 {
		r, err := server.Client().Get(server.URL)
		require.NoError(t, err)
		require.NoError(t, r.Body.Close())
		require.True(t, d.wasUsed())
		require.False(t, d.wasUsed(), "the connection is still open")
	}
}
