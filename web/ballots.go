package web

import (
	"net/http"
	"strings"

	"fairladle/web/text"
	"fairladle/web/views"
)

// showBallots is every ballot of a released vote, and the look-up of a slip.
func (s *Server) showBallots(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.ballotAsked(r)
	if err != nil {
		return err
	}
	box, err := s.db.BallotBox(r.Context(), c, round.ID)
	if err != nil {
		return err
	}
	p := views.BallotsPage{Frame: s.publicFrame(r, text.T(r.Context(), "The ballots"), text.T(r.Context(), "Every ballot of a vote of “%v”, to count again.", c.Title)), Slug: c.Slug, Round: round, Box: box,
		Slip: strings.TrimSpace(r.URL.Query().Get("slip"))}
	if found, ok := box.Find(p.Slip); ok {
		p.Found = &found
	}
	return s.ok(w, r, views.Ballots(p))
}

// ballotsFile is the bytes that the recorded sum of the ballots is of.
func (s *Server) ballotsFile(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.ballotAsked(r)
	if err != nil {
		return err
	}
	box, err := s.db.BallotBox(r.Context(), c, round.ID)
	if err != nil {
		return err
	}
	attachment(w, c.Slug+"-ballots.json", "application/json")
	_, err = w.Write(box.Content)
	return err
}
