package web

import (
	"net/http"
	"slices"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/season"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showSeason is a season as everyone sees it: its challenges and standings.
func (s *Server) showSeason(w http.ResponseWriter, r *http.Request) error {
	v, err := s.db.SeasonView(r.Context(), chi.URLParam(r, "season"))
	if err != nil {
		return err
	}
	if len(v.Challenges) == 0 && s.host(r) == 0 {
		return challenge.NotFound("There is no season at this address.")
	}
	f := s.frame(r, v.Season.Title)
	f.Share = &views.Share{Title: v.Season.Title, About: text.T(r.Context(), "A season of recipe challenges and how it stands."), Address: site(r).PublicURL + "/season/" + v.Season.Slug}
	p := views.SeasonPage{Frame: f, View: v, About: prose(v.Season.About), Now: s.db.Now()}
	for _, c := range v.Challenges {
		vote, held, err := s.db.ThemeVote(r.Context(), c.Challenge.ID)
		if err != nil {
			return err
		}
		if held && vote.Result == nil {
			p.Themes = "/c/" + c.Challenge.Slug + "/theme"
		}
	}
	return s.published(w, r, views.Season(p))
}

// hostSeason is the page on which a host sets a season up.
func (s *Server) hostSeason(r *http.Request) (views.HostSeasonPage, error) {
	if _, err := s.hostActor(r); err != nil {
		return views.HostSeasonPage{}, err
	}
	v, err := s.db.SeasonView(r.Context(), chi.URLParam(r, "season"))
	if err != nil {
		return views.HostSeasonPage{}, err
	}
	f := s.frame(r, v.Season.Title)
	f.Said = said(r)
	p := views.HostSeasonPage{Frame: f, Season: v.Season, Places: v.Season.Rule.PlacesText(), Public: site(r).PublicURL + "/season/" + v.Season.Slug, Shown: len(v.Challenges) > 0}
	all, err := s.db.Challenges(r.Context())
	if err != nil {
		return p, err
	}
	for _, c := range all {
		in, belongs, err := s.db.SeasonOf(r.Context(), c.ID)
		if err != nil {
			return p, err
		}
		line := views.SeasonChoice{ID: c.ID, Title: c.Title, In: belongs && in.ID == v.Season.ID}
		if belongs && !line.In {
			line.Elsewhere = in.Title
		}
		p.Challenges = append(p.Challenges, line)
	}
	return p, nil
}

func (s *Server) showHostSeason(w http.ResponseWriter, r *http.Request) error {
	p, err := s.hostSeason(r)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.HostSeason(p))
}

func (s *Server) saveSeason(w http.ResponseWriter, r *http.Request) error {
	p, err := s.hostSeason(r)
	if err != nil {
		return err
	}
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p.Season.Title, p.Season.About, p.Places = field(r, "title"), challenge.KeptText(r.PostFormValue("about")), field(r, "places")
	p.Season.Rule = season.Rule{Finalist: number(r, "finalist"), Drawn: number(r, "drawn"), Published: number(r, "published"), BestOf: number(r, "best_of")}
	p.Season.Rule.Places, err = season.ParsePlaces(p.Places)
	if err != nil {
		err = challenge.Refusals{challenge.Refuse(challenge.Invalid, "places", "Write whole numbers with commas between them, such as 10, 6, 4, 2, 1.")}
	}
	var in []int64
	for i := range p.Challenges {
		p.Challenges[i].In = ticked(r, "in-"+strconv.FormatInt(p.Challenges[i].ID, 10))
		if p.Challenges[i].In {
			in = append(in, p.Challenges[i].ID)
		}
	}
	if err == nil {
		err = s.db.SaveSeason(r.Context(), a, p.Season, in)
	}
	if m, ok := refusals(err); ok {
		p.Messages = m
		s.show(w, r, formStatus(err), views.HostSeason(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, "/host/season/"+p.Season.Slug+"?said=saved")
}

// newSeason begins a season without challenges; the page that follows says
// which belong to it.
func (s *Server) newSeason(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	slug, err := s.db.NewSeason(r.Context(), a, field(r, "title"), nil)
	if err != nil {
		return err
	}
	return to(w, r, "/host/season/"+slug)
}

// showNext is where the next challenge is started from this one, and its theme
// put to the vote.
func (s *Server) showNext(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.nextPage(r, d)
	if err != nil {
		return err
	}
	p.Next = challenge.NextOf(d.challenge, s.db.Now())
	for _, x := range p.People {
		p.Next.Invite = append(p.Next.Invite, x.ID)
	}
	if in, ok, err := s.db.SeasonOf(r.Context(), d.challenge.ID); err != nil {
		return err
	} else if ok {
		p.Next.Season = in.ID
	}
	if ahead := p.Vote.Ahead(); len(ahead) == 1 {
		p.Next.Title, p.Next.Brief = ahead[0].Title, ahead[0].About
	}
	return s.ok(w, r, views.Next(p))
}

func (s *Server) nextPage(r *http.Request, d desk) (p views.NextPage, err error) {
	f := s.deskFrame(r, d, text.T(r.Context(), "What comes after"))
	f.Said = said(r)
	p = views.NextPage{Frame: f, Desk: d.base, Challenge: d.challenge, Public: site(r).PublicURL + "/c/" + d.challenge.Slug + "/theme", Hours: "168", Now: s.db.Now()}
	if p.Vote, p.Held, err = s.db.ThemeVote(r.Context(), d.challenge.ID); err != nil {
		return p, err
	}
	if p.Seasons, err = s.db.Seasons(r.Context()); err != nil {
		return p, err
	}
	people, err := s.db.Participants(r.Context(), d.actor, d.challenge.ID)
	p.People = slices.DeleteFunc(people, func(x store.Participant) bool { return x.Removed })
	return p, err
}

func (s *Server) startNext(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p, err := s.nextPage(r, d)
	if err != nil {
		return err
	}
	zone := d.challenge.Zone
	p.Next = challenge.Next{Title: field(r, "title"), Brief: challenge.KeptText(r.PostFormValue("brief")), OpensAt: moment(r, "opens_at", zone),
		ClosesAt: moment(r, "closes_at", zone), Release: moment(r, "release_at", zone), Season: id(r, "season"), NewSeason: field(r, "new_season")}
	for _, x := range p.People {
		if ticked(r, "invite-"+strconv.FormatInt(x.ID, 10)) {
			p.Next.Invite = append(p.Next.Invite, x.ID)
		}
	}
	slug, err := s.db.StartNext(r.Context(), d.actor, d.challenge.ID, p.Next)
	if m, ok := refusals(err); ok {
		p.Messages = m
		s.show(w, r, formStatus(err), views.Next(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, "/host/c/"+slug+"?said=created")
}
