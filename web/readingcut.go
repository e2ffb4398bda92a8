package web

import (
	"net/http"
	"strconv"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showCut(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.cutPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Cut(p))
}

func (s *Server) cutPage(r *http.Request, d desk) (views.CutPage, error) {
	round, err := d.round(r, challenge.Reading)
	if err != nil {
		return views.CutPage{}, err
	}
	if round.State == challenge.Planned {
		return views.CutPage{}, challenge.Refuse(challenge.Shut, "", "This round has not been opened yet.")
	}
	cut, err := s.db.Cut(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return views.CutPage{}, err
	}
	share, err := s.db.Share(r.Context(), d.actor, d.challenge.ID, round.ID)
	f := s.deskFrame(r, d, text.T(r.Context(), "The cut"))
	f.Wide, f.Said = true, said(r)
	if err != nil {
		return views.CutPage{}, err
	}
	p := views.CutPage{Frame: f, Base: d.base + roundPath(round), Desk: d.base, Round: round, Cut: cut, Drift: share.Drift}
	p.Corrections, err = s.db.Corrections(r.Context(), round.ID)
	return p, err
}

// saveCut keeps what the host moved over the line by hand.
func (s *Server) saveCut(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.cutPage(r, d)
	if err != nil {
		return err
	}
	var wanted []store.Choice
	for i, l := range p.Cut.Lines {
		key := strconv.FormatInt(l.Entry, 10)
		c := store.Choice{Dish: l.Entry, Chosen: ticked(r, "on-"+key), Reason: field(r, "reason-"+key)}
		p.Cut.Lines[i].Chosen, p.Cut.Lines[i].Why = c.Chosen, c.Reason
		wanted = append(wanted, c)
	}
	err = s.db.MoveByHand(r.Context(), d.actor, d.challenge.ID, p.Round.ID, wanted)
	return s.answer(w, r, err, p.Base+"/cut?said=saved", func(m views.Messages) (templ.Component, error) {
		p.Messages = m
		return views.Cut(p), nil
	})
}

// oneMoreReading gives the entries that would gain most to one more reader.
func (s *Server) oneMoreReading(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.cutPage(r, d)
	if err != nil {
		return err
	}
	var dishes []int64
	for _, v := range r.PostForm["dish"] {
		if n, err := strconv.ParseInt(v, 10, 64); err == nil {
			dishes = append(dishes, n)
		}
	}
	_, err = s.db.OneMoreReading(r.Context(), d.actor, d.challenge.ID, p.Round.ID, dishes)
	return s.answer(w, r, err, p.Base+"/cut?said=given", func(m views.Messages) (templ.Component, error) {
		p.Messages = m
		return views.Cut(p), nil
	})
}
