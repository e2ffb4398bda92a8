package web

import (
	"cmp"
	"crypto/sha256"
	"errors"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/store"
	"fairladle/web/text"
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
	if pass == "" && round.State == challenge.UnderWay && !round.Params.ByLink {
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
	p := views.BallotPage{Frame: s.publicFrame(r, round.Title, text.T(r.Context(), "The audience vote of “%v”.", c.Title)), Slug: c.Slug, Challenge: c.Title, Round: round, Ends: store.VoteEnds(round),
		Method: round.Params.Voting(), Release: c.ReleaseOf(round), Shown: c.Shows(challenge.Public, now).Outcome(round.ID)}
	p.Frame.Said = said(r)
	p.Open = round.State == challenge.UnderWay && now.Before(p.Ends)
	p.Ended = round.State == challenge.Done || round.State == challenge.UnderWay && !p.Open
	if !p.Open {
		return p, nil
	}
	var err error
	if round.Params.ByLink {
		invited, err := s.db.Invited(r.Context(), round.ID, pass)
		if p.Uninvited = !invited; err != nil || p.Uninvited {
			return p, err
		}
	}
	if p.Voted, err = s.db.Voted(r.Context(), round.ID, pass); err != nil || p.Voted {
		return p, err
	}
	if p.Slip, err = s.db.NewToken(); err != nil {
		return p, err
	}
	p.Options, err = s.db.Options(r.Context(), c, round.ID)
	shuffled(p.Options, pass, func(d store.PublicDish) int64 { return d.ID })
	return p, err
}

// shuffled puts what is voted on in an order of the browser's own, so that over
// all ballots nothing gains from standing first.
func shuffled[T any](all []T, pass string, id func(T) int64) {
	rank := func(x T) string {
		sum := sha256.Sum256([]byte(pass + "/" + strconv.FormatInt(id(x), 10)))
		return string(sum[:])
	}
	slices.SortFunc(all, func(a, b T) int { return cmp.Compare(rank(a), rank(b)) })
}

// castBallot takes one ballot. Its slip is shown once, on the page that answers
// the form: nothing keeps whose it is.
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
	pass, slip := votingPass(r, round), field(r, "slip")
	if pass == "" && !round.Params.ByLink {
		err = challenge.Refuse(challenge.Invalid, "", "Your browser did not send back the note that keeps it from voting twice. Allow cookies for this site, then cast your ballot again.")
		if round.State == challenge.UnderWay {
			if _, passErr := s.givePass(w, c, round); passErr != nil {
				return passErr
			}
		}
		return s.ballotAgain(w, r, c, round, pass, err)
	}
	choices, err := readBallot(r, round.Params.Voting())
	if err == nil {
		err = s.db.CastBallot(r.Context(), c.ID, round.ID, pass, slip, choices)
	}
	if err != nil {
		return s.ballotAgain(w, r, c, round, pass, err)
	}
	p, err := s.ballotPage(r, c, round, pass)
	if err != nil {
		return err
	}
	p.Receipt = slip
	return s.ok(w, r, views.Ballot(p))
}

// rankField is the name of the field that holds a dish's place.
const rankField = "rank-"

// readBallot decodes a ballot: one choice, every dish ticked, or the dishes by
// the places given to them.
func readBallot(r *http.Request, m ballot.Method) (b ballot.Ballot, err error) {
	if !m.Ranks() {
		for _, typed := range r.PostForm["choice"] {
			dish, err := strconv.ParseInt(typed, 10, 64)
			if err != nil || dish < 1 {
				return nil, challenge.Refuse(challenge.Invalid, "choice", "Choose at least one dish.")
			}
			b = append(b, dish)
		}
		return b, nil
	}
	at := map[int]int64{}
	for name := range r.PostForm {
		dish, isRank := strings.CutPrefix(name, rankField)
		if !isRank || field(r, name) == "" {
			continue
		}
		id, err := strconv.ParseInt(dish, 10, 64)
		place := number(r, name)
		if err != nil || place < 1 {
			return nil, challenge.Refuse(challenge.Invalid, "choice", "A place is a whole number from 1 on.")
		}
		if at[place] != 0 {
			return nil, challenge.Refuse(challenge.Invalid, "choice", "Two dishes have place %v. Give each place once; a dish that you leave out stands behind all you name.", place)
		}
		at[place] = id
	}
	for _, place := range slices.Sorted(maps.Keys(at)) {
		b = append(b, at[place])
	}
	return b, nil
}

// followVotingLink gives the browser the pass of a private voting link, and
// shows the ballot at an address that does not hold it.
func (s *Server) followVotingLink(w http.ResponseWriter, r *http.Request) error {
	token := chi.URLParam(r, "token")
	c, round, err := s.db.FollowVotingLink(r.Context(), token)
	if err != nil {
		return err
	}
	keepPass(w, c, round, token)
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
	p.Messages, p.Typed = m, r.PostForm
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
	keepPass(w, c, round, pass)
	return pass, nil
}

func keepPass(w http.ResponseWriter, c challenge.Challenge, round challenge.Round, pass string) {
	http.SetCookie(w, &http.Cookie{Name: passName(round), Value: pass, Path: "/c/" + c.Slug + "/vote/", HttpOnly: true,
		SameSite: http.SameSiteLaxMode, MaxAge: int((90 * 24 * time.Hour).Seconds())})
}
