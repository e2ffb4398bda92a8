package web

import (
	"net/http"
	"strings"

	"fairladle/web/text"
	"fairladle/web/views"
)

// showArchive lists what has been released on this site, and searches it.
func (s *Server) showArchive(w http.ResponseWriter, r *http.Request) error {
	search := strings.TrimSpace(r.URL.Query().Get("q"))
	if len(search) > 200 {
		search = search[:200]
	}
	search = strings.ToValidUTF8(search, "")
	x, err := s.db.Archive(r.Context(), search)
	if err != nil {
		return err
	}
	f := s.frame(r, text.T(r.Context(), "Archive"))
	f.Share = &views.Share{Title: text.T(r.Context(), "Archive"), About: text.T(r.Context(), "Every challenge and recipe published here."), Address: site(r).PublicURL + "/archive"}
	return s.published(w, r, views.Archive(views.ArchivePage{Frame: f, Search: search, Found: x}))
}
