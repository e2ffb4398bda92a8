package web

import (
	"encoding/json"
	"net/http"

	"fairladle/challenge/draw"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showList is the list of all entries as it stood when entries closed.
func (s *Server) showList(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	l, err := s.db.ClosingList(r.Context(), c)
	if err != nil {
		return err
	}
	key, err := s.db.LedgerKey(r.Context())
	if err != nil {
		return err
	}
	return s.ok(w, r, views.List(views.ListPage{Frame: s.frame(r, text.T(r.Context(), "The list of all entries")), Slug: c.Slug, Challenge: c.Title,
		List: l, Key: draw.KeyText(key)}))
}

// listJSON is the list for programs: numbers, weights and commitments, in the
// form of a draw record's roster.
func (s *Server) listJSON(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	l, err := s.db.ClosingList(r.Context(), c)
	if err != nil {
		return err
	}
	b, err := json.Marshal(struct {
		Version    int         `json:"version"`
		FixedAt    string      `json:"fixed_at"`
		Leaf       int64       `json:"leaf"`
		List       draw.Extent `json:"list"`
		Roster     draw.Roster `json:"roster"`
		Checkpoint string      `json:"checkpoint"`
	}{1, draw.At(l.FixedAt).String(), l.Leaf, l.Extent, l.Roster, l.Checkpoint})
	if err != nil {
		return err
	}
	return download(w, "entries-"+c.Slug+".json", b)
}
