package web

import (
	"net/http"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/views"
)

// showVote is a vote for whoever runs it.
func (s *Server) showVote(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Vote)
	if err != nil {
		return err
	}
	p, err := s.votePage(r, d, round)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Vote(p))
}

func (s *Server) votePage(r *http.Request, d desk, round challenge.Round) (views.VotePage, error) {
	now := s.db.Now()
	p := views.VotePage{Frame: s.deskFrame(r, d, round.Title), Desk: d.base, Slug: d.challenge.Slug, Challenge: d.challenge, Round: round,
		Link: site(r).PublicURL + "/c/" + d.challenge.Slug + "/vote/" + itoa(round.Position),
		Ends: store.VoteEnds(round), Now: now, Public: d.challenge.Released(round, now), MayOpen: d.challenge.MayOpen(round, now)}
	p.Frame.Said = said(r)
	var err error
	switch round.State {
	case challenge.UnderWay:
		if p.Ballots, err = s.db.BallotCount(r.Context(), round.ID); err == nil {
			p.Links, err = s.db.VoterCount(r.Context(), round.ID)
		}
	case challenge.Done:
		var v store.PublicVote
		v, err = s.db.VoteResult(r.Context(), d.actor, d.challenge, round.ID)
		p.Result = &v
	}
	return p, err
}

// inviteVoters leaves private voting links for a pasted list of addresses.
func (s *Server) inviteVoters(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	round, err := d.round(r, challenge.Vote)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	_, err = s.db.InviteVoters(r.Context(), d.actor, d.challenge.ID, round.ID, field(r, "addresses"))
	if m, ok := refusals(err); ok {
		p, err2 := s.votePage(r, d, round)
		if err2 != nil {
			return err2
		}
		p.Messages, p.Addresses = m, field(r, "addresses")
		s.show(w, r, formStatus(err), views.Vote(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+roundPath(round)+"?said=invited")
}
