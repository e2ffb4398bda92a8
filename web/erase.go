package web

import (
	"net/http"

	"fairladle/challenge"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showErase says what erasing an entry does and asks for a word typed out.
func (s *Server) showErase(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	p, err := s.erasePage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Erase(p))
}

func (s *Server) erasePage(r *http.Request, d desk) (views.ErasePage, error) {
	dish, err := s.numbered(r, d)
	if err != nil {
		return views.ErasePage{}, err
	}
	x, err := s.db.Dish(r.Context(), dish)
	return views.ErasePage{Frame: s.deskFrame(r, d, text.T(r.Context(), "Erase No. %v", x.Number)), Number: x.Number,
		Back: d.base + "/entries/" + itoa(x.Number)}, err
}

func (s *Server) erase(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.EditChallenge)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p, err := s.erasePage(r, d)
	if err != nil {
		return err
	}
	if s.notAgreed(w, r, &p) {
		return nil
	}
	if err := s.db.Erase(r.Context(), d.actor, d.challenge.ID, p.Number); err != nil {
		return err
	}
	return to(w, r, d.base+"/entries?said=erased")
}

// notAgreed shows the page again where the word was not typed.
func (s *Server) notAgreed(w http.ResponseWriter, r *http.Request, p *views.ErasePage) bool {
	p.Typed = field(r, "agree")
	if p.Typed == text.T(r.Context(), "erase") {
		return false
	}
	p.Messages = views.Messages{"agree": {{Text: "Type the word “erase” to erase this entry for ever."}}}
	s.show(w, r, http.StatusUnprocessableEntity, views.Erase(*p))
	return true
}

func (s *Server) showEraseOwn(w http.ResponseWriter, r *http.Request) error {
	_, p, _, r, err := s.ownErasePage(r)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Erase(p))
}

func (s *Server) ownErasePage(r *http.Request) (challenge.Actor, views.ErasePage, string, *http.Request, error) {
	a, o, base, r, err := s.own(r)
	return a, views.ErasePage{Frame: s.frame(r, text.T(r.Context(), "Erase my data")), Number: o.Number, Own: true, Back: base}, o.Challenge.Slug, r, err
}

func (s *Server) eraseOwn(w http.ResponseWriter, r *http.Request) error {
	a, p, slug, r, err := s.ownErasePage(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	if s.notAgreed(w, r, &p) {
		return nil
	}
	if err := s.db.EraseOwn(r.Context(), a); err != nil {
		return err
	}
	return to(w, r, "/c/"+slug+"?said=erased")
}
