package web

import (
	"net/http"
	"slices"
	"strconv"

	"github.com/go-chi/chi/v5"

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
	p.Frame.Said = said(r)
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
	p.Conflicts, err = s.db.Conflicts(r.Context(), d.actor, d.challenge.ID)
	return err
}

// keepApart keeps a judge from a dish.
func (s *Server) keepApart(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return err
	}
	err = s.db.KeepApart(r.Context(), d.actor, d.challenge.ID, round.ID, store.Conflicted{Judge: id(r, "judge"), Dish: id(r, "dish")}, field(r, "conflict"))
	if m, ok := refusals(err); ok {
		p, pageErr := s.tastingPage(r, d)
		if pageErr != nil {
			return pageErr
		}
		p.Messages, p.Reason = m, field(r, "conflict")
		s.show(w, r, formStatus(err), views.Tasting(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(round)+"?said=saved")
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
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p, err := s.tastingPage(r, d)
	if err != nil {
		return err
	}
	code, err := strconv.Atoi(chi.URLParam(r, "code"))
	if err != nil {
		return notFound(w, r)
	}
	err = challenge.NotFound("There is no such plate in this tasting.")
	for _, x := range p.Table.Plates {
		if x.Code == code {
			err = s.db.WithdrawPlate(r.Context(), d.actor, d.challenge.ID, p.Round.ID, x.ID, field(r, "reason"))
		}
	}
	if m, ok := refusals(err); ok {
		p.Messages, p.At, p.Reason = m, code, field(r, "reason")
		s.show(w, r, formStatus(err), views.Tasting(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(p.Round)+"?said=saved")
}
