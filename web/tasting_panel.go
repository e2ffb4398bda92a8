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

// postedTasting is a form about one tasting, sent by whoever runs it.
func (s *Server) postedTasting(r *http.Request) (desk, *http.Request, challenge.Round, error) {
	d, r, err := s.posted(r, challenge.RunRound)
	if err != nil {
		return d, r, challenge.Round{}, err
	}
	round, err := d.round(r, challenge.Tasting)
	return d, r, round, err
}

// answerTasting ends a form about a tasting; refused, its page shows again what
// was typed into the field named typed.
func (s *Server) answerTasting(w http.ResponseWriter, r *http.Request, d desk, round challenge.Round, err error, typed string) error {
	return s.answer(w, r, err, d.base+roundPath(round)+"?said=saved", func(m views.Messages) (templ.Component, error) {
		p, err := s.tastingPage(r, d)
		p.Messages, p.Reason, p.Until = m, field(r, typed), field(r, "until")
		return views.Tasting(p), err
	})
}

// keepApart keeps a judge from a dish.
func (s *Server) keepApart(w http.ResponseWriter, r *http.Request) error {
	d, r, round, err := s.postedTasting(r)
	if err != nil {
		return err
	}
	err = s.db.KeepApart(r.Context(), d.actor, d.challenge.ID, round.ID, conflicted(r), field(r, "conflict"))
	return s.answerTasting(w, r, d, round, err, "conflict")
}

// serveAgain takes back that a judge is kept from a dish.
func (s *Server) serveAgain(w http.ResponseWriter, r *http.Request) error {
	d, r, round, err := s.postedTasting(r)
	if err != nil {
		return err
	}
	err = s.db.ServeAgain(r.Context(), d.actor, d.challenge.ID, round.ID, conflicted(r), field(r, "again"))
	return s.answerTasting(w, r, d, round, err, "again")
}

func conflicted(r *http.Request) store.Conflicted {
	return store.Conflicted{Judge: id(r, "judge"), Dish: id(r, "dish")}
}

// lookedAt notes that the host has looked at a connection a judge declared.
func (s *Server) lookedAt(w http.ResponseWriter, r *http.Request) error {
	d, r, round, err := s.postedTasting(r)
	if err != nil {
		return err
	}
	err = s.db.LookedAt(r.Context(), d.actor, d.challenge.ID, id(r, "connection"))
	return s.answerTasting(w, r, d, round, err, "")
}

// postpone puts the tasting off.
func (s *Server) postpone(w http.ResponseWriter, r *http.Request) error {
	d, r, round, err := s.postedTasting(r)
	if err != nil {
		return err
	}
	err = s.db.Postpone(r.Context(), d.actor, d.challenge.ID, round.ID, field(r, "until"), field(r, "postpone"))
	return s.answerTasting(w, r, d, round, err, "postpone")
}

// connect keeps what a judge says of a connection.
func (s *Server) connect(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	err = s.db.Connect(r.Context(), d.actor, d.challenge.ID, field(r, "connection"))
	if m, ok := refusals(err); ok && formStatus(err) == http.StatusUnprocessableEntity {
		return s.judgeDesk(w, r, d, m)
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"?said=saved#connections")
}

// disconnect takes it back.
func (s *Server) disconnect(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.ScorePlate)
	if err != nil {
		return err
	}
	if err := s.db.Disconnect(r.Context(), d.actor, d.challenge.ID, id(r, "connection")); err != nil {
		return err
	}
	return to(w, r, d.base+"?said=saved#connections")
}

// showHostNotes is where a host who does not score writes down what the plates
// were like.
func (s *Server) showHostNotes(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.hostNotesPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.HostNotes(p))
}

func (s *Server) hostNotesPage(r *http.Request, d desk) (p views.HostNotesPage, err error) {
	round, err := d.round(r, challenge.Tasting)
	if err != nil {
		return p, err
	}
	p = views.HostNotesPage{Frame: s.deskFrame(r, d, text.T(r.Context(), "Your own notes")), Back: d.base + roundPath(round), Round: round}
	p.Frame.Said = said(r)
	if round.State != challenge.UnderWay || round.Params.HostScores {
		return p, challenge.NotFound("There are no notes to write here: the tasting is not open, or you fill in sheets.")
	}
	if p.Plates, err = s.db.TastingPlates(r.Context(), round.ID); err != nil {
		return p, err
	}
	p.Notes, err = s.db.HostNotes(r.Context(), d.actor, d.challenge.ID, round.ID)
	return p, err
}

func (s *Server) saveHostNotes(w http.ResponseWriter, r *http.Request) error {
	d, r, round, err := s.postedTasting(r)
	if err != nil {
		return err
	}
	plates, err := s.db.TastingPlates(r.Context(), round.ID)
	if err != nil {
		return err
	}
	typed := map[int64]store.HostNote{}
	var notes []store.HostNote
	for _, x := range plates {
		n := store.HostNote{Plate: x.ID, Note: field(r, "note-"+itoa(x.Code)), Public: ticked(r, "public-"+itoa(x.Code))}
		typed[x.ID] = n
		notes = append(notes, n)
	}
	err = s.db.SaveHostNotes(r.Context(), d.actor, d.challenge.ID, round.ID, notes)
	return s.answer(w, r, err, d.base+roundPath(round)+"/notes?said=saved", func(m views.Messages) (templ.Component, error) {
		p, err := s.hostNotesPage(r, d)
		p.Messages, p.Notes = m, typed
		return views.HostNotes(p), err
	})
}

// plateCode is the blind code in an address.
func plateCode(r *http.Request) (int, error) {
	code, err := strconv.Atoi(chi.URLParam(r, "code"))
	if err != nil {
		return 0, notFound(nil, r)
	}
	return code, nil
}
