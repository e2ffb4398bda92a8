package web

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showDetails tells everyone how a verdict came about, once it is released.
func (s *Server) showDetails(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	round, err := roundAt(c, chi.URLParam(r, "round"))
	if err != nil {
		return err
	}
	x, err := s.db.VerdictDetails(r.Context(), challenge.Public, c, round.ID)
	if err != nil {
		return err
	}
	f := s.publicFrame(r, text.T(r.Context(), "How the verdict came about"), text.T(r.Context(), "How the judges' scores of “%v” became its verdict.", c.Title))
	return s.published(w, r, views.Details(views.DetailsPage{Frame: f, Challenge: c.Title, Back: "/c/" + c.Slug + "/results", Slug: c.Slug, X: x}))
}

// showHostDetails shows the same to the host, from the closing on.
func (s *Server) showHostDetails(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return err
	}
	x, err := s.db.VerdictDetails(r.Context(), challenge.Host, d.challenge, round.ID)
	if err != nil {
		return err
	}
	f := s.deskFrame(r, d, text.T(r.Context(), "How the verdict came about"))
	p := views.DetailsPage{Frame: f, Challenge: d.challenge.Title, Back: d.base + roundPath(round), Slug: d.challenge.Slug, X: x, Host: true}
	p.Public = d.challenge.Released(round, s.db.Now())
	return s.ok(w, r, views.Details(p))
}
