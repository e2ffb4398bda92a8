package web

import (
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showMineForm asks for the address whose entries are looked for.
func (s *Server) showMineForm(w http.ResponseWriter, r *http.Request) error {
	f := s.mineFrame(r)
	f.Said = said(r)
	return s.ok(w, r, views.MineForm(views.LinkAgainPage{Frame: f}))
}

func (s *Server) mineFrame(r *http.Request) views.Frame {
	return s.publicFrame(r, text.T(r.Context(), "Your entries"), text.T(r.Context(), "Find all recipes that you have sent from one e-mail address."))
}

// askMine answers alike whether or not the address is known.
func (s *Server) askMine(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.links); err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err := s.db.AskOwnEntries(r.Context(), field(r, "email"))
	if m, ok := refusals(err); ok {
		s.show(w, r, formStatus(err), views.MineForm(views.LinkAgainPage{Frame: s.mineFrame(r), Email: field(r, "email"), Messages: m}))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, "/mine?said=sent")
}

// askMineFrom sends the same link to the address behind an entry.
func (s *Server) askMineFrom(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.links); err != nil {
		return err
	}
	a, _, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := s.db.AskOwnEntriesFrom(r.Context(), a); err != nil {
		return err
	}
	return to(w, r, base+"?said=mine-sent")
}

// showMine lists every entry that came from one address.
func (s *Server) showMine(w http.ResponseWriter, r *http.Request) error {
	token := chi.URLParam(r, "token")
	ls, err := s.db.OwnEntries(r.Context(), token)
	if err != nil {
		return err
	}
	now := s.db.Now()
	p := views.MinePage{Frame: s.frame(r, text.T(r.Context(), "Your entries")), Base: "/mine/" + token}
	for _, l := range ls {
		p.Lines = append(p.Lines, views.MineLine{Own: l, Stage: l.Challenge.Stage(now), Results: l.Challenge.Shows(challenge.Public, now).Results})
	}
	return s.ok(w, r, views.Mine(p))
}

// openMine leads to one of the entries, by a private link made for it.
func (s *Server) openMine(w http.ResponseWriter, r *http.Request) error {
	dish, err := strconv.ParseInt(chi.URLParam(r, "dish"), 10, 64)
	if err != nil {
		return notFound(w, r)
	}
	entry, err := s.db.OpenOwn(r.Context(), chi.URLParam(r, "token"), dish)
	if err != nil {
		return err
	}
	return to(w, r, "/entry/"+entry)
}
