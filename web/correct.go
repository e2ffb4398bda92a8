package web

import (
	"net/http"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// correctScreens are what a host can still do about a round that has begun.
func (s *Server) correctScreens(get, post func(string, handler)) {
	get("/rounds/{round}/correct", s.showCorrect)
	post("/rounds/{round}/correct", s.correctRound)
	post("/rounds/{round}/reopen", s.reopenRound)
	post("/rounds/{round}/release", s.moveRelease)
}

func (s *Server) showCorrect(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.correctPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Correct(p))
}

func (s *Server) correctPage(r *http.Request, d desk) (views.CorrectPage, error) {
	round, err := roundAt(d.challenge, chi.URLParam(r, "round"))
	if err != nil {
		return views.CorrectPage{}, err
	}
	if round.State == challenge.Planned {
		return views.CorrectPage{}, challenge.Refuse(challenge.Shut, "", "This round has not been opened yet.")
	}
	now, c := s.db.Now(), d.challenge
	f := s.deskFrame(r, d, text.T(r.Context(), "Undo and correct"))
	f.Said = said(r)
	p := views.CorrectPage{Frame: f, Base: d.base, Round: round, Release: c.ReleaseOf(round), Shown: c.Released(round, now),
		ReleaseAt: localInput(round.ReleaseAt, c)}
	if err := c.MayReopen(round, now); err != nil {
		p.Kept = err
	}
	if next, ok := c.Receiver(round); ok {
		p.Receiver = next.Title
	}
	p.Corrections, err = s.db.Corrections(r.Context(), round.ID)
	return p, err
}

// onRound does one thing to the round that a path names, and shows its page of
// corrections again.
func (s *Server) onRound(w http.ResponseWriter, r *http.Request, do func(*http.Request, desk, challenge.Round) error) error {
	d, r, err := s.posted(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.correctPage(r, d)
	if err != nil {
		return err
	}
	err = do(r, d, p.Round)
	return s.answer(w, r, err, p.Here()+"?said=saved", func(m views.Messages) (templ.Component, error) {
		p.Messages = m
		p.Reopen, p.Number, p.Move, p.Reason = field(r, "reopen_reason"), field(r, "number"), challenge.Move(field(r, "move")), field(r, "reason")
		p.ReleaseReason = field(r, "release_reason")
		if r.PostForm.Has("release_at") {
			p.ReleaseAt = field(r, "release_at")
		}
		return views.Correct(p), nil
	})
}

func (s *Server) reopenRound(w http.ResponseWriter, r *http.Request) error {
	return s.onRound(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		return s.db.ReopenRound(r.Context(), d.actor, d.challenge.ID, round.ID, field(r, "reopen_reason"))
	})
}

func (s *Server) correctRound(w http.ResponseWriter, r *http.Request) error {
	return s.onRound(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		x := store.Correction{Move: challenge.Move(field(r, "move")), Reason: field(r, "reason")}
		if field(r, "number") != "" {
			x.Number = number(r, "number")
		}
		return s.db.CorrectRound(r.Context(), d.actor, d.challenge.ID, round.ID, x)
	})
}

func (s *Server) moveRelease(w http.ResponseWriter, r *http.Request) error {
	return s.onRound(w, r, func(r *http.Request, d desk, round challenge.Round) error {
		return s.db.MoveRelease(r.Context(), d.actor, d.challenge.ID, round.ID, moment(r, "release_at", d.challenge.Zone), field(r, "release_reason"))
	})
}
