package web

import (
	"net/http"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// own finds the entry behind a private link.
func (s *Server) own(r *http.Request) (challenge.Actor, store.Own, string, *http.Request, error) {
	token := chi.URLParam(r, "token")
	link, err := s.db.FollowLink(r.Context(), store.ForEntrant, token)
	if err != nil {
		return challenge.Actor{}, store.Own{}, "", r, err
	}
	o, err := s.db.OwnEntry(r.Context(), link.Actor())
	return link.Actor(), o, "/entry/" + token, zoned(r, o.Challenge), err
}

func (s *Server) showOwn(w http.ResponseWriter, r *http.Request) error {
	_, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	p, err := s.ownPage(r, o, base)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Own(p))
}

func (s *Server) ownPage(r *http.Request, o store.Own, base string) (views.OwnPage, error) {
	a := challenge.Actor{Role: challenge.Entrant, ID: o.Recipe.Dish.ID, Challenge: o.Challenge.ID}
	lists, err := s.db.Standings(r.Context(), a)
	if err != nil {
		return views.OwnPage{}, err
	}
	questions, err := s.db.OwnQuestions(r.Context(), a)
	if err != nil {
		return views.OwnPage{}, err
	}
	kept, err := s.db.KeptDays(r.Context(), o.Challenge.ID)
	if err != nil {
		return views.OwnPage{}, err
	}
	told, err := s.db.Told(r.Context(), o.Challenge.ID)
	if err != nil {
		return views.OwnPage{}, err
	}
	var bar *store.Bar
	if o.State == "barred" {
		b, out, err := s.db.OwnBar(r.Context(), a)
		if err != nil {
			return views.OwnPage{}, err
		}
		if out {
			bar = &b
		}
	}
	f := s.frame(r, text.T(r.Context(), "No. %v – %v", o.Number, o.Challenge.Title))
	f.Said = said(r)
	f.Wide = true
	p := views.OwnPage{Frame: f, Own: o, Base: base, Link: site(r).PublicURL + base, Stage: o.Challenge.Stage(s.db.Now()),
		MayChange: o.State == "in" && o.Challenge.TakesEntries(s.db.Now()) == nil, Reading: comparedReading(o.Recipe.Text, o.Recipe.Reading, o.Challenge), Lists: lists,
		Bar: bar, Questions: questions, KeptDays: kept, Told: told}
	prize, offered, err := s.db.OwnPrize(r.Context(), a)
	if err != nil {
		return p, err
	}
	if p.Now = s.db.Now(); offered {
		p.Prize, p.Address = &prize, prize.Address
	}
	if o.Challenge.Shows(challenge.Public, p.Now).Results {
		outcome, err := s.db.OwnOutcome(r.Context(), a)
		if err != nil {
			return p, err
		}
		p.Outcome = &outcome
	}
	cooked, shown, err := s.db.OwnCooked(r.Context(), a, o.Challenge)
	if shown {
		p.Cooked, p.Public = &cooked, o.Challenge.Shows(challenge.Public, s.db.Now()).Cooked
	}
	return p, err
}

func (s *Server) showChange(w http.ResponseWriter, r *http.Request) error {
	_, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := o.Challenge.TakesEntries(s.db.Now()); err != nil {
		return err
	}
	p := s.changePage(r, o, base)
	p.Text, p.Version = o.Recipe.Text, o.Recipe.Version
	p.Reading = comparedReading(o.Recipe.Text, o.Recipe.Reading, o.Challenge)
	return s.ok(w, r, views.Change(p))
}

func (s *Server) changePage(r *http.Request, o store.Own, base string) views.ChangePage {
	return views.ChangePage{Frame: s.recipeFrame(r, o.Challenge), Number: o.Number, Base: base, Slug: o.Challenge.Slug, Photos: o.Challenge.Photos, Photo: o.Recipe.Photo}
}

func (s *Server) change(w http.ResponseWriter, r *http.Request) error {
	a, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p := s.changePage(r, o, base)
	p.Text, p.Version = challenge.KeptText(r.PostFormValue("text")), number(r, "version")
	sum, err := s.takePhoto(r, o.Challenge.Photos)
	wrong := photoWrong(err)
	if err != nil && wrong == nil {
		return err
	}
	if sum == o.Recipe.Photo {
		sum = ""
	} else if sum != "" {
		p.Photo = sum
	}
	corrections := readCorrections(r)
	if r.PostFormValue("do") == "send" && wrong == nil {
		wrong = s.db.ChangeEntry(r.Context(), a, p.Version, p.Text, sum, corrections)
		if wrong == nil {
			return to(w, r, base+"?said=saved")
		}
		if !isRefusal(wrong) {
			return wrong
		}
	}
	p.Reading = correctedReading(p.Text, corrections, o.Challenge)
	p.Messages, _ = refusals(wrong)
	s.show(w, r, statusOr200(wrong), views.Change(p))
	return nil
}

func (s *Server) consents(w http.ResponseWriter, r *http.Request) error {
	a, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	answers := readConsents(r)
	err = s.db.SetConsents(r.Context(), a, answers, field(r, "credit"), field(r, "spoken"))
	return s.answer(w, r, err, base+"?said=saved", func(m views.Messages) (templ.Component, error) {
		p, err := s.ownPage(r, o, base)
		p.Messages = m
		return views.Own(p), err
	})
}

// withdraw asks for the entry's number as a confirmation: it cannot be undone.
func (s *Server) withdraw(w http.ResponseWriter, r *http.Request) error {
	a, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	if number(r, "number") != o.Number {
		p, err := s.ownPage(r, o, base)
		if err != nil {
			return err
		}
		p.Messages = views.Messages{"number": {{Text: "Type the number of your entry, %v, to withdraw it.", Args: []any{o.Number}}}}
		s.show(w, r, http.StatusUnprocessableEntity, views.Own(p))
		return nil
	}
	if err := s.db.Withdraw(r.Context(), a); err != nil {
		return err
	}
	return to(w, r, base+"?said=withdrawn")
}

// renewOwn makes another private link for somebody whose link others have
// seen.
func (s *Server) renewOwn(w http.ResponseWriter, r *http.Request) error {
	a, _, _, r, err := s.own(r)
	if err != nil {
		return err
	}
	token, err := s.db.RenewOwn(r.Context(), a)
	if err != nil {
		return err
	}
	return to(w, r, "/entry/"+token+"?said=renewed")
}

// slip is the entry slip as a file to keep.
func (s *Server) slip(w http.ResponseWriter, r *http.Request) error {
	a, o, _, r, err := s.own(r)
	if err != nil {
		return err
	}
	slip, err := s.db.Slip(r.Context(), a)
	if err != nil {
		return err
	}
	b, err := slip.Encode()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Disposition", `attachment; filename="entry-slip-`+itoa(o.Number)+`.json"`)
	_, err = w.Write(b)
	return err
}
