package web

import (
	"net/http"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showTold(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	told, err := s.db.Told(r.Context(), d.challenge.ID)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Told(s.toldPage(r, d, told)))
}

func (s *Server) toldPage(r *http.Request, d desk, told store.Told) views.ToldPage {
	f := s.deskFrame(r, d, text.T(r.Context(), "What entrants are told"))
	f.Said = said(r)
	return views.ToldPage{Frame: f, Base: d.base, Told: told}
}

func (s *Server) saveTold(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	told := store.Told{}
	for _, about := range challenge.Abouts {
		told[about] = field(r, views.ToldField(about))
	}
	err = s.db.SetTold(r.Context(), d.actor, d.challenge.ID, told)
	return s.answer(w, r, err, d.base+"/words?said=saved", func(m views.Messages) (templ.Component, error) {
		p := s.toldPage(r, d, told)
		p.Messages = m
		return views.Told(p), nil
	})
}

// lateWords says a refusal of an entry that comes too late in the host's own
// words, where there are any.
func (s *Server) lateWords(r *http.Request, c challenge.Challenge, err error) error {
	if !isRefusal(err) || s.db.Now().Before(c.ClosesAt) || c.AnnouncedAt.IsZero() {
		return err
	}
	told, readErr := s.db.Told(r.Context(), c.ID)
	if own := told[challenge.AboutLate]; readErr == nil && own != "" {
		return challenge.Refuse(challenge.Shut, "", "%v", own)
	}
	return err
}

func (s *Server) showPrices(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	prices, err := s.db.Prices(r.Context())
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Prices(s.pricesPage(r, prices)))
}

func (s *Server) pricesPage(r *http.Request, prices store.Prices) views.PricesPage {
	f := s.frame(r, text.T(r.Context(), "What food costs"))
	f.Said = said(r)
	return views.PricesPage{Frame: f, Prices: prices}
}

func (s *Server) savePrices(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	prices := store.Prices{Currency: field(r, "currency"), Text: challenge.KeptText(r.PostFormValue("prices"))}
	err = s.db.SetPrices(r.Context(), a, prices)
	return s.answer(w, r, err, "/host/prices?said=saved", func(m views.Messages) (templ.Component, error) {
		p := s.pricesPage(r, prices)
		p.Messages = m
		return views.Prices(p), nil
	})
}
