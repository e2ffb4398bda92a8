package web

import (
	"net/http"
	"slices"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showJudgeDesk is the first page of a judge: the plates of every tasting that
// has begun, by blind code, in this judge's order.
func (s *Server) showJudgeDesk(w http.ResponseWriter, r *http.Request, d desk) error {
	return s.judgeDesk(w, r, d, nil)
}

// judgeDesk shows it, with what was wrong with a declared diet and everything
// that was typed.
func (s *Server) judgeDesk(w http.ResponseWriter, r *http.Request, d desk, m views.Messages) error {
	if err := challenge.May(d.actor, challenge.ScorePlate, d.challenge.ID); err != nil {
		return err
	}
	f := s.deskFrame(r, d, text.T(r.Context(), "Your plates"))
	f.Said, f.Scripts = said(r), []string{"sheet.js", "pause.js"}
	p := views.JudgeDesk{Frame: f, Challenge: d.challenge.Title}
	home := false
	if d.actor.Role != challenge.Host {
		person, err := s.db.Participant(r.Context(), d.challenge.ID, d.actor.ID)
		if err != nil {
			return err
		}
		p.Name, p.Credit, p.Pictures = person.Name, person.Credit, person.Pictures
		home = person.Home > 0
		p.Base, p.Judge = d.base, d.actor.Role == challenge.Judge
	}
	for _, round := range d.challenge.Of(challenge.Tasting) {
		if round.State == challenge.Planned {
			continue
		}
		x, err := s.judgeTable(r, d, round)
		if err != nil {
			return err
		}
		if home && x.Open {
			x.Pack = d.base + "/home/" + itoa(round.Position)
		}
		p.Tables = append(p.Tables, x)
	}
	p.MayDeclare = p.Judge && slices.ContainsFunc(d.challenge.Of(challenge.Tasting), func(r challenge.Round) bool { return r.State != challenge.Done })
	var err error
	if p.Connections, err = s.db.OwnConnections(r.Context(), d.actor, d.challenge.ID); err != nil {
		return err
	}
	if p.Diet, err = s.db.OwnDiet(r.Context(), d.actor, d.challenge.ID); err != nil {
		return err
	}
	p.Agreed = p.Diet.Declared()
	if m != nil {
		p.Messages, p.Connection = m, field(r, "connection")
		if m["connection"] == nil {
			p.Diet, p.Agreed = dietTyped(r), ticked(r, "diet-consent")
		}
		s.show(w, r, http.StatusUnprocessableEntity, views.Judge(p))
		return nil
	}
	return s.ok(w, r, views.Judge(p))
}

func dietTyped(r *http.Request) store.Diet {
	return store.Diet{Allergens: r.PostForm["allergen"], Words: field(r, "diet")}
}

func (s *Server) judgeTable(r *http.Request, d desk, round challenge.Round) (views.JudgeTable, error) {
	x := views.JudgeTable{Title: round.Title, Base: d.base + "/score/" + itoa(round.Position), Open: round.State == challenge.UnderWay}
	var err error
	if x.Plates, err = s.db.Served(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
		return x, err
	}
	if x.Tie, err = s.db.TieOpen(r.Context(), round.ID); err != nil {
		return x, err
	}
	x.Tie = x.Tie && x.Open
	if x.Open {
		if x.Postponed, err = s.db.Postponements(r.Context(), round.ID); err != nil {
			return x, err
		}
	}
	for _, plate := range x.Plates {
		x.Keys = append(x.Keys, sheetKey(d, round, plate.Code))
		if plate.Sealed {
			x.Sealed++
		}
	}
	return x, nil
}

// creditAs keeps how a judge wants to be named.
func (s *Server) creditAs(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	if err := s.db.CreditAs(r.Context(), d.actor, d.challenge.ID, field(r, "credit")); err != nil {
		return err
	}
	return to(w, r, d.base+"?said=saved")
}
