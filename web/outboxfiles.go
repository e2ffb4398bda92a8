package web

import (
	"archive/zip"
	"encoding/csv"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
)

// mostByHand is how many messages are taken out of the outbox at once.
const mostByHand = 2000

// outboxZip is the outbox as mail files, one to a message.
func (s *Server) outboxZip(w http.ResponseWriter, r *http.Request) error {
	ms, err := s.takeOutbox(w, r, "application/zip", "outbox.zip")
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for _, m := range ms {
		b, err := letter(site(r), m).File()
		if err != nil {
			continue // its address cannot be written in a mail; it stays in the list
		}
		f, err := z.Create(fmt.Sprintf("message-%d.eml", m.ID))
		if err != nil {
			return err
		}
		if _, err := f.Write(b); err != nil {
			return err
		}
	}
	return z.Close()
}

// outboxCSV is the outbox as a table for a mail merge: one line, one
// recipient, the words filled in.
func (s *Server) outboxCSV(w http.ResponseWriter, r *http.Request) error {
	ms, err := s.takeOutbox(w, r, "text/csv; charset=utf-8", "outbox.csv")
	if err != nil {
		return err
	}
	c := csv.NewWriter(w)
	if err := c.Write([]string{"to", "name", "subject", "text"}); err != nil {
		return err
	}
	for _, m := range ms {
		l := letter(site(r), m)
		if err := c.Write([]string{l.To.Address, mergeCell(l.To.Name), mergeCell(l.Subject), l.Body}); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// mergeCell keeps a spreadsheet from taking what somebody typed for a formula.
func mergeCell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

func (s *Server) takeOutbox(w http.ResponseWriter, r *http.Request, kind, name string) ([]store.Message, error) {
	a, err := s.hostActor(r)
	if err != nil {
		return nil, err
	}
	ms, err := s.db.AllByHand(r.Context(), a, mostByHand)
	if err != nil {
		return nil, err
	}
	if len(ms) == 0 {
		return nil, challenge.NotFound("Nothing waits.")
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
	return ms, nil
}

// allSent ticks off what was taken out and sent by other means.
func (s *Server) allSent(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	last, err := strconv.ParseInt(field(r, "last"), 10, 64)
	if err != nil || !ticked(r, "sure") {
		return to(w, r, "/host/outbox#by-hand")
	}
	if err := s.db.SentUpTo(r.Context(), last); err != nil {
		return err
	}
	return to(w, r, "/host/outbox?said=saved")
}

func (s *Server) tryAgain(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.hostActor(r); err != nil {
		return err
	}
	n, err := strconv.ParseInt(chi.URLParam(r, "id"), 10, 64)
	if err != nil {
		return challenge.NotFound("This message is not waiting any more.")
	}
	if err := s.db.TryAgain(r.Context(), n); err != nil {
		return err
	}
	return to(w, r, "/host/outbox?said=again")
}
