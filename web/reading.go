package web

import (
	"errors"
	"net/http"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// readingScreens are the addresses of a reading round.
func (s *Server) readingScreens(get, post func(string, handler)) {
	get("/reading/{round}", s.showReading)
	post("/reading/{round}/late", s.admitLate)
	get("/reading/{round}/cut", s.showCut)
	post("/reading/{round}/cut", s.saveCut)
	post("/reading/{round}/more", s.oneMoreReading)
	get("/reading/{round}/{number}", s.onDesk(false, s.showReadingEntry))
	post("/reading/{round}/{number}", s.onDesk(false, s.markEntry))
	post("/reading/{round}/{number}/conflict", s.onDesk(false, s.declareConflict))
	get("/reading/{round}/again/{number}", s.onDesk(true, s.showReadingEntry))
	post("/reading/{round}/again/{number}", s.onDesk(true, s.markEntry))
}

// showReading is where a reader begins, and where the host sees how far
// everyone is.
func (s *Server) showReading(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ReadBlind)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Reading)
	if err != nil {
		return err
	}
	share, err := s.db.Share(r.Context(), d.actor, d.challenge.ID, round.ID)
	if err != nil {
		return err
	}
	f := s.deskFrame(r, d, round.Title)
	f.Said = said(r)
	p := views.ReadingList{Frame: f, Base: d.base + roundPath(round), Desk: d.base, Round: round, Share: share,
		MayCut: challenge.May(d.actor, challenge.RunRound, d.challenge.ID) == nil}
	if next, ok := share.Unmarked(0); ok {
		p.Next = views.StepPath(p.Base, next)
	}
	if challenge.May(d.actor, challenge.SeeMarks, d.challenge.ID) == nil {
		if p.Progress, err = s.db.Progress(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
			return err
		}
	}
	if p.MayCut && round.State != challenge.Done {
		if p.Outlook, err = s.db.ReadingOutlook(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
			return err
		}
	}
	if p.MayCut && round.State == challenge.Planned {
		p.Plan = s.roundsPage(r, d)
		p.Plan.Back = true
		err := d.challenge.MayOpen(round, s.db.Now())
		p.MayOpen = err == nil
		p.NotYet, _ = errors.AsType[*challenge.Refusal](err)
	}
	if _, later := d.challenge.Before(round); !later && round.State == challenge.UnderWay {
		if p.Late, err = s.db.LateEntries(r.Context(), d.challenge.ID, round.ID); err != nil {
			return err
		}
	}
	return s.ok(w, r, views.ReadingStart(p))
}

// A deskOf is one entry on a reader's desk and all that stands around it.
type deskOf struct {
	desk
	round challenge.Round
	dish  int64
	share store.Share
	at    int // in the share, -1 where the asker does not read it
	page  views.ReadingPage
}

// onDesk finds the entry on the desk, the first time or again.
func (s *Server) onDesk(again bool, h func(http.ResponseWriter, *http.Request, deskOf) error) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		d, r, err := s.desk(r, challenge.ReadBlind)
		if err != nil {
			return err
		}
		x := deskOf{desk: d}
		if x.round, err = d.round(r, challenge.Reading); err != nil {
			return err
		}
		if x.dish, err = s.numbered(r, d); err != nil {
			return err
		}
		if err := parse(r); err != nil {
			return err
		}
		if x.share, err = s.db.Share(r.Context(), d.actor, d.challenge.ID, x.round.ID); err != nil {
			return err
		}
		x.at = x.share.Find(x.dish, again)
		if x.at < 0 && (again || challenge.May(d.actor, challenge.SeeField, d.challenge.ID) != nil) {
			return challenge.NotFound("This recipe is not among those that you read.")
		}
		if err := s.layOut(r, &x); err != nil {
			return err
		}
		return h(w, r, x)
	}
}

// layOut fills the page of an entry on the desk, with its neighbours.
func (s *Server) layOut(r *http.Request, x *deskOf) (err error) {
	p := &x.page
	if p.Recipe, p.Effort, err = s.masked(r, x.desk, x.dish); err != nil {
		return err
	}
	p.Frame = s.deskFrame(r, x.desk, text.T(r.Context(), "No. %v", p.Recipe.Dish.Number))
	p.Frame.Wide, p.Frame.Scripts, p.Frame.Said = true, []string{"desk.js"}, said(r)
	p.Base, p.Title, p.Open = x.base+roundPath(x.round), x.round.Title, x.round.State == challenge.UnderWay
	p.Reading = views.NewReading(p.Recipe.Text, p.Recipe.Reading)
	p.Done, p.Total = x.share.Done, len(x.share.Steps)
	p.Step, p.Criteria = store.Step{Dish: p.Recipe.Dish}, x.round.Params.CutRule().Criteria
	if p.Answers, err = s.db.Questions(r.Context(), x.actor, x.challenge.ID, x.dish); err != nil {
		return err
	}
	if x.at < 0 {
		return nil
	}
	p.Mine, p.Step, p.Position = true, x.share.Steps[x.at], x.at+1
	if x.at > 0 {
		p.Previous = views.StepPath(p.Base, x.share.Steps[x.at-1])
	}
	if x.at+1 < len(x.share.Steps) {
		p.NextOne = views.StepPath(p.Base, x.share.Steps[x.at+1])
	}
	return nil
}

// masked is a recipe without its sender, with what it asks of a cook in the
// challenge's kitchen and at the host's prices.
func (s *Server) masked(r *http.Request, d desk, dish int64) (x store.Recipe, e store.Effort, err error) {
	if x, err = s.db.Masked(r.Context(), dish); err != nil {
		return x, e, err
	}
	prices, err := s.db.Prices(r.Context())
	return x, store.EffortOf(x.Reading, d.challenge.Kitchen, prices), err
}

func (s *Server) showReadingEntry(w http.ResponseWriter, r *http.Request, x deskOf) error {
	return s.ok(w, r, views.ReadingDesk(x.page))
}

// markEntry saves a mark or a flag and goes on to the next unmarked entry.
func (s *Server) markEntry(w http.ResponseWriter, r *http.Request, x deskOf) error {
	step := &x.page.Step
	mark := store.Mark{Dish: x.dish, Mark: field(r, "mark"), Note: field(r, "note"), Answers: criterionAnswers(r, len(x.page.Criteria))}
	var err error
	switch flag := field(r, "flag"); {
	case flag != "":
		err = s.db.Flag(r.Context(), x.actor, x.challenge.ID, x.round.ID, x.dish, flag == "on")
	case step.Again:
		err = s.db.MarkAgain(r.Context(), x.actor, x.challenge.ID, x.round.ID, mark)
	default:
		err = s.db.Mark(r.Context(), x.actor, x.challenge.ID, x.round.ID, mark)
	}
	if m, ok := refusals(err); ok {
		x.page.Messages, step.Mark, step.Note, step.Answers = m, mark.Mark, mark.Note, mark.Answers
		s.show(w, r, formStatus(err), views.ReadingDesk(x.page))
		return nil
	}
	if err != nil {
		return err
	}
	return s.onwards(w, r, x)
}

// criterionAnswers decodes the answers to a round's criteria; a missing one is -1,
// which is refused.
func criterionAnswers(r *http.Request, criteria int) []int {
	var answers []int
	for i := range criteria {
		answers = append(answers, number(r, "answer-"+itoa(i)))
	}
	return answers
}

// onwards goes to the next entry without a mark. The share is read anew: a
// mark may have brought an entry back.
func (s *Server) onwards(w http.ResponseWriter, r *http.Request, x deskOf) error {
	here := x.page.Step
	share, err := s.db.Share(r.Context(), x.actor, x.challenge.ID, x.round.ID)
	if err != nil {
		return err
	}
	next, ok := share.Unmarked(share.Find(here.Dish.ID, here.Again) + 1)
	if !ok || next.Dish.ID == here.Dish.ID && next.Again == here.Again {
		return to(w, r, x.page.Base+"?said=saved")
	}
	return to(w, r, views.StepPath(x.page.Base, next))
}

func (s *Server) declareConflict(w http.ResponseWriter, r *http.Request, x deskOf) error {
	err := s.db.DeclareConflict(r.Context(), x.actor, x.challenge.ID, x.round.ID, x.dish, field(r, "reason"))
	return s.answer(w, r, err, x.page.Base+"?said=declined", func(m views.Messages) (templ.Component, error) {
		x.page.Messages, x.page.Reason = m, field(r, "reason")
		return views.ReadingDesk(x.page), nil
	})
}

func (s *Server) admitLate(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Reading)
	if err != nil {
		return err
	}
	if err := s.db.AdmitLate(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(round)+"?said=saved")
}
