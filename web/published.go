package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"time"

	"github.com/a-h/templ"

	"fairladle/challenge"
	"fairladle/web/views"
)

// published shows a page that everyone may keep, but must ask about each time:
// what is public changes with the minute of a release and with a consent taken
// back. A page that has not changed is answered without its body (RFC 9110,
// 13.1.2).
func (s *Server) published(w http.ResponseWriter, r *http.Request, c templ.Component) error {
	var b bytes.Buffer
	if err := c.Render(r.Context(), &b); err != nil {
		return err
	}
	if s.host(r) != 0 {
		w.Header().Set("Cache-Control", "private, no-cache")
	}
	serve(w, r, "text/html; charset=utf-8", contentTag(b.Bytes()), time.Time{}, b.Bytes())
	return nil
}

// contentTag is the entity tag of a body.
func contentTag(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:12])
}

// serve sends a public file with its validators, or that it has not changed.
// A changed of zero sends no date.
func serve(w http.ResponseWriter, r *http.Request, kind, tag string, changed time.Time, b []byte) {
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("ETag", `"`+tag+`"`)
	if h.Get("Cache-Control") == "" {
		h.Set("Cache-Control", "no-cache")
	}
	keep(w, r, tag, b)
	http.ServeContent(w, r, "", changed, bytes.NewReader(b))
}

// shareOf is what a public page of a challenge says of itself. A draft says
// nothing: only its host sees it.
func shareOf(r *http.Request, c challenge.Challenge, below, picture, title string) *views.Share {
	base := site(r).PublicURL
	share := &views.Share{Title: title, Address: base + "/c/" + c.Slug + below}
	if !c.AnnouncedAt.IsZero() {
		share.Picture = base + picture
	}
	return share
}
