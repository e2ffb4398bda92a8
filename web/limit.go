package web

import (
	"crypto/sha256"
	"net/http"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/httprate"

	"fairladle/challenge"
)

// limits slow down guessing and flooding, per client address and per account.
type limits struct {
	signIn, send, readings, links, ballots *httprate.RateLimiter
	// guesses counts wrong passwords by account, wrongLinks private links that
	// lead nowhere by network.
	guesses, wrongLinks *httprate.RateLimiter
}

// How many wrong passwords an hour one account takes from browsers it does
// not know, and how many dead links a minute one network may open. A token
// has 128 bits: the second is there to make noise stop, not to make guessing
// hopeless.
const (
	guessesPerHour   = 20
	wrongLinksMinute = 40
)

// readingsPerSend is how many readings of an unfinished recipe a network may
// ask for where it may send one: the form asks at every pause in the typing.
const readingsPerSend = 5

// newLimits makes them; send is how many times a minute one network may use
// the entry form, where a whole class may sit behind one address.
func newLimits(send int) limits {
	if send == 0 {
		send = 120
	}
	return limits{
		signIn:     httprate.NewRateLimiter(10, time.Minute),
		send:       httprate.NewRateLimiter(send, time.Minute),
		readings:   httprate.NewRateLimiter(readingsPerSend*send, time.Minute),
		links:      httprate.NewRateLimiter(10, time.Minute),
		ballots:    httprate.NewRateLimiter(60, time.Minute),
		guesses:    httprate.NewRateLimiter(guessesPerHour, time.Hour),
		wrongLinks: httprate.NewRateLimiter(wrongLinksMinute, time.Minute),
	}
}

var errOften = challenge.Refuse(challenge.Often, "", "This was tried too often from your network. Wait a minute, then try again; nothing you typed is lost if you go back.")

// slow refuses a client that asks too often.
func (s *Server) slow(w http.ResponseWriter, r *http.Request, l *httprate.RateLimiter) error {
	if l.OnLimit(w, r, s.client(r)) {
		return errOften
	}
	return nil
}

// spent says whether a key has used up a limit, without using any of it.
func spent(l *httprate.RateLimiter, key string, limit int) bool {
	_, rate, err := l.Status(key)
	return err != nil || rate+1 > float64(limit)
}

// guessKey is what wrong passwords for an address are counted under: the
// address, whether or not there is such an account, or the browser where that
// one has signed in to it before. So nobody can lock a host out from afar.
func (s *Server) guessKey(r *http.Request, email string, host int64) string {
	known := knownToken(r)
	if host != 0 && known != "" {
		if ok, err := s.db.KnownBrowser(r.Context(), known, host); err == nil && ok {
			return "browser " + known
		}
	}
	key, err := challenge.AddressKey(email)
	if err != nil {
		key = email
	}
	sum := sha256.Sum256([]byte(key))
	return "account " + string(sum[:])
}

// patient slows down whoever opens many private links that lead nowhere.
func (s *Server) patient(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		network := s.client(r)
		if spent(s.limits.wrongLinks, network, wrongLinksMinute) && hasToken(r) {
			s.refuse(w, r, errOften)
			return
		}
		rec := &recorder{ResponseWriter: w, status: http.StatusOK}
		next.ServeHTTP(rec, r)
		if rec.status == http.StatusNotFound && chi.URLParam(r, "token") != "" {
			s.limits.wrongLinks.OnLimit(discardHeaders{}, r, network)
		}
	})
}

// hasToken says whether a path may carry a private link, before it is routed.
func hasToken(r *http.Request) bool {
	for _, begin := range tokenPaths {
		if len(r.URL.Path) > len(begin) && r.URL.Path[:len(begin)] == begin {
			return true
		}
	}
	return false
}

var tokenPaths = []string{"/entry/", "/with/", "/seat/", "/vote/", "/setup/", "/reset/"}

// discardHeaders takes the headers that a limit sets on an answer that has
// been sent.
type discardHeaders struct{}

func (discardHeaders) Header() http.Header         { return http.Header{} }
func (discardHeaders) Write(b []byte) (int, error) { return len(b), nil }
func (discardHeaders) WriteHeader(int)             {}
