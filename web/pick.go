package web

import (
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showPick is the shortlist for whoever picks from it, and for the host the
// envelope that is sealed or not.
func (s *Server) showPick(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ReadBlind)
	if err != nil {
		return err
	}
	p, err := s.pickList(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Pick(p))
}

// pickList is the page of the whole shortlist, each recipe with its effort.
func (s *Server) pickList(r *http.Request, d desk) (views.PickPage, error) {
	p, err := s.pickPage(r, d)
	if err != nil {
		return p, err
	}
	for i := range p.Lines {
		_, effort, err := s.masked(r, d, p.Lines[i].Dish.ID)
		if err != nil {
			return p, err
		}
		p.Lines[i].Effort = &effort
	}
	return p, nil
}

func (s *Server) pickPage(r *http.Request, d desk) (views.PickPage, error) {
	var p views.PickPage
	round, err := d.round(r, challenge.Pick)
	if err != nil {
		return p, err
	}
	if d.actor.Role == challenge.Reader {
		return p, challenge.May(d.actor, challenge.MakePick, d.challenge.ID)
	}
	dishes, err := s.db.PickDishes(r.Context(), round.ID)
	if err != nil {
		return p, err
	}
	state, err := s.db.PickState(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return p, err
	}
	p.Frame = s.deskFrame(r, d, round.Title)
	p.Frame.Said = said(r)
	p.Base, p.Desk, p.Round, p.Role = d.base+roundPath(round), d.base, round, d.actor.Role
	p.Sealed, p.SealedAt = !state.SealedAt.IsZero(), text.From(r.Context()).Moment(state.SealedAt)
	p.MayPick = d.actor.Role == challenge.Cohost || !round.Params.Sealed
	p.Want = min(round.Params.Keep, len(dishes))
	p.Lines, p.Chosen = pickLines(dishes, state.Choices)
	if p.Corrections, err = s.db.Corrections(r.Context(), round.ID); err != nil {
		return p, err
	}
	return p, s.pickSurroundings(r, d, &p)
}

// pickSurroundings adds the deadline and how alike the recipes are.
func (s *Server) pickSurroundings(r *http.Request, d desk, p *views.PickPage) (err error) {
	if p.Plan, err = s.db.PickPlan(r.Context(), d.actor, d.challenge.ID, p.Round.ID); err != nil {
		return err
	}
	ids, number := make([]int64, len(p.Lines)), map[int64]int{}
	for i, l := range p.Lines {
		ids[i], number[l.Dish.ID] = l.Dish.ID, l.Dish.Number
	}
	nearest, err := s.db.NearestOf(r.Context(), ids)
	if err != nil {
		return err
	}
	for _, x := range nearest {
		for i := range p.Lines {
			if l := &p.Lines[i]; l.Dish.ID == x.Dish && x.Other != 0 {
				l.Near, l.Like = number[x.Other], x.Like
			}
		}
	}
	if p.MayPlan = challenge.May(d.actor, challenge.RunRound, d.challenge.ID) == nil && !p.Sealed && p.Round.State != challenge.Done; !p.MayPlan {
		return nil
	}
	people, err := s.db.Participants(r.Context(), d.actor, d.challenge.ID)
	for _, x := range people {
		if x.Role == challenge.Cohost && !x.Removed {
			p.StandIns = append(p.StandIns, x)
		}
	}
	p.Due, p.StandIn = localInput(p.Plan.DueAt, d.challenge), p.Plan.StandIn
	return err
}

// localInput writes a moment for a form, empty for none.
func localInput(at time.Time, c challenge.Challenge) string {
	if at.IsZero() {
		return ""
	}
	return at.In(c.Location()).Format(localTime)
}

// savePickPlan changes the deadline and the stand-in.
func (s *Server) savePickPlan(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.pickList(r, d)
	if err != nil {
		return err
	}
	plan := store.PickPlan{DueAt: moment(r, "due_at", d.challenge.Zone), StandIn: id(r, "stand_in")}
	err = s.db.SetPickPlan(r.Context(), d.actor, d.challenge.ID, p.Round.ID, plan)
	return s.answer(w, r, err, p.Base+"?said=saved", func(m views.Messages) (templ.Component, error) {
		p.Messages, p.Due, p.StandIn = m, field(r, "due_at"), plan.StandIn
		return views.Pick(p), nil
	})
}

// comparePick shows two recipes of the shortlist side by side; without a
// choice in the address, the first two.
func (s *Server) comparePick(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ReadBlind)
	if err != nil {
		return err
	}
	list, err := s.pickPage(r, d)
	if err != nil {
		return err
	}
	if len(list.Lines) < 2 {
		return challenge.NotFound("There are no two recipes to compare.")
	}
	p := views.ComparePage{List: list, Frame: s.deskFrame(r, d, text.T(r.Context(), "Side by side"))}
	p.Frame.Wide = true
	p.Sealed = list.Sealed || !list.MayPick || list.Round.State != challenge.UnderWay
	for i, key := range []string{"a", "b"} {
		line := list.Lines[i]
		for _, l := range list.Lines {
			if itoa(l.Dish.Number) == r.URL.Query().Get(key) {
				line = l
			}
		}
		x, effort, err := s.masked(r, d, line.Dish.ID)
		if err != nil {
			return err
		}
		p.Sides[i] = views.CompareSide{Line: line, Recipe: x, Reading: views.NewReading(x.Text, x.Reading), Effort: effort}
	}
	return s.ok(w, r, views.Compare(p))
}

func pickLines(dishes []store.Dish, choices []store.Choice) (lines []views.PickLine, chosen int) {
	for _, x := range dishes {
		l := views.PickLine{Dish: x}
		for _, c := range choices {
			if c.Dish == x.ID {
				l.Chosen, l.Held, l.Reason = c.Chosen, !c.Chosen, c.Reason
			}
		}
		if l.Chosen {
			chosen++
		}
		lines = append(lines, l)
	}
	return lines, chosen
}

func (s *Server) showPickEntry(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ReadBlind)
	if err != nil {
		return err
	}
	p, err := s.pickEntryPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.PickEntry(p))
}

func (s *Server) pickEntryPage(r *http.Request, d desk) (views.PickEntryPage, error) {
	var p views.PickEntryPage
	list, err := s.pickPage(r, d)
	if err != nil {
		return p, err
	}
	dish, err := s.numbered(r, d)
	if err != nil {
		return p, err
	}
	at := -1
	for i, l := range list.Lines {
		if l.Dish.ID == dish {
			at = i
		}
	}
	if at < 0 {
		return p, challenge.NotFound("This recipe is not part of the round.")
	}
	if p.Recipe, p.Effort, err = s.masked(r, d, dish); err != nil {
		return p, err
	}
	p.Frame = s.deskFrame(r, d, text.T(r.Context(), "No. %v", p.Recipe.Dish.Number))
	p.Frame.Scripts = []string{"desk.js"}
	p.Base, p.Reading, p.Line = list.Base, views.NewReading(p.Recipe.Text, p.Recipe.Reading), list.Lines[at]
	p.Others = list.Lines
	if p.Answers, err = s.db.Questions(r.Context(), d.actor, d.challenge.ID, dish); err != nil {
		return p, err
	}
	p.Sealed = list.Sealed || !list.MayPick || list.Round.State != challenge.UnderWay
	p.Chosen, p.Want, p.Position, p.Total = list.Chosen, list.Want, at+1, len(list.Lines)
	if at > 0 {
		p.Previous = list.Lines[at-1].Dish.Number
	}
	if at+1 < len(list.Lines) {
		p.NextOne = list.Lines[at+1].Dish.Number
	}
	return p, nil
}

// choose keeps one choice of the draft.
func (s *Server) choose(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.ReadBlind)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Pick)
	if err != nil {
		return err
	}
	p, err := s.pickEntryPage(r, d)
	if err != nil {
		return err
	}
	choice := store.Choice{Dish: p.Recipe.Dish.ID, Chosen: field(r, "do") == "choose", Reason: field(r, "reason")}
	err = s.db.Choose(r.Context(), d.actor, d.challenge.ID, round.ID, choice)
	return s.answer(w, r, err, afterChoice(r, p), func(m views.Messages) (templ.Component, error) {
		p.Messages, p.Line.Reason = m, choice.Reason
		return views.PickEntry(p), nil
	})
}

// afterChoice is where a choice leads: back to the pair it was made in, to the
// next recipe, or to the list.
func afterChoice(r *http.Request, p views.PickEntryPage) string {
	if other, err := strconv.Atoi(field(r, "beside")); err == nil {
		return fmt.Sprintf("%s/compare?a=%d&b=%d", p.Base, p.Recipe.Dish.Number, other)
	}
	if p.NextOne > 0 {
		return p.Base + "/" + itoa(p.NextOne)
	}
	return p.Base + "?said=saved"
}

func (s *Server) sealPick(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.ReadBlind)
	if err != nil {
		return err
	}
	p, err := s.pickPage(r, d)
	if err != nil {
		return err
	}
	if err = s.saveReasons(r, d, p); err == nil {
		err = s.db.SealPick(r.Context(), d.actor, d.challenge.ID, p.Round.ID)
	}
	return s.answer(w, r, err, p.Base+"?said=sealed", func(m views.Messages) (templ.Component, error) {
		p, err := s.pickList(r, d)
		p.Messages = m
		return views.Pick(p), err
	})
}

// saveReasons keeps the sentences that stand beside the seal before it is
// tried, so that a refusal costs nobody what was typed.
func (s *Server) saveReasons(r *http.Request, d desk, p views.PickPage) error {
	for _, l := range p.Finalists() {
		reason := field(r, l.ReasonField())
		if reason == "" || reason == l.Reason {
			continue
		}
		if err := s.db.Choose(r.Context(), d.actor, d.challenge.ID, p.Round.ID, store.Choice{Dish: l.Dish.ID, Chosen: true, Reason: reason}); err != nil {
			return err
		}
	}
	return nil
}
