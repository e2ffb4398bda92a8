package web

import (
	"net/http"
	"strings"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showSignIn(w http.ResponseWriter, r *http.Request) error {
	if s.host(r) != 0 {
		return to(w, r, "/host")
	}
	return s.ok(w, r, views.SignIn(views.SignInPage{Frame: s.frame(r, text.T(r.Context(), "Sign in")), To: homeward(r.URL.Query().Get("to"))}))
}

// homeward keeps a path of this site's host pages and nothing else.
func homeward(path string) string {
	if strings.HasPrefix(path, "/host/") && !strings.ContainsAny(path, "\\\r\n") {
		return path
	}
	return "/host"
}

func (s *Server) doSignIn(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.signIn); err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	email := field(r, "email")
	host, err := s.db.HostByEmail(r.Context(), email)
	hash := host.PasswordHash
	if err != nil {
		hash = nobodysHash
	}
	fits := false
	if err := s.hashed(r.Context(), func() { fits = passwordFits(hash, r.PostFormValue("password")) }); err != nil {
		return err
	}
	if !fits || host.ID == 0 {
		wrong := challenge.Refuse(challenge.Invalid, "", "This e-mail address and password do not belong together. Check both and try again.")
		p := views.SignInPage{Frame: s.frame(r, text.T(r.Context(), "Sign in")), Email: email, To: homeward(r.PostFormValue("to"))}
		p.Messages, _ = refusals(wrong)
		s.show(w, r, formStatus(wrong), views.SignIn(p))
		return nil
	}
	if err := s.signIn(r, host.ID); err != nil {
		return err
	}
	return to(w, r, homeward(r.PostFormValue("to")))
}

// signIn starts a session under a fresh cookie.
func (s *Server) signIn(r *http.Request, host int64) error {
	if err := s.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	s.sessions.Put(r.Context(), "host", host)
	return nil
}

func (s *Server) signOut(w http.ResponseWriter, r *http.Request) error {
	if err := s.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	return to(w, r, "/login")
}
