package web

import (
	"errors"
	"net/http"
	"strconv"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/web/text"
	"fairladle/web/views"
)

// putThemes opens the vote on what the next challenge is about.
func (s *Server) putThemes(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	typed, method := challenge.KeptText(r.PostFormValue("themes")), ballot.Method(field(r, "method"))
	err = s.db.PutThemes(r.Context(), d.actor, d.challenge.ID, challenge.ParseThemes(typed), method, number(r, "hours"))
	if m, ok := refusals(err); ok {
		p, pageErr := s.nextPage(r, d)
		if pageErr != nil {
			return pageErr
		}
		p.Next = challenge.NextOf(d.challenge, p.Now)
		p.Typed, p.Method, p.Hours, p.Messages = typed, method, field(r, "hours"), m
		s.show(w, r, formStatus(err), views.Next(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/next?said=opened-vote")
}

// showTheme is the vote on the next theme: a ballot while it is open, the count
// afterwards.
func (s *Server) showTheme(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	pass := themePass(r, c)
	p, err := s.themePage(r, c, pass)
	if err != nil {
		return err
	}
	if pass == "" && p.Open() {
		if pass, err = s.giveThemePass(w, c); err != nil {
			return err
		}
		shuffled(p.Vote.Themes, pass, func(t challenge.Theme) int64 { return t.ID })
	}
	return s.ok(w, r, views.Theme(p))
}

func (s *Server) themePage(r *http.Request, c challenge.Challenge, pass string) (p views.ThemePage, err error) {
	p = views.ThemePage{Frame: s.publicFrame(r, text.T(r.Context(), "What comes next?"), text.T(r.Context(), "A vote on the theme after “%v”.", c.Title)), Challenge: c, Now: s.db.Now()}
	held := false
	if p.Vote, held, err = s.db.ThemeVote(r.Context(), c.ID); err != nil {
		return p, err
	}
	if !held {
		return p, challenge.NotFound("There is no vote on themes here.")
	}
	if !p.Open() {
		return p, nil
	}
	shuffled(p.Vote.Themes, pass, func(t challenge.Theme) int64 { return t.ID })
	if p.Voted, err = s.db.VotedTheme(r.Context(), c.ID, pass); err != nil {
		return p, err
	}
	p.Slip, err = s.db.NewToken()
	return p, err
}

func (s *Server) castTheme(w http.ResponseWriter, r *http.Request) error {
	if err := s.slow(w, r, s.limits.ballots); err != nil {
		return err
	}
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	pass := themePass(r, c)
	if pass == "" {
		err = challenge.Refuse(challenge.Invalid, "", "Your browser did not send back the note that keeps it from voting twice. Allow cookies for this site, then cast your ballot again.")
		if _, passErr := s.giveThemePass(w, c); passErr != nil {
			return passErr
		}
	} else {
		err = s.takeTheme(r, c, pass)
	}
	p, pageErr := s.themePage(r, c, pass)
	if pageErr != nil {
		return pageErr
	}
	if err == nil {
		return s.ok(w, r, views.Theme(p))
	}
	m, ok := refusals(err)
	status := formStatus(err)
	if re, isOne := errors.AsType[*challenge.Refusal](err); isOne && re.Why == challenge.Over {
		m, ok, status = views.Messages{"": {{Text: re.Text, Args: re.Args}}}, true, http.StatusConflict
	}
	if !ok {
		return err
	}
	p.Messages, p.Typed = m, r.PostForm
	s.show(w, r, status, views.Theme(p))
	return nil
}

func (s *Server) takeTheme(r *http.Request, c challenge.Challenge, pass string) error {
	v, _, err := s.db.ThemeVote(r.Context(), c.ID)
	if err != nil {
		return err
	}
	choices, err := readBallot(r, v.Method)
	if err != nil {
		return err
	}
	return s.db.CastTheme(r.Context(), c.ID, pass, field(r, "slip"), choices)
}

// themePassName is the cookie of one vote on themes.
func themePassName(c challenge.Challenge) string {
	return "fairladle-theme-" + strconv.FormatInt(c.ID, 10)
}

func themePass(r *http.Request, c challenge.Challenge) string {
	k, err := r.Cookie(themePassName(c))
	if err != nil {
		return ""
	}
	return k.Value
}

func (s *Server) giveThemePass(w http.ResponseWriter, c challenge.Challenge) (string, error) {
	pass, err := s.db.NewToken()
	if err != nil {
		return "", err
	}
	http.SetCookie(w, &http.Cookie{Name: themePassName(c), Value: pass, Path: "/c/" + c.Slug + "/theme", HttpOnly: true,
		SameSite: http.SameSiteLaxMode, MaxAge: int((90 * 24 * time.Hour).Seconds())})
	return pass, nil
}
