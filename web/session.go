package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"

	"fairladle/store"
)

// The names under which a session keeps what it knows.
const (
	sessionHost    = "host"
	sessionSignIn  = "sign-in"
	sessionPasskey = "passkey" // what a passkey under way must answer
)

// sessionLife is how long a sign-in lasts at most, used or not.
const sessionLife = 14 * 24 * time.Hour

func newSessions(db *store.DB) *scs.SessionManager {
	m := scs.New()
	m.Store = db.Sessions()
	m.HashTokenInStore = true
	// How long a sign-in may lie unused is [store.IdleLife]: scs would write
	// the session at every request to know it.
	m.Lifetime = sessionLife
	m.Cookie.Name = "fairladle"
	m.Cookie.HttpOnly = true
	m.Cookie.SameSite = http.SameSiteLaxMode
	m.Cookie.Secure = false // sealedCookies adds it where the site's address is https
	return m
}

type hostKey struct{}

// recognised finds out once a request which host is signed in. A sign-in that
// was ended elsewhere, or lay unused for too long, ends here.
func (s *Server) recognised(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ctx := r.Context()
		host := s.sessions.GetInt64(ctx, sessionHost)
		if host != 0 {
			holds, err := s.db.SignInHolds(ctx, s.sessions.GetString(ctx, sessionSignIn), host)
			if err == nil && !holds {
				host, err = 0, s.sessions.Destroy(ctx)
			}
			if err != nil {
				s.refuse(w, r, err)
				return
			}
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(ctx, hostKey{}, host)))
	})
}

// host is the signed-in host's account, 0 for none.
func (s *Server) host(r *http.Request) int64 {
	id, _ := r.Context().Value(hostKey{}).(int64)
	return id
}

// knownCookie tells a browser in which a host has signed in before.
const knownCookie = "fairladle-known"

// signIn starts a session under a fresh cookie.
func (s *Server) signIn(w http.ResponseWriter, r *http.Request, host int64) error {
	if err := s.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	id, known, err := s.db.BeginSignIn(r.Context(), host, deviceOf(r.UserAgent()))
	if err != nil {
		return err
	}
	s.sessions.Put(r.Context(), sessionHost, host)
	s.sessions.Put(r.Context(), sessionSignIn, id)
	http.SetCookie(w, &http.Cookie{Name: knownCookie, Value: known, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode, //nolint:gosec // sealedCookies adds Secure
		MaxAge: int((365 * 24 * time.Hour).Seconds())})
	return nil
}

// knownToken is the token of a browser in which a host signed in before, or "".
func knownToken(r *http.Request) string {
	c, err := r.Cookie(knownCookie)
	if err != nil {
		return ""
	}
	return c.Value
}

// deviceOf puts in words what a browser calls itself, as far as that helps a
// person to tell one sign-in from another.
func deviceOf(agent string) string {
	browser, system := "", ""
	for _, b := range [][2]string{{"Edg", "Edge"}, {"OPR/", "Opera"}, {"Firefox/", "Firefox"}, {"FxiOS/", "Firefox"}, {"Chrome/", "Chrome"}, {"CriOS/", "Chrome"}, {"Safari/", "Safari"}} {
		if browser == "" && strings.Contains(agent, b[0]) {
			browser = b[1]
		}
	}
	for _, o := range [][2]string{{"iPhone", "iPhone"}, {"iPad", "iPad"}, {"Android", "Android"}, {"Windows", "Windows"}, {"Mac OS X", "Mac"}, {"CrOS", "ChromeOS"}, {"Linux", "Linux"}} {
		if system == "" && strings.Contains(agent, o[0]) {
			system = o[1]
		}
	}
	switch {
	case browser != "" && system != "":
		return browser + ", " + system
	case browser != "":
		return browser
	}
	return system
}
