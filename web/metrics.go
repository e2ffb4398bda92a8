package web

import (
	"context"
	"net/http"
	"time"

	"fairladle/store"
)

// An Answer is what is measured of one: the pattern of its route, never the
// address, since addresses hold tokens.
type Answer struct {
	Method, Route string
	Status        int
	Bytes         int
	Took          time.Duration
}

// methodName keeps what strangers send as a method out of labels.
func methodName(r *http.Request) string {
	switch r.Method {
	case http.MethodGet, http.MethodHead, http.MethodPost:
		return r.Method
	}
	return "other"
}

// Backlog is how much waits, for whoever watches the server.
func (s *Server) Backlog(ctx context.Context) (store.Backlog, error) { return s.db.Backlog(ctx) }
