package web

import (
	"net/http"
	"strconv"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// eligibleScreens are the addresses of who takes part, of near-duplicates and
// of questions to entrants.
func (s *Server) eligibleScreens(get, post func(string, handler)) {
	get("/entries/alike", s.showAlike)
	get("/entries/{number}/beside/{other}", s.showBeside)
	post("/entries/{number}/beside/{other}", s.decideBeside)
	post("/entries/{number}/bar", s.barEntry)
	post("/entries/{number}/lift", s.liftBar)
	get("/questions", s.showQuestions)
	get("/words", s.showTold)
	post("/words", s.saveTold)
	post("/entries/{number}/question", s.askEntrant)
}

// standing fills what an entry's page says of its part and its questions.
func (s *Server) standing(r *http.Request, d desk, dish int64, p *views.EntryPage) (err error) {
	p.MayDecide = challenge.May(d.actor, challenge.EditChallenge, d.challenge.ID) == nil
	if p.State, err = s.db.EntryState(r.Context(), d.challenge.ID, dish); err != nil {
		return err
	}
	if p.Told, err = s.db.Told(r.Context(), d.challenge.ID); err != nil {
		return err
	}
	if p.Bars, err = s.db.Bars(r.Context(), d.actor, d.challenge.ID, dish); err != nil {
		return err
	}
	p.Questions, err = s.db.Questions(r.Context(), d.actor, d.challenge.ID, dish)
	return err
}

// onEntry does one thing to an entry and shows its page again.
func (s *Server) onEntry(w http.ResponseWriter, r *http.Request, do func(r *http.Request, d desk, dish int64) error, keep func(*http.Request, *views.EntryPage)) error {
	d, r, err := s.posted(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	dish, err := s.numbered(r, d)
	if err != nil {
		return err
	}
	err = do(r, d, dish)
	return s.answer(w, r, err, d.base+"/entries/"+chi.URLParam(r, "number")+"?said=saved", func(m views.Messages) (templ.Component, error) {
		p, err := s.entryOnDesk(r, d, dish)
		p.Messages = m
		keep(r, &p)
		return views.Entry(p), err
	})
}

// readBar decodes why an entry is taken out; without words for this entry its
// author reads those of the cause.
func (s *Server) readBar(r *http.Request, d desk) (store.Bar, error) {
	b := typedBar(r)
	if b.Words != "" || !b.Cause.Known() {
		return b, nil
	}
	told, err := s.db.Told(r.Context(), d.challenge.ID)
	b.Words = text.T(r.Context(), told.Words(challenge.About(b.Cause)))
	return b, err
}

func (s *Server) barEntry(w http.ResponseWriter, r *http.Request) error {
	return s.onEntry(w, r, func(r *http.Request, d desk, dish int64) error {
		b, err := s.readBar(r, d)
		if err != nil {
			return err
		}
		return s.db.Bar(r.Context(), d.actor, d.challenge.ID, dish, b, 0)
	}, func(r *http.Request, p *views.EntryPage) { p.Typed = typedBar(r) })
}

// typedBar is the form as it was typed.
func typedBar(r *http.Request) store.Bar {
	return store.Bar{Cause: challenge.Cause(field(r, "cause")), Reason: field(r, "reason"), Words: field(r, "words")}
}

func (s *Server) liftBar(w http.ResponseWriter, r *http.Request) error {
	return s.onEntry(w, r, func(r *http.Request, d desk, dish int64) error {
		return s.db.LiftBar(r.Context(), d.actor, d.challenge.ID, dish, field(r, "lifted"))
	}, func(r *http.Request, p *views.EntryPage) { p.Lifted = field(r, "lifted") })
}

func (s *Server) askEntrant(w http.ResponseWriter, r *http.Request) error {
	return s.onEntry(w, r, func(r *http.Request, d desk, dish int64) error {
		return s.db.Ask(r.Context(), d.actor, d.challenge.ID, dish, field(r, "question"))
	}, func(r *http.Request, p *views.EntryPage) { p.Question = field(r, "question") })
}

func (s *Server) showQuestions(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeeField)
	if err != nil {
		return err
	}
	qs, err := s.db.AllQuestions(r.Context(), d.actor, d.challenge.ID)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Questions(views.QuestionsPage{Frame: s.deskFrame(r, d, text.T(r.Context(), "Questions to entrants")), Base: d.base, Questions: qs}))
}

func (s *Server) showAlike(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeeField)
	if err != nil {
		return err
	}
	pairs, err := s.db.AlikePairs(r.Context(), d.actor, d.challenge.ID)
	if err != nil {
		return err
	}
	f := s.deskFrame(r, d, text.T(r.Context(), "Entries that are alike"))
	f.Said = said(r)
	return s.ok(w, r, views.Alike(views.AlikePage{Frame: f, Base: d.base, Pairs: pairs}))
}

func (s *Server) showBeside(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.SeeField)
	if err != nil {
		return err
	}
	p, err := s.besidePage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Beside(p))
}

func (s *Server) besidePage(r *http.Request, d desk) (views.BesidePage, error) {
	var p views.BesidePage
	first, err := s.numbered(r, d)
	if err != nil {
		return p, err
	}
	n, err := strconv.Atoi(chi.URLParam(r, "other"))
	if err != nil {
		return p, challenge.NotFound("There is no such entry.")
	}
	second, err := s.db.EntryByNumber(r.Context(), d.challenge.ID, n)
	if err != nil {
		return p, err
	}
	x, err := s.db.Beside(r.Context(), d.actor, d.challenge.ID, first, second)
	f := s.deskFrame(r, d, text.T(r.Context(), "No. %v beside No. %v", x.A.Dish.Number, x.B.Dish.Number))
	f.Wide = true
	p = views.NewBesidePage(f, d.base, x)
	p.MayDecide = challenge.May(d.actor, challenge.EditChallenge, d.challenge.ID) == nil
	if err == nil {
		p.Told, err = s.db.Told(r.Context(), d.challenge.ID)
	}
	return p, err
}

// decideBeside keeps both entries, or takes one of them out as a double.
func (s *Server) decideBeside(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.besidePage(r, d)
	if err != nil {
		return err
	}
	p.Do, p.Typed = field(r, "do"), typedBar(r)
	bar, err := s.readBar(r, d)
	if err != nil {
		return err
	}
	a, b := p.Beside.A.Dish.ID, p.Beside.B.Dish.ID
	switch p.Do {
	case "both":
		err = s.db.KeepBoth(r.Context(), d.actor, d.challenge.ID, a, b, p.Typed.Reason)
	case "first":
		err = s.db.Bar(r.Context(), d.actor, d.challenge.ID, a, bar, b)
	case "second":
		err = s.db.Bar(r.Context(), d.actor, d.challenge.ID, b, bar, a)
	default:
		err = challenge.Refuse(challenge.Invalid, "do", "Choose what happens with the two.")
	}
	return s.answer(w, r, err, d.base+"/entries/alike?said=saved", func(m views.Messages) (templ.Component, error) {
		p.Messages = m
		return views.Beside(p), nil
	})
}

// answerQuestion keeps an entrant's answer from the private page.
func (s *Server) answerQuestion(w http.ResponseWriter, r *http.Request) error {
	a, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err = s.db.Answer(r.Context(), a, id(r, "question"), field(r, "answer"))
	return s.answer(w, r, err, base+"?said=saved#questions", func(m views.Messages) (templ.Component, error) {
		p, err := s.ownPage(r, o, base)
		p.Messages = m
		return views.Own(p), err
	})
}
