package web

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showChallenge is the public page of a challenge: its brief, its dates, and
// what has been released.
func (s *Server) showChallenge(w http.ResponseWriter, r *http.Request) error {
	c, shows, r, err := s.public(r)
	if err != nil {
		return err
	}
	now := s.db.Now()
	p := views.ChallengePage{Frame: s.frame(r, c.Title), Challenge: c, Stage: c.Stage(now), Shows: shows, Now: now,
		Brief: prose(c.Brief), Rules: prose(c.Rules), TakesEntries: c.TakesEntries(now) == nil}
	p.Frame.Said = said(r)
	if p.Listed, err = s.db.Listed(r.Context(), c.ID); err != nil {
		return err
	}
	if err := s.afterwards(r, c, &p); err != nil {
		return err
	}
	for _, round := range c.Rounds {
		p.Rounds = append(p.Rounds, views.PublicRound{Round: round, Release: c.ReleaseOf(round), Shown: shows.Outcome(round.ID),
			Open: round.State == challenge.UnderWay})
	}
	p.Frame.Share = shareOf(r, c, "", "/c/"+c.Slug+"/card.png", c.Title)
	p.Frame.Share.About = views.StageSentence(r.Context(), p)
	return s.published(w, r, views.Challenge(p))
}

// afterwards adds what a challenge is part of and what follows it.
func (s *Server) afterwards(r *http.Request, c challenge.Challenge, p *views.ChallengePage) error {
	vote, held, err := s.db.ThemeVote(r.Context(), c.ID)
	if err != nil {
		return err
	}
	if held {
		p.Theme = &vote
	}
	in, belongs, err := s.db.SeasonOf(r.Context(), c.ID)
	if belongs {
		p.Season = &in
	}
	return err
}

// showPhoto serves a picture by its sum, which nobody can guess.
func (s *Server) showPhoto(w http.ResponseWriter, r *http.Request) error {
	mime, b, err := s.db.Photo(r.Context(), chi.URLParam(r, "sum"), r.URL.Query().Get("size") == "small")
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", mime)
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	_, err = w.Write(b)
	return err
}

func (s *Server) showLinkAgain(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	f := s.linkFrame(r, c)
	f.Said = said(r)
	return s.ok(w, r, views.LinkAgain(views.LinkAgainPage{Frame: f, Slug: c.Slug, Challenge: c.Title}))
}

func (s *Server) linkFrame(r *http.Request, c challenge.Challenge) views.Frame {
	return s.publicFrame(r, c.Title, text.T(r.Context(), "Have the private link to your entry to “%v” sent again.", c.Title))
}

// linkAgain answers alike whether or not the address is known.
func (s *Server) linkAgain(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.links); err != nil {
		return err
	}
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err = s.db.AskLinkAgain(r.Context(), c.ID, field(r, "email"))
	if m, ok := refusals(err); ok {
		s.show(w, r, formStatus(err), views.LinkAgain(views.LinkAgainPage{Frame: s.linkFrame(r, c), Slug: c.Slug,
			Challenge: c.Title, Email: field(r, "email"), Messages: m}))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, "/c/"+c.Slug+"/link?said=sent")
}
