package web

import (
	"net/http"
	"slices"
	"time"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showTasting is the tasting for whoever runs it; judges and co-hosts get
// their plates instead.
func (s *Server) showTasting(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	if challenge.May(d.actor, challenge.RunRound, d.challenge.ID) != nil {
		return s.showJudgeDesk(w, r, d)
	}
	p, err := s.tastingPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Tasting(p))
}

func (s *Server) tastingPage(r *http.Request, d desk) (views.TastingPage, error) {
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return views.TastingPage{}, err
	}
	now := s.db.Now()
	p := views.TastingPage{Frame: s.deskFrame(r, d, round.Title), Base: d.base + roundPath(round), Desk: d.base,
		Challenge: d.challenge, Round: round, Public: d.challenge.Released(round, now), MayOpen: d.challenge.MayOpen(round, now)}
	p.Frame.Said, p.Today = said(r), now.In(d.challenge.Location()).Format(time.DateOnly)
	switch round.State {
	case challenge.UnderWay:
		p.Table, err = s.db.Table(r.Context(), d.actor, d.challenge.ID, round.ID)
	case challenge.Done:
		var x store.TastingResult
		x, err = s.db.TastingResult(r.Context(), d.actor, d.challenge.ID, round.ID)
		p.Result = &x
	}
	if err != nil || round.State == challenge.Done {
		return p, err
	}
	return p, s.addPanel(r, d, &p)
}

// addPanel adds who judges, what is served and who is kept from what.
func (s *Server) addPanel(r *http.Request, d desk, p *views.TastingPage) (err error) {
	if p.Judges, err = s.db.Judges(r.Context(), d.challenge.ID); err != nil {
		return err
	}
	plates, err := s.db.Plates(r.Context(), d.challenge.ID)
	if err != nil {
		return err
	}
	for _, x := range plates {
		if !slices.ContainsFunc(p.Dishes, func(d store.Dish) bool { return d.ID == x.Dish.ID }) {
			p.Dishes = append(p.Dishes, x.Dish)
		}
	}
	if p.Conflicts, err = s.db.Conflicts(r.Context(), d.actor, d.challenge.ID); err != nil {
		return err
	}
	if p.Connections, err = s.db.Connections(r.Context(), d.actor, d.challenge.ID); err != nil {
		return err
	}
	p.Postponed, err = s.db.Postponements(r.Context(), p.Round.ID)
	return err
}

func (s *Server) showKitchenCodes(w http.ResponseWriter, r *http.Request) error {
	p, r, err := s.codesPage(r, "For the kitchen")
	if err != nil {
		return err
	}
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	if p.Diets, err = s.db.DietChecks(r.Context(), d.actor, d.challenge.ID, p.Round.ID); err != nil {
		return err
	}
	return s.ok(w, r, views.KitchenCodes(p))
}

func (s *Server) showTableCodes(w http.ResponseWriter, r *http.Request) error {
	p, r, err := s.codesPage(r, "For the table")
	if err != nil {
		return err
	}
	return s.ok(w, r, views.TableCodes(p))
}

func (s *Server) codesPage(r *http.Request, title string) (views.CodesPage, *http.Request, error) {
	var p views.CodesPage
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return p, r, err
	}
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return p, r, err
	}
	if round.State == challenge.Planned {
		return p, r, challenge.Refuse(challenge.Shut, "", "Codes are given when the tasting opens.")
	}
	p = views.CodesPage{Frame: s.deskFrame(r, d, text.T(r.Context(), title)), Back: d.base + roundPath(round), Round: round}
	p.Table, err = s.db.Table(r.Context(), d.actor, d.challenge.ID, round.ID)
	return p, r, err
}

// takeOut takes a plate out of the tasting, with a reason.
func (s *Server) takeOut(w http.ResponseWriter, r *http.Request) error {
	d, r, round, err := s.postedTasting(r)
	if err != nil {
		return err
	}
	code, err := plateCode(r)
	if err != nil {
		return err
	}
	plates, err := s.db.TastingPlates(r.Context(), round.ID)
	if err != nil {
		return err
	}
	err = challenge.NotFound("There is no such plate in this tasting.")
	for _, x := range plates {
		if x.Code == code {
			err = s.db.WithdrawPlate(r.Context(), d.actor, d.challenge.ID, round.ID, x.ID, field(r, "reason"))
		}
	}
	return s.answer(w, r, err, d.base+roundPath(round)+"?said=saved", func(m views.Messages) (templ.Component, error) {
		p, err := s.tastingPage(r, d)
		p.Messages, p.At, p.Reason = m, code, field(r, "reason")
		return views.Tasting(p), err
	})
}
