package web

import (
	"encoding/json"
	"net/http"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showKeep says how long a challenge keeps people's data, and what happens to
// whom when the time is over.
func (s *Server) showKeep(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.keepPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Keep(p))
}

func (s *Server) keepPage(r *http.Request, d desk) (views.KeepPage, error) {
	f := s.deskFrame(r, d, text.T(r.Context(), "How long people’s data are kept"))
	f.Said = said(r)
	x, err := s.db.Retention(r.Context(), d.actor, d.challenge.ID)
	return views.KeepPage{Frame: f, Retention: x, Days: itoa(x.Days), Base: d.base}, err
}

func (s *Server) saveKeep(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err = s.db.SetRetention(r.Context(), d.actor, d.challenge.ID, number(r, "days"))
	if m, ok := refusals(err); ok {
		p, pageErr := s.keepPage(r, d)
		if pageErr != nil {
			return pageErr
		}
		p.Messages, p.Days = m, field(r, "days")
		s.show(w, r, formStatus(err), views.Keep(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/keep?said=saved")
}

// ownData is everything that is stored about an entry and who sent it, for
// the entrant.
func (s *Server) ownData(w http.ResponseWriter, r *http.Request) error {
	a, o, _, r, err := s.own(r)
	if err != nil {
		return err
	}
	x, err := s.db.PersonData(r.Context(), a, a.Challenge, o.Recipe.Dish.ID)
	if err != nil {
		return err
	}
	return sendData(w, x, o.Number)
}

// entryData is the same for a host, who passes it on; as it shows an address,
// it is written down.
func (s *Server) entryData(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeeAddress)
	if err != nil {
		return err
	}
	dish, err := s.numbered(r, d)
	if err != nil {
		return err
	}
	x, err := s.db.PersonData(r.Context(), d.actor, d.challenge.ID, dish)
	if err != nil {
		return err
	}
	return sendData(w, x, x.Number)
}

func sendData(w http.ResponseWriter, x any, entry int) error {
	b, err := json.MarshalIndent(x, "", "  ")
	if err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Disposition", `attachment; filename="everything-about-entry-`+itoa(entry)+`.json"`)
	_, err = w.Write(b) //nolint:gosec // JSON, to be saved
	return err
}
