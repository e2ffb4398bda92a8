package web

import (
	"net/http"

	"fairladle/challenge"
	"fairladle/web/views"
)

// showNow is the page for the counter.
func (s *Server) showNow(w http.ResponseWriter, r *http.Request) error {
	_, p, r, err := s.plannedCooking(r, "/now", "At the counter")
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Now(s.nowPage(p)))
}

func (s *Server) nowPage(p views.KitchenPage) views.NowPage {
	p.Frame.Quiet, p.Frame.Scripts = true, []string{"cooking.js", "once.js"}
	return views.NewNowPage(p, s.db.Now())
}

// noteNow is a button of the page for the counter.
func (s *Server) noteNow(w http.ResponseWriter, r *http.Request) error {
	d, p, r, err := s.plannedCooking(r, "/now", "At the counter")
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	note := challenge.CookNote{Task: field(r, "task"), Do: field(r, "do"), Minutes: minutesOr0(r, "minutes")}
	err = s.db.NoteCooking(r.Context(), d.actor, d.challenge.ID, p.X.Round.ID, note)
	if m, ok := refusals(err); ok {
		page := s.nowPage(p)
		page.Messages = m
		s.show(w, r, formStatus(err), views.Now(page))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, p.Base+"/now")
}

// showLog holds the plan against what happened.
func (s *Server) showLog(w http.ResponseWriter, r *http.Request) error {
	_, p, r, err := s.plannedCooking(r, "/log", "Cook's log")
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Log(logPage(p)))
}

func logPage(p views.KitchenPage) views.LogPage {
	page := views.NewLogPage(p)
	page.Serve = p.X.Plan().Serve.AddDate(0, 0, 7).Format(localTime)
	return page
}

// saveLog keeps a word and a photo beside a task, or plans the service once
// more with the times it took.
func (s *Server) saveLog(w http.ResponseWriter, r *http.Request) error {
	d, p, r, err := s.plannedCooking(r, "/log", "Cook's log")
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	next := "/log?said=saved"
	if field(r, "do") == "again" {
		next = "/sheet?said=planned"
		err = s.db.CookAgain(r.Context(), d.actor, d.challenge.ID, p.X.Round.ID, number(r, "revision"), moment(r, "serve", d.challenge.Zone))
	} else {
		err = s.noteWord(r, d, p)
	}
	if m, ok := refusals(err); ok {
		page := logPage(p)
		page.Messages = m
		s.show(w, r, formStatus(err), views.Log(page))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, p.Base+next)
}

func (s *Server) noteWord(r *http.Request, d desk, p views.KitchenPage) error {
	sum, err := s.takePhoto(r, true)
	if wrong := photoWrong(err); wrong != nil {
		return wrong
	}
	if err != nil {
		return err
	}
	note := challenge.CookNote{Task: field(r, "task"), Do: "word", Word: challenge.KeptText(field(r, "word")), Swapped: field(r, "swapped"), Photo: sum}
	return s.db.NoteCooking(r.Context(), d.actor, d.challenge.ID, p.X.Round.ID, note)
}
