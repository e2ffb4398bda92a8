package web

import (
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// rehearsalScreens routes what comes before a draw: tickets and rehearsals.
func (s *Server) rehearsalScreens(get, post func(string, handler)) {
	get("/draw/{round}/tickets", s.showTickets)
	post("/draw/{round}/tickets", s.setTickets)
	get("/draw/{round}/rehearsals", s.showRehearsals)
	post("/draw/{round}/rehearsals", s.beginRehearsal)
	get("/draw/{round}/rehearsals/{number}", s.showRehearsal)
	post("/draw/{round}/rehearsals/{number}/roll", s.rehearseRoll)
	post("/draw/{round}/rehearsals/{number}/values", s.rehearseValues)
}

func (s *Server) drawDesk(r *http.Request) (desk, challenge.Round, *http.Request, error) {
	d, r, err := s.desk(r, challenge.RunDraw)
	if err != nil {
		return d, challenge.Round{}, r, err
	}
	round, err := d.round(r, challenge.Draw)
	return d, round, r, err
}

func (s *Server) showRehearsals(w http.ResponseWriter, r *http.Request) error {
	d, round, r, err := s.drawDesk(r)
	if err != nil {
		return err
	}
	all, err := s.db.Rehearsals(r.Context(), round.ID)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Rehearsals(views.RehearsalsPage{Frame: s.deskFrame(r, d, text.T(r.Context(), "Rehearse “%v”", round.Title)),
		Base: d.base + roundPath(round) + "/rehearsals", All: all, Over: round.State == challenge.Done}))
}

func (s *Server) beginRehearsal(w http.ResponseWriter, r *http.Request) error {
	d, round, r, err := s.drawDesk(r)
	if err != nil {
		return err
	}
	number, err := s.db.Rehearse(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(round)+"/rehearsals/"+itoa(number))
}

func rehearsalNumber(r *http.Request) int {
	n, err := strconv.Atoi(chi.URLParam(r, "number"))
	if err != nil {
		return -1 // there is no such rehearsal
	}
	return n
}

func (s *Server) showRehearsal(w http.ResponseWriter, r *http.Request) error {
	d, round, r, err := s.drawDesk(r)
	if err != nil {
		return err
	}
	p, err := s.rehearsalPage(r, d, round)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Rehearsal(p))
}

func (s *Server) rehearsalPage(r *http.Request, d desk, round challenge.Round) (views.RehearsalPage, error) {
	x, err := s.db.Rehearsal(r.Context(), d.challenge.ID, rehearsalNumber(r))
	p := views.RehearsalPage{Frame: s.deskFrame(r, d, text.T(r.Context(), "Rehearsal %v of “%v”", x.Number, round.Title)), Rehearsal: x,
		Back: d.base + roundPath(round) + "/rehearsals", Record: views.RehearsalRecord(d.challenge.Slug, x.Number)}
	p.Base = p.Back + "/" + itoa(x.Number)
	if err == nil && x.Awaits == draw.ForRoll {
		p.Table, p.More = views.FaceRows(r.Context(), x.State.Table(), nil, 200)
	}
	return p, err
}

func (s *Server) rehearseRoll(w http.ResponseWriter, r *http.Request) error {
	return s.rehearse(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		e := draw.Event{N: number(r, "n"), Place: number(r, "place"), Dice: []int{}}
		for _, shown := range r.PostForm["die"] {
			face, err := strconv.Atoi(shown)
			if err != nil {
				return challenge.Refuse(challenge.Invalid, "dice", "Type what each die shows, as a whole number.")
			}
			e.Dice = append(e.Dice, face)
		}
		return s.db.RehearseRoll(r.Context(), d.actor, d.challenge.ID, round.ID, rehearsalNumber(r), e)
	})
}

func (s *Server) rehearseValues(w http.ResponseWriter, r *http.Request) error {
	return s.rehearse(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		return s.db.RehearseValues(r.Context(), d.actor, d.challenge.ID, round.ID, rehearsalNumber(r))
	})
}

// rehearse does one step of a rehearsal and shows it again.
func (s *Server) rehearse(w http.ResponseWriter, r *http.Request, step func(*http.Request, desk, challenge.Round) error) error {
	d, round, r, err := s.drawDesk(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err = step(r, d, round)
	if m, ok := refusals(err); ok {
		p, pageErr := s.rehearsalPage(r, d, round)
		if pageErr != nil {
			return pageErr
		}
		p.Messages, p.Typed = m, r.PostForm["die"]
		s.show(w, r, formStatus(err), views.Rehearsal(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(round)+"/rehearsals/"+itoa(rehearsalNumber(r)))
}

// rehearsalRecord is the record of a finished rehearsal; it is public at once,
// and stays when its draw is taken out of the plan.
func (s *Server) rehearsalRecord(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	x, err := s.db.Rehearsal(r.Context(), c.ID, rehearsalNumber(r))
	if err != nil {
		return err
	}
	if x.Record == nil {
		return challenge.NotFound("This rehearsal is not finished; it has no record yet.")
	}
	return download(w, "rehearsal-record-"+c.Slug+"-"+itoa(x.Number)+".json", x.Record)
}

func (s *Server) showTickets(w http.ResponseWriter, r *http.Request) error {
	d, round, r, err := s.drawDesk(r)
	if err != nil {
		return err
	}
	p, err := s.ticketsPage(r, d, round)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.TicketsDesk(p))
}

func (s *Server) ticketsPage(r *http.Request, d desk, round challenge.Round) (views.TicketsPage, error) {
	all, err := s.db.Tickets(r.Context(), d.actor, d.challenge.ID, round.ID)
	f := s.deskFrame(r, d, text.T(r.Context(), "Tickets in “%v”", round.Title))
	f.Said = said(r)
	return views.TicketsPage{Frame: f, Base: d.base, Round: round, All: all}, err
}

func (s *Server) setTickets(w http.ResponseWriter, r *http.Request) error {
	d, round, r, err := s.drawDesk(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	typed := store.Tickets{Number: number(r, "number"), Tickets: number(r, "tickets"), Reason: field(r, "reason")}
	err = s.db.SetTickets(r.Context(), d.actor, d.challenge.ID, round.ID, typed.Number, typed.Tickets, typed.Reason)
	if m, ok := refusals(err); ok {
		p, pageErr := s.ticketsPage(r, d, round)
		if pageErr != nil {
			return pageErr
		}
		p.Messages, p.Typed = m, typed
		s.show(w, r, formStatus(err), views.TicketsDesk(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(round)+"/tickets?said=recorded")
}
