package web

import (
	"net/http"
	"strconv"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

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
	lines, err := s.readingLines(r, d, round)
	if err != nil {
		return err
	}
	f := s.deskFrame(r, d, round.Title)
	f.Said = said(r)
	p := views.ReadingList{Frame: f, Base: d.base + roundPath(round), Round: round, Lines: lines,
		MayCut: challenge.May(d.actor, challenge.RunRound, d.challenge.ID) == nil}
	for _, l := range lines {
		if l.Mark != "" {
			p.Done++
		} else if p.First == 0 {
			p.First = l.Dish.Number
		}
	}
	if challenge.May(d.actor, challenge.SeeMarks, d.challenge.ID) == nil {
		if p.Progress, err = s.db.Progress(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
			return err
		}
	}
	return s.ok(w, r, views.ReadingStart(p))
}

// readingLines are the entries of a round with the reader's own marks.
func (s *Server) readingLines(r *http.Request, d desk, round challenge.Round) ([]views.ReadingLine, error) {
	dishes, err := s.db.DishesIn(r.Context(), round.ID)
	if err != nil {
		return nil, err
	}
	marks, err := s.db.OwnMarks(r.Context(), d.actor, d.challenge.ID, round.ID)
	lines := make([]views.ReadingLine, len(dishes))
	for i, x := range dishes {
		m := marks[x.ID]
		lines[i] = views.ReadingLine{Dish: x, Mark: m.Mark, Note: m.Note}
	}
	return lines, err
}

func (s *Server) showReadingEntry(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.ReadBlind)
	if err != nil {
		return err
	}
	p, _, err := s.readingPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.ReadingDesk(p))
}

// readingPage is one entry on the desk, with its neighbours.
func (s *Server) readingPage(r *http.Request, d desk) (views.ReadingPage, challenge.Round, error) {
	var p views.ReadingPage
	round, err := d.round(r, challenge.Reading)
	if err != nil {
		return p, round, err
	}
	dish, err := s.numbered(r, d)
	if err != nil {
		return p, round, err
	}
	lines, err := s.readingLines(r, d, round)
	if err != nil {
		return p, round, err
	}
	at := -1
	for i, l := range lines {
		if l.Dish.ID == dish {
			at = i
		}
		if l.Mark != "" {
			p.Done++
		}
	}
	if at < 0 {
		return p, round, challenge.NotFound("This recipe is not part of the round.")
	}
	if p.Recipe, err = s.db.Masked(r.Context(), dish); err != nil {
		return p, round, err
	}
	p.Frame = s.deskFrame(r, d, text.T(r.Context(), "No. %v", p.Recipe.Dish.Number))
	p.Frame.Wide, p.Frame.Scripts = true, []string{"desk.js"}
	p.Base, p.Title, p.Open = d.base+roundPath(round), round.Title, round.State == challenge.UnderWay
	p.Reading = views.NewReading(p.Recipe.Text, p.Recipe.Reading)
	p.Mark = store.Mark{Dish: dish, Mark: lines[at].Mark, Note: lines[at].Note}
	p.Position, p.Total = at+1, len(lines)
	if at > 0 {
		p.Previous = lines[at-1].Dish.Number
	}
	if at+1 < len(lines) {
		p.NextOne = lines[at+1].Dish.Number
	}
	return p, round, nil
}

// markEntry saves a mark and goes on to the next entry.
func (s *Server) markEntry(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.MarkEntry)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p, round, err := s.readingPage(r, d)
	if err != nil {
		return err
	}
	mark := store.Mark{Dish: p.Mark.Dish, Mark: field(r, "mark"), Note: field(r, "note")}
	err = s.db.Mark(r.Context(), d.actor, d.challenge.ID, round.ID, mark)
	if m, ok := refusals(err); ok {
		p.Messages, p.Mark = m, mark
		s.show(w, r, formStatus(err), views.ReadingDesk(p))
		return nil
	}
	if err != nil {
		return err
	}
	if p.NextOne > 0 {
		return to(w, r, p.Base+"/"+itoa(p.NextOne))
	}
	return to(w, r, p.Base+"?said=saved")
}

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
	cut, err := s.db.Cut(r.Context(), d.actor, d.challenge.ID, round.ID)
	f := s.deskFrame(r, d, text.T(r.Context(), "The cut"))
	f.Wide, f.Said = true, said(r)
	return views.CutPage{Frame: f, Base: d.base + roundPath(round), Desk: d.base, Round: round, Cut: cut}, err
}

// saveCut keeps what the host moved over the line by hand.
func (s *Server) saveCut(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p, err := s.cutPage(r, d)
	if err != nil {
		return err
	}
	for _, l := range p.Cut.Lines {
		key := strconv.FormatInt(l.Entry, 10)
		chosen, reason := ticked(r, "on-"+key), field(r, "reason-"+key)
		if chosen == l.Chosen && reason == l.Reason {
			continue
		}
		if err := s.db.Choose(r.Context(), d.actor, d.challenge.ID, p.Round.ID, store.Choice{Dish: l.Entry, Chosen: chosen, Reason: reason}); err != nil {
			return err
		}
	}
	return to(w, r, p.Base+"/cut?said=saved")
}
