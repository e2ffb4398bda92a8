package web

import (
	"encoding/json"
	"net/http"
	"strconv"
	"time"

	"fairladle/challenge"
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
	return s.published(w, r, views.List(views.ListPage{Frame: s.publicFrame(r, text.T(r.Context(), "The list of all entries"), text.T(r.Context(), "Every entry of “%v” by its number, as it stood when entries closed.", c.Title)), Slug: c.Slug, Challenge: c.Title,
		List: l, Stretch: stretchOf(r, len(l.List.Roster())), Key: draw.KeyText(key)}))
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
	return listFile(w, "entries-"+c.Slug+".json", l.FixedAt, l.Leaf, l.List.Extent(), l.List.Roster(), l.Checkpoint)
}

// drawListJSON is the list of a draw in the same form, from the moment it is
// fixed.
func (s *Server) drawListJSON(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.drawAt(r)
	if err != nil {
		return err
	}
	x, err := s.db.PublicDraw(r.Context(), c, round)
	if err != nil {
		return err
	}
	if !x.Plan.Frozen() {
		return challenge.NotFound("The list of this draw is not fixed yet.")
	}
	return listFile(w, "list-"+c.Slug+"-"+itoa(round.Position)+".json", x.Plan.FrozenAt.Time(), x.RosterLeaf, x.Plan.Roster, x.Roster, x.Checkpoint)
}

func listFile(w http.ResponseWriter, name string, fixed time.Time, leaf int64, extent draw.Extent, roster draw.Roster, checkpoint string) error {
	b, err := json.Marshal(struct {
		Version    int         `json:"version"`
		FixedAt    string      `json:"fixed_at"`
		Leaf       int64       `json:"leaf"`
		List       draw.Extent `json:"list"`
		Roster     draw.Roster `json:"roster"`
		Checkpoint string      `json:"checkpoint"`
	}{1, draw.At(fixed).String(), leaf, extent, roster, checkpoint})
	if err != nil {
		return err
	}
	return download(w, name, b)
}

func stretchOf(r *http.Request, size int) views.Stretch {
	from, err := strconv.Atoi(r.URL.Query().Get("from"))
	if err != nil {
		from = 0
	}
	return views.NewStretch(from, size)
}
