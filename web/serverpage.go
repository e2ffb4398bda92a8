package web

import (
	"net/http"
	"time"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showServer tells a host how the server is doing, and which line to type for
// what.
func (s *Server) showServer(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	if err := challenge.May(a, challenge.RunServer, 0); err != nil {
		return err
	}
	p := views.ServerPage{Frame: s.frame(r, text.T(r.Context(), "The server")), Now: time.Now(), Address: site(r).PublicURL,
		Mails: s.config.Mail != nil, Copies: s.config.Copies != nil}
	if p.Backlog, err = s.db.Backlog(r.Context()); err != nil {
		return err
	}
	if p.Copies {
		// What cannot be read is shown as a copy that is missing.
		if at, err := s.config.Copies(); err == nil {
			p.LastCopy = at
		}
		p.Late = p.Now.Sub(p.LastCopy) > 2*s.config.CopiesEvery
	}
	return s.ok(w, r, views.ServerState(p))
}
