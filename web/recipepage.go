package web

import (
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showRecipe is the public page of one entry whose entrant agreed to it, at the
// size and in the measures that the address asks for.
func (s *Server) showRecipe(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	x, err := s.recipeAt(w, r, c)
	if err != nil {
		return err
	}
	number := itoa(x.Dish.Number)
	f := s.frame(r, x.Dish.Title)
	f.Share = shareOf(r, c, "/recipe/"+number, "/c/"+c.Slug+"/recipe/"+number+"/card.png", x.Dish.Title)
	f.Share.About = text.T(r.Context(), "A recipe from “%v”.", c.Title)
	p := views.RecipePage{Frame: f, Slug: c.Slug, Challenge: c.Title, Recipe: x, Reading: views.NewReading(x.Recipe.Text, x.Recipe.Reading),
		Schema: schemaOf(x, site(r).PublicURL, "/c/"+c.Slug+"/recipe/"+number)}
	size, factor := sizeAsked(r, x.Recipe.Reading)
	p.Size, p.Parts = size, views.NewSizedParts(x.Recipe.Reading, factor, size.Units)
	return s.published(w, r, views.PublicRecipe(p))
}

// recipeAt finds the published recipe that an address names.
func (s *Server) recipeAt(w http.ResponseWriter, r *http.Request, c challenge.Challenge) (store.PublicRecipe, error) {
	n, err := strconv.Atoi(chi.URLParam(r, "number"))
	if err != nil {
		return store.PublicRecipe{}, notFound(w, r)
	}
	return s.db.PublicRecipe(r.Context(), c, n)
}

// mostTimes bounds how large a recipe is worked out.
const mostTimes = 200

// sizeAsked reads the size from the address; what cannot be read shows the
// recipe as it was written, with a sentence.
func sizeAsked(r *http.Request, b recipe.Breakdown) (views.Size, measure.Number) {
	one := measure.Whole(1)
	z := views.Size{Servings: !b.Yield.Servings.IsZero(), Usual: "1", Units: measure.System(r.URL.Query().Get("units"))}
	if z.Servings {
		z.Usual = b.Yield.Servings.Mid().Cook()
	}
	if z.Units != measure.Metric && z.Units != measure.USCustomary {
		z.Units = ""
	}
	z.Changed = z.Units != ""
	z.Wanted = r.URL.Query().Get("portions")
	if z.Wanted == "" || z.Wanted == z.Usual {
		z.Wanted = z.Usual
		return z, one
	}
	factor, err := measure.ParseNumber(z.Wanted)
	if err == nil && z.Servings {
		factor, err = b.FactorFor(factor)
	}
	if err != nil || factor.Sign() <= 0 || factor.Cmp(measure.Whole(mostTimes)) > 0 || factor.Cmp(measure.Fraction(1, mostTimes)) < 0 {
		z.Messages = views.Messages{"portions": {{Text: "Type a number, such as 6 or 1 1/2."}}}
		return z, one
	}
	z.Changed = true
	return z, factor
}

// decideCooked is the host's decision about the page of one cooked recipe.
func (s *Server) decideCooked(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	n, err := strconv.Atoi(chi.URLParam(r, "number"))
	if err != nil {
		return notFound(w, r)
	}
	dish, err := s.db.EntryByNumber(r.Context(), d.challenge.ID, n)
	if err != nil {
		return err
	}
	if r.PostFormValue("do") == "show" {
		err = s.db.ShowToEntrant(r.Context(), d.actor, d.challenge.ID, dish)
	} else {
		err = s.db.ShowNotes(r.Context(), d.actor, d.challenge.ID, dish, ticked(r, "notes"))
	}
	if m, ok := refusals(err); ok {
		p, pageErr := s.hostResults(r, d)
		if pageErr != nil {
			return pageErr
		}
		p.Messages = m
		s.show(w, r, formStatus(err), views.HostResultsPage(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/results?said=saved#cooked")
}

// answerCook is the entrant's one answer to the cook's notes.
func (s *Server) answerCook(w http.ResponseWriter, r *http.Request) error {
	a, o, base, r, err := s.own(r)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	answer := r.PostFormValue("to_cook")
	err = s.db.AnswerCook(r.Context(), a, answer)
	if m, ok := refusals(err); ok {
		p, pageErr := s.ownPage(r, o, base)
		if pageErr != nil {
			return pageErr
		}
		p.Messages, p.Answer = m, answer
		s.show(w, r, formStatus(err), views.Own(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, base+"?said=saved#cook")
}
