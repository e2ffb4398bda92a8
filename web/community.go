package web

import (
	"net/http"

	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

func (s *Server) showCommunity(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	f := s.frame(r, text.T(r.Context(), "Your community"))
	f.Said = said(r)
	return s.ok(w, r, views.Community(views.CommunityPage{Frame: f, Name: site(r).Name, Language: site(r).Language, Address: site(r).PublicURL}))
}

func (s *Server) saveCommunity(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	was := site(r)
	err = s.db.ChangeSite(r.Context(), a, store.Site{Name: field(r, "site"), Language: field(r, "language")})
	if m, ok := refusals(err); ok {
		s.show(w, r, formStatus(err), views.Community(views.CommunityPage{Frame: s.frame(r, text.T(r.Context(), "Your community")), Messages: m,
			Name: field(r, "site"), Language: field(r, "language"), Address: was.PublicURL}))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, "/host/community?said=saved")
}

// refusalTitles stand over the page that a refusal becomes.
var refusalTitles = map[int]string{
	http.StatusNotFound:              "There is nothing here",
	http.StatusForbidden:             "Not open to you",
	http.StatusConflict:              "Not at this moment",
	http.StatusGone:                  "No longer valid",
	http.StatusUnprocessableEntity:   "Please look again",
	http.StatusTooManyRequests:       "A little slower, please",
	http.StatusRequestEntityTooLarge: "Too much at once",
}

func refusalTitle(status int) string {
	if t, ok := refusalTitles[status]; ok {
		return t
	}
	return "Something went wrong"
}
