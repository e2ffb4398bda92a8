package web

import (
	"net/http"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/card"
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
	p, err := s.resultsPage(r, f, x)
	if err != nil {
		return err
	}
	return s.published(w, r, views.Results(p))
}

// resultsPage adds the host's words once there is a result to say them about.
func (s *Server) resultsPage(r *http.Request, f views.Frame, x store.Results) (views.ResultsPage, error) {
	p := views.ResultsPage{Frame: f, Results: x, Now: s.db.Now()}
	if !x.Empty() {
		p.Words = prose(x.Challenge.HostWords)
	}
	cooked := x.Cooked()
	if cooked == nil || !cooked.Recipe || !x.Challenge.Shows(challenge.Public, p.Now).Credits {
		return p, nil
	}
	recipe, err := s.db.PublicRecipe(r.Context(), x.Challenge, cooked.Number)
	if err == nil {
		p.Card = new(views.NewReading(recipe.Recipe.Text, recipe.Recipe.Reading))
	}
	return p, err
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
	if p.Added, err = s.db.Publication(r.Context(), d.actor, d.challenge.ID); err != nil {
		return p, err
	}
	if p.Cooked, err = s.db.CookedPages(r.Context(), d.actor, d.challenge); err != nil {
		return p, err
	}
	x, err := s.db.Preview(r.Context(), d.actor, d.challenge)
	if err != nil {
		return p, err
	}
	p.Preview, err = s.resultsPage(r, f, x)
	p.Preview.Preview, p.Preview.Desk = true, d.base
	return p, err
}

// savePublication keeps the host's words and what stands beside them.
func (s *Server) savePublication(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	typed := challenge.KeptText(r.PostFormValue("words"))
	added := challenge.Publication{VideoURL: field(r, "video_url"), VideoTitle: field(r, "video_title"), Sponsor: field(r, "sponsor"),
		SponsorURL: field(r, "sponsor_url"), OpenScores: ticked(r, "open_scores")}
	added.Still, err = s.takePhoto(r, true)
	if wrong := photoWrong(err); wrong != nil || err == nil {
		err = wrong
	}
	if err == nil {
		err = s.db.Publish(r.Context(), d.actor, d.challenge.ID, typed, added)
	}
	if m, ok := refusals(err); ok {
		p, pageErr := s.hostResults(r, d)
		if pageErr != nil {
			return pageErr
		}
		p.Words, p.Added, p.Messages = typed, added, m
		s.show(w, r, formStatus(err), views.HostResultsPage(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/results?said=saved")
}

// still is the card that stands for the host's video on the result page.
func (s *Server) still(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	x, err := s.db.Results(r.Context(), c)
	if err != nil {
		return err
	}
	if x.Added.VideoURL == "" {
		return notFound(w, r)
	}
	return s.sendStill(w, r, x)
}

// stillAhead is the same for the host's preview.
func (s *Server) stillAhead(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	x, err := s.db.Preview(r.Context(), d.actor, d.challenge)
	if err != nil {
		return err
	}
	return s.sendStill(w, r, x)
}

func (s *Server) sendStill(w http.ResponseWriter, r *http.Request, x store.Results) error {
	return s.sendCard(w, r, card.Card{Over: x.Challenge.Title, Title: orElse(x.Added.VideoTitle, text.T(r.Context(), "Watch the video")), Foot: site(r).Name, Play: true})
}
