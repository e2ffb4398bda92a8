package web

import (
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/outbox"
	"fairladle/web/text"
	"fairladle/web/views"
)

const outboxPage = 200

func (s *Server) showOutbox(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	f := s.frame(r, text.T(r.Context(), "Outbox"))
	f.Said = said(r)
	p := views.OutboxPage{Frame: f, ByMail: s.config.Mail != nil, Names: map[string]string{}}
	for _, k := range outbox.Kinds {
		p.Names[k.ID] = k.Name
	}
	var err error
	if p.Messages, err = s.db.Waiting(r.Context(), outboxPage); err != nil {
		return err
	}
	if p.Failed, err = s.db.Undelivered(r.Context(), outboxPage); err != nil {
		return err
	}
	if p.ByHand, p.Last, err = s.db.CountByHand(r.Context(), mostByHand); err != nil {
		return err
	}
	return s.ok(w, r, views.Outbox(p))
}

// messageFile is one message as a file that a mail program opens.
func (s *Server) messageFile(w http.ResponseWriter, r *http.Request) error {
	a, err := s.hostActor(r)
	if err != nil {
		return err
	}
	n, err := strconv.ParseInt(chi.URLParam(r, "id"), 10, 64)
	if err != nil {
		return challenge.NotFound("This message is not waiting any more.")
	}
	m, err := s.db.ByHand(r.Context(), a, n)
	if err != nil {
		return err
	}
	return s.writeMessage(w, r, m)
}

func (s *Server) writeMessage(w http.ResponseWriter, r *http.Request, m store.Message) error {
	letter := letter(site(r), m)
	b, err := letter.File()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "message/rfc822")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Disposition", `attachment; filename="message-`+strconv.FormatInt(m.ID, 10)+`.eml"`)
	_, err = w.Write(b)
	return err
}

func (s *Server) markSent(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	n, err := strconv.ParseInt(chi.URLParam(r, "id"), 10, 64)
	if err != nil {
		return challenge.NotFound("This message is not waiting any more.")
	}
	if err := s.db.Sent(r.Context(), n); err != nil {
		return err
	}
	return to(w, r, "/host/outbox")
}
