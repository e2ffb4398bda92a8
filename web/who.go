package web

import (
	"context"
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

type siteKey struct{}

func withSite(ctx context.Context, s store.Site) context.Context {
	return context.WithValue(ctx, siteKey{}, s)
}

// site is the server's settings, read once a request.
func site(r *http.Request) store.Site {
	s, _ := r.Context().Value(siteKey{}).(store.Site)
	return s
}

// hostActor is who asks on a host's page, or a refusal.
func (s *Server) hostActor(r *http.Request) (challenge.Actor, error) {
	a := challenge.Actor{Role: challenge.Public}
	if id := s.host(r); id != 0 {
		a = challenge.Actor{Role: challenge.Host, ID: id}
	}
	return a, challenge.May(a, challenge.EditChallenge, 0)
}

// A desk is where somebody works on a challenge: who it is, which challenge,
// and the address below which the pages of that work lie. The same screens
// serve hosts (/host/c/SLUG) and holders of private links (/cohost/TOKEN).
type desk struct {
	actor     challenge.Actor
	challenge challenge.Challenge
	base      string
}

// desk finds out whose desk a request is for, and refuses who may not do what
// the page is for.
func (s *Server) desk(r *http.Request, do challenge.Action) (desk, *http.Request, error) {
	d, err := s.anyDesk(r)
	if err != nil {
		return d, r, err
	}
	return d, zoned(r, d.challenge), challenge.May(d.actor, do, d.challenge.ID)
}

// posted is the desk of a form that was sent; r then holds the parsed form.
func (s *Server) posted(r *http.Request, do challenge.Action) (desk, *http.Request, error) {
	d, r, err := s.desk(r, do)
	if err == nil {
		err = parse(r)
	}
	return d, r, err
}

func (s *Server) anyDesk(r *http.Request) (desk, error) {
	ctx := r.Context()
	if slug := chi.URLParam(r, "slug"); slug != "" {
		a, err := s.hostActor(r)
		if err != nil {
			return desk{}, err
		}
		c, err := s.db.ChallengeBySlug(ctx, slug)
		return desk{a, c, "/host/c/" + slug}, err
	}
	purpose := store.Purpose(chi.URLParam(r, "purpose"))
	token := chi.URLParam(r, "token")
	link, err := s.db.FollowLink(ctx, purpose, token)
	if err != nil {
		return desk{}, err
	}
	c, err := s.db.Challenge(ctx, link.Challenge)
	return desk{link.Actor(), c, "/with/" + string(purpose) + "/" + token}, err
}

// round is the round a path names by its position.
func (d desk) round(r *http.Request, k challenge.Kind) (challenge.Round, error) {
	round, err := roundAt(d.challenge, chi.URLParam(r, "round"))
	if err == nil && round.Kind != k {
		err = challenge.NotFound("There is no such round in this challenge.")
	}
	return round, err
}

func roundAt(c challenge.Challenge, position string) (challenge.Round, error) {
	n, err := strconv.Atoi(position)
	if err != nil || n < 1 || n > len(c.Rounds) {
		return challenge.Round{}, challenge.NotFound("There is no such round in this challenge.")
	}
	return c.Rounds[n-1], nil
}

// frame is what every page has around it.
func (s *Server) frame(r *http.Request, title string) views.Frame {
	st := site(r)
	return views.Frame{Title: title, Site: st.Name, Language: text.From(r.Context()).Tag.String(), SignedIn: s.host(r) != 0}
}

// publicFrame is the frame of a public page that is not passed on for itself;
// about is one sentence on what stands there.
func (s *Server) publicFrame(r *http.Request, title, about string) views.Frame {
	f := s.frame(r, title)
	f.About = about
	return f
}

// deskFrame is the frame of a page at a desk.
func (s *Server) deskFrame(r *http.Request, d desk, title string) views.Frame {
	f := s.frame(r, title)
	f.Desk = &views.Desk{Base: d.base, Role: d.actor.Role, Challenge: d.challenge.Title, Slug: d.challenge.Slug}
	f.Onward = r.URL.Query().Get("said") == "closed"
	return f
}

// public finds the challenge of a public page; a draft has none, except for a
// signed-in host who wants to see it as others will.
func (s *Server) public(r *http.Request) (challenge.Challenge, challenge.Showing, *http.Request, error) {
	c, err := s.db.ChallengeBySlug(r.Context(), chi.URLParam(r, "slug"))
	if err != nil {
		return c, challenge.Showing{}, r, err
	}
	if c.AnnouncedAt.IsZero() && s.host(r) == 0 {
		return c, challenge.Showing{}, r, challenge.NotFound("There is no challenge at this address.")
	}
	return c, c.Shows(challenge.Public, s.db.Now()), zoned(r, c), nil
}
