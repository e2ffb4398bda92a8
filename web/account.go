package web

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// accountLines is how many things of an account's past its page shows.
const accountLines = 100

func (s *Server) showAccount(w http.ResponseWriter, r *http.Request) error {
	p, err := s.accountPage(r)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Account(p))
}

func (s *Server) accountPage(r *http.Request) (views.AccountPage, error) {
	a, err := s.hostActor(r)
	if err != nil {
		return views.AccountPage{}, err
	}
	ctx := r.Context()
	f := s.frame(r, text.T(ctx, "Your account"))
	f.Said = said(r)
	p := views.AccountPage{Frame: f, Now: time.Now(), TakesPasskeys: takesPasskeys(site(r).PublicURL)}
	if p.TakesPasskeys {
		p.Frame.Scripts = []string{"passkey.js"}
	}
	var failed [4]error
	p.SignIns, failed[0] = s.db.SignIns(ctx, a.ID)
	p.Passkeys, failed[1] = s.db.Passkeys(ctx, a.ID)
	p.Lines, failed[2] = s.db.AccountLines(ctx, a.ID, accountLines)
	p.Looks, failed[3] = s.db.Looks(ctx, a, accountLines)
	here := s.sessions.GetString(ctx, sessionSignIn)
	for i := range p.SignIns {
		p.SignIns[i].Here = p.SignIns[i].ID == here
	}
	return p, errors.Join(failed[:]...)
}

// changePassword asks for the password there is: a browser left open must not
// be enough to lock its host out.
func (s *Server) changePassword(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := s.slow(w, r, s.limits.signIn); err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err = s.changedPassword(r, a.ID)
	m, isRefusal := refusals(err)
	if err != nil && !isRefusal {
		return err
	}
	if isRefusal {
		p, pageErr := s.accountPage(r)
		if pageErr != nil {
			return pageErr
		}
		p.Messages = m
		s.show(w, r, formStatus(err), views.Account(p))
		return nil
	}
	// A fresh cookie: the old one may have been what was seen by others.
	if err := s.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	return to(w, r, "/host/account?said=password")
}

func (s *Server) changedPassword(r *http.Request, host int64) error {
	if err := s.passwordOf(r, host, r.PostFormValue("current")); err != nil {
		return err
	}
	fresh := r.PostFormValue("password")
	name, err := s.db.Host(r.Context(), host)
	if err != nil {
		return err
	}
	if err := CheckPassword(fresh, name.Name, site(r).Name); err != nil {
		return challenge.Refusals{err}
	}
	var hash string
	if err := s.hashed(r.Context(), func() { hash = HashPassword(fresh) }); err != nil {
		return err
	}
	return s.db.ChangePassword(r.Context(), host, hash, s.sessions.GetString(r.Context(), sessionSignIn))
}

// passwordOf refuses what is not the host's password.
func (s *Server) passwordOf(r *http.Request, host int64, typed string) error {
	h, err := s.db.Host(r.Context(), host)
	if err != nil {
		return err
	}
	fits := false
	if err := s.hashed(r.Context(), func() { fits = passwordFits(h.PasswordHash, typed) }); err != nil {
		return err
	}
	if !fits {
		return challenge.Refusals{challenge.Refuse(challenge.Invalid, "current", "This is not your password.")}
	}
	return nil
}

func (s *Server) endSignIn(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := s.db.EndSignIn(r.Context(), a.ID, chi.URLParam(r, "id")); err != nil {
		return err
	}
	return to(w, r, "/host/account?said=ended")
}

func (s *Server) endOtherSignIns(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := s.db.EndOtherSignIns(r.Context(), a.ID, s.sessions.GetString(r.Context(), sessionSignIn)); err != nil {
		return err
	}
	return to(w, r, "/host/account?said=ended")
}

// showReset is the page behind the link that the command line makes for a host
// who cannot sign in.
func (s *Server) showReset(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.db.FollowLink(r.Context(), store.ForReset, chi.URLParam(r, "token")); err != nil {
		return err
	}
	return s.ok(w, r, views.Reset(views.ResetPage{Frame: s.frame(r, text.T(r.Context(), "Choose a new password"))}))
}

func (s *Server) reset(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.signIn); err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	token := chi.URLParam(r, "token")
	link, err := s.db.FollowLink(r.Context(), store.ForReset, token)
	if err != nil {
		return err
	}
	name, err := s.db.Host(r.Context(), link.Subject)
	if err != nil {
		return err
	}
	fresh := r.PostFormValue("password")
	if wrong := CheckPassword(fresh, name.Name, site(r).Name); wrong != nil {
		p := views.ResetPage{Frame: s.frame(r, text.T(r.Context(), "Choose a new password"))}
		p.Messages, _ = refusals(wrong)
		s.show(w, r, formStatus(wrong), views.Reset(p))
		return nil
	}
	var hash string
	if err := s.hashed(r.Context(), func() { hash = HashPassword(fresh) }); err != nil {
		return err
	}
	if _, err := s.db.Reset(r.Context(), token, hash); err != nil {
		return err
	}
	return to(w, r, "/login?said=reset")
}

// passkeyName is a passkey's name, trimmed and bounded.
func passkeyName(typed string) string {
	name := strings.TrimSpace(typed)
	if name == "" {
		return "Passkey"
	}
	if runes := []rune(name); len(runes) > 60 {
		name = string(runes[:60])
	}
	return strings.Map(func(c rune) rune {
		if c < ' ' {
			return ' '
		}
		return c
	}, name)
}
