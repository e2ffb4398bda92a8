package web

import (
	"context"
	"net/http"
	"time"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/challenge/measure"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// homePlanWithin bounds how long the pack's page waits for a plan.
const homePlanWithin = 2 * time.Second

// showHomePack is what a judge needs who cooks at home: the masked recipes for
// their portions, what to buy, and a plan.
func (s *Server) showHomePack(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	p, err := s.homePack(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.HomePack(p))
}

func (s *Server) homePack(r *http.Request, d desk) (views.HomePackPage, error) {
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return views.HomePackPage{}, err
	}
	x, err := s.db.HomePack(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return views.HomePackPage{}, err
	}
	p := views.HomePackPage{Frame: s.deskFrame(r, d, text.T(r.Context(), "Your home-tasting pack")), Base: d.base + "/home/" + itoa(round.Position),
		Score: d.base + "/score/" + itoa(round.Position), Desk: d.base, Pack: x, Serve: serveAsked(r, d.challenge, s.db.Now())}
	p.Frame.Said, p.Frame.Scripts = said(r), []string{"sheet.js"}
	var dishes []kitchen.Dish
	for _, dish := range x.Dishes {
		dishes = append(dishes, kitchen.Dish{Name: itoa(dish.Code) + " " + dish.Title, Breakdown: dish.Reading})
		p.Dishes = append(p.Dishes, views.HomeDish{HomeDish: dish, Reading: views.NewReading(dish.Text, dish.Reading), Parts: homeParts(dish, x.Portions)})
	}
	p.Shopping = kitchen.Shopping(dishes, x.Portions)
	ctx, cancel := context.WithTimeout(r.Context(), homePlanWithin)
	defer cancel()
	p.Plan, err = kitchen.Plan(ctx, challenge.HomeService(dishes, x.Portions, p.Serve))
	return p, err
}

// homeParts is a recipe for a judge's portions; where it does not say how many
// it serves it stays as it is written.
func homeParts(d store.HomeDish, portions int) []views.SizedPart {
	factor := measure.Whole(1)
	if f, err := d.Reading.FactorFor(measure.Whole(int64(portions))); err == nil {
		factor = f
	}
	return views.NewSizedParts(d.Reading, factor, "")
}

// serveAsked is when the judge wants to eat: today at six, unless the address
// says otherwise.
func serveAsked(r *http.Request, c challenge.Challenge, now time.Time) time.Time {
	if at, err := time.ParseInLocation(localTime, r.URL.Query().Get("serve"), c.Location()); err == nil {
		return at
	}
	y, m, day := now.In(c.Location()).Date()
	return time.Date(y, m, day+1, 18, 0, 0, 0, c.Location())
}

// saveHomeCooked keeps when a dish was cooked at home and what was changed.
func (s *Server) saveHomeCooked(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return err
	}
	code, err := plateCode(r)
	if err != nil {
		return err
	}
	h := store.HomeCooked{On: field(r, "on"), Changed: field(r, "changed")}
	err = s.db.CookedAtHome(r.Context(), d.actor, d.challenge.ID, round.ID, code, h)
	return s.answer(w, r, err, d.base+"/home/"+itoa(round.Position)+"?said=saved#plate-"+itoa(code), func(m views.Messages) (templ.Component, error) {
		p, err := s.homePack(r, d)
		p.Messages, p.At = m, code
		for i := range p.Dishes {
			if p.Dishes[i].Code == code {
				p.Dishes[i].Cooked = h
			}
		}
		return views.HomePack(p), err
	})
}

// tasteAtHome says for how many a judge cooks at home.
func (s *Server) tasteAtHome(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	person, err := s.participantOf(r, d)
	if err != nil {
		return err
	}
	if err := s.db.TasteAtHome(r.Context(), d.actor, d.challenge.ID, person.ID, number(r, "home")); err != nil {
		return err
	}
	return to(w, r, d.base+"/people?said=saved")
}
