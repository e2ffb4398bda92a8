package web

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"time"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/views"

	"github.com/go-chi/chi/v5"
)

// ballotAsked finds the vote a public request is about.
func (s *Server) ballotAsked(r *http.Request) (challenge.Challenge, challenge.Round, *http.Request, error) {
	c, _, r, err := s.public(r)
	if err != nil {
		return c, challenge.Round{}, r, err
	}
	round, err := roundAt(c, chi.URLParam(r, "round"))
	if err == nil && round.Kind != challenge.Vote {
		err = challenge.NotFound("There is no such round in this challenge.")
	}
	return c, round, r, err
}

// showBallot shows the ballot while the vote is open, and gives the browser
// its pass.
func (s *Server) showBallot(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.ballotAsked(r)
	if err != nil {
		return err
	}
	pass := votingPass(r, round)
	if pass == "" && round.State == challenge.UnderWay {
		if pass, err = s.givePass(w, c, round); err != nil {
			return err
		}
	}
	p, err := s.ballotPage(r, c, round, pass)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Ballot(p))
}

func (s *Server) ballotPage(r *http.Request, c challenge.Challenge, round challenge.Round, pass string) (views.BallotPage, error) {
	now := s.db.Now()
	p := views.BallotPage{Frame: s.frame(r, round.Title), Slug: c.Slug, Challenge: c.Title, Round: round, Ends: store.VoteEnds(round),
		Release: c.ReleaseOf(round), Shown: c.Shows(challenge.Public, now).Outcome(round.ID)}
	p.Frame.Said = said(r)
	p.Open = round.State == challenge.UnderWay && now.Before(p.Ends)
	p.Ended = round.State == challenge.Done || round.State == challenge.UnderWay && !p.Open
	if !p.Open {
		return p, nil
	}
	var err error
	if p.Voted, err = s.db.Voted(r.Context(), round.ID, pass); err != nil || p.Voted {
		return p, err
	}
	p.Options, err = s.db.Options(r.Context(), c, round.ID)
	shuffled(p.Options, pass)
	return p, err
}

// shuffled puts the dishes in an order of the browser's own, so that over all
// ballots none gains from standing first.
func shuffled(ds []store.PublicDish, pass string) {
	rank := func(d store.PublicDish) string {
		sum := sha256.Sum256([]byte(pass + "/" + strconv.FormatInt(d.ID, 10)))
		return string(sum[:])
	}
	slices.SortFunc(ds, func(a, b store.PublicDish) int { return cmp.Compare(rank(a), rank(b)) })
}

// castBallot takes one ballot.
func (s *Server) castBallot(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.ballots); err != nil {
		return err
	}
	c, round, r, err := s.ballotAsked(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	pass := votingPass(r, round)
	switch {
	case pass == "":
		err = challenge.Refuse(challenge.Invalid, "", "Your browser did not send back the note that keeps it from voting twice. Allow cookies for this site, then cast your ballot again.")
		if round.State == challenge.UnderWay {
			if _, passErr := s.givePass(w, c, round); passErr != nil {
				return passErr
			}
		}
	case id(r, "choice") == 0:
		err = challenge.Refuse(challenge.Invalid, "choice", "Choose one dish.")
	default:
		err = s.db.CastBallot(r.Context(), c.ID, round.ID, pass, id(r, "choice"))
	}
	if err != nil {
		return s.ballotAgain(w, r, c, round, pass, err)
	}
	return to(w, r, "/c/"+c.Slug+"/vote/"+itoa(round.Position))
}

// ballotAgain shows the ballot again, or the thanks of the first one, with
// what is wrong.
func (s *Server) ballotAgain(w http.ResponseWriter, r *http.Request, c challenge.Challenge, round challenge.Round, pass string, cause error) error {
	m, ok := refusals(cause)
	if re, isOne := errors.AsType[*challenge.Refusal](cause); isOne && re.Why == challenge.Over {
		m, ok = views.Messages{"": {{Text: re.Text, Args: re.Args}}}, true
	}
	if !ok {
		return cause
	}
	p, err := s.ballotPage(r, c, round, pass)
	if err != nil {
		return err
	}
	p.Messages, p.Chosen = m, id(r, "choice")
	status := formStatus(cause)
	if p.Voted {
		status = http.StatusConflict
	}
	s.show(w, r, status, views.Ballot(p))
	return nil
}

// passName is the cookie that holds a browser's pass for one vote.
func passName(round challenge.Round) string {
	return "fairladle-ballot-" + strconv.FormatInt(round.ID, 10)
}

func votingPass(r *http.Request, round challenge.Round) string {
	c, err := r.Cookie(passName(round))
	if err != nil {
		return ""
	}
	return c.Value
}

func (s *Server) givePass(w http.ResponseWriter, c challenge.Challenge, round challenge.Round) (string, error) {
	pass, err := s.db.NewToken()
	if err != nil {
		return "", err
	}
	http.SetCookie(w, &http.Cookie{Name: passName(round), Value: pass, Path: "/c/" + c.Slug + "/vote/", HttpOnly: true,
		SameSite: http.SameSiteLaxMode, MaxAge: int((90 * 24 * time.Hour).Seconds())})
	return pass, nil
}

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
	now := s.db.Now()
	p := views.VotePage{Frame: s.deskFrame(r, d, round.Title), Desk: d.base, Slug: d.challenge.Slug, Challenge: d.challenge, Round: round,
		Link: site(r).PublicURL + "/c/" + d.challenge.Slug + "/vote/" + itoa(round.Position),
		Ends: store.VoteEnds(round), Now: now, Public: d.challenge.Released(round, now), MayOpen: d.challenge.MayOpen(round, now)}
	p.Frame.Said = said(r)
	switch round.State {
	case challenge.UnderWay:
		p.Ballots, err = s.db.BallotCount(r.Context(), round.ID)
	case challenge.Done:
		var v store.PublicVote
		v, err = s.db.VoteResult(r.Context(), d.actor, d.challenge, round.ID)
		p.Result = &v
	}
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Vote(p))
}
