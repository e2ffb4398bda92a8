package web

import (
	"bytes"
	"io"
	"net/http"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/intake"
)

// exports are the ways out by the last part of their address.
var exports = map[string]struct {
	file, kind string
	write      func(io.Writer, []intake.Out) error
}{
	"linked":   {"recipes.jsonld", "application/ld+json", intake.WriteLinked},
	"markdown": {"recipes-markdown.zip", "application/zip", intake.WriteMarkdown},
	"text":     {"recipes-text.zip", "application/zip", intake.WriteTexts},
	"table":    {"recipes.csv", "text/csv; charset=utf-8", intake.WriteTable},
}

// export is every recipe that takes part as one file, without names.
func (s *Server) export(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	way, ok := exports[chi.URLParam(r, "format")]
	if !ok {
		return challenge.NotFound("There is no page at this address.")
	}
	recipes, err := s.db.Export(r.Context(), d.actor, d.challenge.ID)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := way.write(&b, recipes); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", way.kind)
	h.Set("Content-Disposition", `attachment; filename="`+d.challenge.Slug+"-"+way.file+`"`)
	h.Set("Cache-Control", "no-store")
	_, err = w.Write(b.Bytes())
	return err
}
