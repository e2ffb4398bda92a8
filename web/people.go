package web

import (
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showPeople(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.peoplePage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.People(p))
}

func (s *Server) peoplePage(r *http.Request, d desk) (views.PeoplePage, error) {
	f := s.deskFrame(r, d, text.T(r.Context(), "People"))
	f.Said = said(r)
	p := views.PeoplePage{Frame: f, Base: d.base, Ends: d.challenge.ReleaseAt.Add(challenge.HelpersLinkLife)}
	all, err := s.db.Participants(r.Context(), d.actor, d.challenge.ID)
	p.People = all
	return p, err
}

// invite shows the new private link once, on the page that answers the form:
// it is stored nowhere and cannot be shown again.
func (s *Server) invite(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	role, name, email := challenge.Role(field(r, "role")), field(r, "name"), field(r, "email")
	token, err := s.db.Invite(r.Context(), d.actor, d.challenge.ID, role, name, email)
	m, isRefusal := refusals(err)
	if err != nil && !isRefusal {
		return err
	}
	p, pageErr := s.peoplePage(r, d)
	if pageErr != nil {
		return pageErr
	}
	if isRefusal {
		p.Messages, p.Role, p.Name, p.Email = m, role, name, email
		s.show(w, r, formStatus(err), views.People(p))
		return nil
	}
	p.NewName, p.NewLink, p.Mailed = name, s.linkTo(r, role, token), email != ""
	return s.ok(w, r, views.People(p))
}

// linkTo is the whole address of a participant's private link.
func (s *Server) linkTo(r *http.Request, role challenge.Role, token string) string {
	return site(r).PublicURL + "/with/" + string(role) + "/" + token
}

func (s *Server) participantOf(r *http.Request, d desk) (store.Participant, error) {
	n, err := strconv.ParseInt(chi.URLParam(r, "id"), 10, 64)
	if err != nil {
		return store.Participant{}, challenge.NotFound("There is no such participant.")
	}
	return s.db.Participant(r.Context(), d.challenge.ID, n)
}

func (s *Server) renewLink(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	person, err := s.participantOf(r, d)
	if err != nil {
		return err
	}
	token, err := s.db.RenewLink(r.Context(), d.actor, d.challenge.ID, person.ID)
	if err != nil {
		return err
	}
	p, err := s.peoplePage(r, d)
	if err != nil {
		return err
	}
	p.NewName, p.NewLink = person.Name, s.linkTo(r, person.Role, token)
	return s.ok(w, r, views.People(p))
}

func (s *Server) removePerson(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	person, err := s.participantOf(r, d)
	if err != nil {
		return err
	}
	if err := s.db.Remove(r.Context(), d.actor, d.challenge.ID, person.ID); err != nil {
		return err
	}
	return to(w, r, d.base+"/people?said=removed")
}

// showPictures says whether a judge tastes or sees pictures only.
func (s *Server) showPictures(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.posted(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	person, err := s.participantOf(r, d)
	if err != nil {
		return err
	}
	if err := s.db.ShowPictures(r.Context(), d.actor, d.challenge.ID, person.ID, ticked(r, "pictures")); err != nil {
		return err
	}
	return to(w, r, d.base+"/people?said=saved")
}
