package web

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// standIns makes a link for guests at the table and shows it as a QR code,
// once: the link is kept nowhere.
func (s *Server) standIns(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return err
	}
	token, err := s.db.StandInLink(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return err
	}
	address := site(r).PublicURL + "/seat/" + token
	svg, err := qrSVG(address)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.StandIns(views.StandInsPage{Frame: s.deskFrame(r, d, text.T(r.Context(), "Stand-ins")), Back: d.base + roundPath(round), Address: address, QR: svg}))
}

// showSeat asks a guest for a name.
func (s *Server) showSeat(w http.ResponseWriter, r *http.Request) error {
	c, err := s.db.StandIn(r.Context(), chi.URLParam(r, "token"))
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Seat(views.SeatPage{Frame: s.frame(r, text.T(r.Context(), "A seat at the table")), Challenge: c.Title}))
}

// takeSeat makes the guest a judge and leads to the judge's own page.
func (s *Server) takeSeat(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.links); err != nil {
		return err
	}
	c, err := s.db.StandIn(r.Context(), chi.URLParam(r, "token"))
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	judge, err := s.db.TakeSeat(r.Context(), chi.URLParam(r, "token"), field(r, "name"))
	if m, ok := refusals(err); ok {
		s.show(w, r, formStatus(err), views.Seat(views.SeatPage{Frame: s.frame(r, text.T(r.Context(), "A seat at the table")), Challenge: c.Title, Name: field(r, "name"), Messages: m}))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, "/with/judge/"+judge)
}

// declareDiet keeps what a judge must not be served.
func (s *Server) declareDiet(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	diet := dietTyped(r)
	err = s.db.DeclareDiet(r.Context(), d.actor, d.challenge.ID, diet, ticked(r, "diet-consent"))
	if m, ok := refusals(err); ok && formStatus(err) == http.StatusUnprocessableEntity {
		return s.judgeDesk(w, r, d, m)
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"?said=saved")
}
