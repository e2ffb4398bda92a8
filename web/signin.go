package web

import (
	"net/http"
	"strings"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showSignIn(w http.ResponseWriter, r *http.Request) error {
	if s.host(r) != 0 {
		return to(w, r, "/host")
	}
	return s.ok(w, r, views.SignIn(s.signInPage(r, r.URL.Query().Get("to"))))
}

func (s *Server) signInPage(r *http.Request, onward string) views.SignInPage {
	f := s.publicFrame(r, text.T(r.Context(), "Sign in"), text.T(r.Context(), "Sign in to host recipe challenges here."))
	f.Said = said(r)
	p := views.SignInPage{Frame: f, To: homeward(onward), Passkeys: takesPasskeys(site(r).PublicURL)}
	if p.Passkeys {
		p.Frame.Scripts = []string{"passkey.js"}
	}
	return p
}

// homeward keeps a path of this site's host pages and nothing else.
func homeward(path string) string {
	if strings.HasPrefix(path, "/host/") && !strings.ContainsAny(path, "\\\r\n") {
		return path
	}
	return "/host"
}

// errGuessed is the same whether or not there is such an account.
var errGuessed = challenge.Refuse(challenge.Often, "", "Too many wrong passwords were given for this address. Wait an hour, or sign in where you have signed in before, or with a passkey. Whoever runs the server can make a new link with “fairladle host reset”.")

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
	if err != nil || hash == "" {
		hash = nobodysHash
	}
	counted := s.guessKey(r, email, host.ID)
	if spent(s.limits.guesses, counted, guessesPerHour) {
		return errGuessed
	}
	fits := false
	if err := s.hashed(r.Context(), func() { fits = passwordFits(hash, r.PostFormValue("password")) }); err != nil {
		return err
	}
	if !fits || host.ID == 0 {
		return s.wrongPassword(w, r, email, counted, host.ID)
	}
	if err := s.signIn(w, r, host.ID); err != nil {
		return err
	}
	return to(w, r, homeward(r.PostFormValue("to")))
}

// wrongPassword counts a wrong one, and tells the host of an account whose
// count is used up.
func (s *Server) wrongPassword(w http.ResponseWriter, r *http.Request, email, counted string, host int64) error {
	s.limits.guesses.OnLimit(discardHeaders{}, r, counted)
	if host != 0 && spent(s.limits.guesses, counted, guessesPerHour) {
		if err := s.db.NoteAccount(r.Context(), host, store.SignInGuessed, ""); err != nil {
			return err
		}
	}
	wrong := challenge.Refuse(challenge.Invalid, "", "This e-mail address and password do not belong together. Check both and try again.")
	p := s.signInPage(r, r.PostFormValue("to"))
	p.Email = email
	p.Messages, _ = refusals(wrong)
	s.show(w, r, formStatus(wrong), views.SignIn(p))
	return nil
}

// signOut ends the sign-in for good, and tells the browser to forget what it
// kept of this site's pages.
func (s *Server) signOut(w http.ResponseWriter, r *http.Request) error {
	if host := s.host(r); host != 0 {
		if err := s.db.EndSignIn(r.Context(), host, s.sessions.GetString(r.Context(), sessionSignIn)); err != nil {
			return err
		}
	}
	if err := s.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	w.Header().Set("Clear-Site-Data", `"cache"`)
	return to(w, r, "/login")
}
