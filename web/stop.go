package web

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"fairladle/web/text"
	"fairladle/web/views"
)

// showStop asks before it ends mailings: looking at an address changes
// nothing, since programs look at the addresses in mails too.
func (s *Server) showStop(w http.ResponseWriter, r *http.Request) error {
	token := chi.URLParam(r, "token")
	if err := s.db.MayStop(r.Context(), token); err != nil {
		return err
	}
	return s.ok(w, r, views.Stop(views.StopPage{Frame: s.frame(r, text.T(r.Context(), "No more messages")), Token: token}))
}

// stop ends mailings to an address, asked by the page or by a mail program
// with one click (RFC 8058): no sign-in, no cookie, no second question.
func (s *Server) stop(w http.ResponseWriter, r *http.Request) error {
	if err := s.db.Stop(r.Context(), chi.URLParam(r, "token")); err != nil {
		return err
	}
	return s.ok(w, r, views.Stop(views.StopPage{Frame: s.frame(r, text.T(r.Context(), "No more messages")), Done: true}))
}
