package web

import (
	"net/http"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showResults is the public result page: what has been released, and nothing
// before it.
func (s *Server) showResults(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	x, err := s.db.Results(r.Context(), c)
	if err != nil {
		return err
	}
	f := s.frame(r, text.T(r.Context(), "Results: %v", c.Title))
	f.Share = shareOf(r, c, "/results", "/c/"+c.Slug+"/card.png", text.T(r.Context(), "Results: %v", c.Title))
	f.Share.About = text.T(r.Context(), "What became of the recipes sent to “%v”.", c.Title)
	return s.published(w, r, views.Results(s.resultsPage(f, x)))
}

// resultsPage adds the host's words once there is a result to say them about.
func (s *Server) resultsPage(f views.Frame, x store.Results) views.ResultsPage {
	p := views.ResultsPage{Frame: f, Results: x, Now: s.db.Now()}
	if !x.Empty() {
		p.Words = prose(x.Challenge.HostWords)
	}
	return p
}

// showHostResults is where the host writes the words and sees what is shown
// when.
func (s *Server) showHostResults(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.hostResults(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.HostResultsPage(p))
}

func (s *Server) hostResults(r *http.Request, d desk) (views.HostResults, error) {
	f := s.deskFrame(r, d, text.T(r.Context(), "Result page"))
	f.Said = said(r)
	p := views.HostResults{Frame: f, Desk: d.base, Slug: d.challenge.Slug, Words: d.challenge.HostWords}
	shows := d.challenge.Shows(challenge.Public, s.db.Now())
	for _, round := range d.challenge.Rounds {
		p.Rounds = append(p.Rounds, views.ShownWhen{Round: round, Release: d.challenge.ReleaseOf(round), Shown: shows.Outcome(round.ID),
			Since: d.challenge.PublicFrom(round)})
		p.Scores = p.Scores || round.Kind == challenge.Tasting && round.State == challenge.Done
	}
	var err error
	if p.Cooked, err = s.db.CookedPages(r.Context(), d.actor, d.challenge); err != nil {
		return p, err
	}
	x, err := s.db.Preview(r.Context(), d.actor, d.challenge)
	p.Preview = s.resultsPage(f, x)
	p.Preview.Preview = true
	return p, err
}

func (s *Server) saveWords(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	typed := r.PostFormValue("words")
	err = s.db.HostWords(r.Context(), d.actor, d.challenge.ID, typed)
	if m, ok := refusals(err); ok {
		p, pageErr := s.hostResults(r, d)
		if pageErr != nil {
			return pageErr
		}
		p.Words, p.Messages = typed, m
		s.show(w, r, formStatus(err), views.HostResultsPage(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/results?said=saved")
}
