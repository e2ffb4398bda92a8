package web

import (
	"bytes"
	"net/http"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/static/check"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showPublicDraw is a draw as everyone may see it: up to its release only what
// stood fixed before anything was drawn.
func (s *Server) showPublicDraw(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.drawAt(r)
	if err != nil {
		return err
	}
	x, err := s.db.PublicDraw(r.Context(), c, round)
	if err != nil {
		return err
	}
	key, err := s.db.LedgerKey(r.Context())
	if err != nil {
		return err
	}
	p := views.PublicDrawPage{Frame: s.publicFrame(r, round.Title, text.T(r.Context(), "A public draw of “%v”: what is fixed before it, and what it gave once that is released.", c.Title)), Slug: c.Slug, Base: "/c/" + c.Slug + "/draw/" + itoa(round.Position), Round: round,
		Challenge: c.Title, Prize: c.Prize, Release: c.ReleaseOf(round), Draw: x, Key: draw.KeyText(key), List: stretchOf(r, len(x.Roster))}
	// The table is always that of the whole list: what is left of it after a
	// place was filled would tell which.
	if x.Plan.Dice != nil && x.Plan.Frozen() {
		p.Table, p.More = views.FaceRows(r.Context(), draw.TableFor(*x.Plan.Dice, x.Roster), titles(x.Released, x.Dishes), 200)
	}
	return s.published(w, r, views.PublicDraw(p))
}

// drawRecord is the record as it was written when the draw was closed, byte
// for byte.
func (s *Server) drawRecord(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.drawAt(r)
	if err != nil {
		return err
	}
	b, err := s.db.DrawRecord(r.Context(), c, round)
	if err != nil {
		return err
	}
	return download(w, "draw-record-"+c.Slug+"-"+itoa(round.Position)+".json", b)
}

func download(w http.ResponseWriter, name string, b []byte) error {
	downloads(w, name)
	_, err := w.Write(b)
	return err
}

// downloads says that a JSON file of that name follows.
func downloads(w http.ResponseWriter, name string) {
	h := w.Header()
	h.Set("Content-Type", "application/json")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
}

// showDrawCheck carries the record and the scripts that check it; the browser
// then needs no server.
func (s *Server) showDrawCheck(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.drawAt(r)
	if err != nil {
		return err
	}
	b, err := s.db.DrawRecord(r.Context(), c, round)
	if err != nil {
		return err
	}
	f := s.publicFrame(r, text.T(r.Context(), "Check this draw"), text.T(r.Context(), "Work out a draw of “%v” again in your own browser.", c.Title))
	f.Wide = true
	for _, name := range check.Scripts {
		f.Scripts = append(f.Scripts, "check/"+name)
	}
	return s.published(w, r, views.CheckDraw(views.DrawCheck{Frame: f, Base: "/c/" + c.Slug + "/draw/" + itoa(round.Position), Slug: c.Slug,
		Round: round.Title, Challenge: c.Title, Tie: round.Kind == challenge.Tasting, Inline: string(draw.Inline(bytes.TrimSpace(b)))}))
}

func (s *Server) showDrawProtocol(w http.ResponseWriter, r *http.Request) error {
	c, round, r, err := s.drawAt(r)
	if err != nil {
		return err
	}
	b, err := s.db.DrawRecord(r.Context(), c, round)
	if err != nil {
		return err
	}
	rec, err := draw.Parse(b)
	if err != nil {
		return err
	}
	return s.published(w, r, views.Protocol(views.DrawProtocol{Frame: s.publicFrame(r, text.T(r.Context(), "Protocol of a draw"), text.T(r.Context(), "A draw of “%v”, step by step, to print and to keep.", c.Title)),
		Base: "/c/" + c.Slug + "/draw/" + itoa(round.Position), Tie: round.Kind == challenge.Tasting, Level: round.Kind == challenge.Reading, Protocol: draw.NewProtocol(rec)}))
}

// titles are the titles a draw's dishes may be called by, or none.
func titles(show bool, dishes map[int]store.Dish) map[int]store.Dish {
	if !show {
		return nil
	}
	return dishes
}
