package web

import (
	"net/http"
	"time"

	"github.com/go-chi/httprate"

	"fairladle/challenge"
)

// limits slow down guessing and flooding, per client address.
type limits struct {
	signIn, send, links, ballots *httprate.RateLimiter
}

// newLimits makes them; send is how many times a minute one network may use
// the entry form, where a whole class may sit behind one address.
func newLimits(send int) limits {
	if send == 0 {
		send = 120
	}
	return limits{
		signIn:  httprate.NewRateLimiter(10, time.Minute),
		send:    httprate.NewRateLimiter(send, time.Minute),
		links:   httprate.NewRateLimiter(10, time.Minute),
		ballots: httprate.NewRateLimiter(60, time.Minute),
	}
}

// slow refuses a client that asks too often.
func (s *Server) slow(w http.ResponseWriter, r *http.Request, l *httprate.RateLimiter) error {
	if l.OnLimit(w, r, s.client(r)) {
		return challenge.Refuse(challenge.Often, "", "This was tried too often from your network. Wait a minute, then try again; nothing you typed is lost if you go back.")
	}
	return nil
}
