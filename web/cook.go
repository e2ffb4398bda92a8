package web

import (
	"net/http"
	"strconv"

	"github.com/go-chi/chi/v5"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

// showDishes lists the house dishes and offers a new one.
func (s *Server) showDishes(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	dishes, err := s.db.HouseDishes(r.Context(), d.challenge.ID)
	if err != nil {
		return err
	}
	f := s.deskFrame(r, d, text.T(r.Context(), "House dishes"))
	f.Said = said(r)
	return s.ok(w, r, views.Dishes(views.DishesPage{Frame: f, Base: d.base, Dishes: dishes}))
}

// showDish is the form of one house dish; "new" is an empty one.
func (s *Server) showDish(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p := views.DishPage{Frame: s.dishFrame(r, d), Base: d.base, ID: chi.URLParam(r, "dish")}
	if p.ID != "new" {
		x, err := s.houseRecipe(r, d)
		if err != nil {
			return err
		}
		p.Cook, p.Text, p.Reading = x.Dish.Cook, x.Text, views.NewReading(x.Text, x.Reading)
	}
	return s.ok(w, r, views.Dish(p))
}

func (s *Server) dishFrame(r *http.Request, d desk) views.Frame {
	f := s.deskFrame(r, d, text.T(r.Context(), "House dish"))
	f.Wide, f.Scripts = true, []string{"once.js"}
	return f
}

func (s *Server) houseRecipe(r *http.Request, d desk) (store.Recipe, error) {
	n, err := strconv.ParseInt(chi.URLParam(r, "dish"), 10, 64)
	if err != nil {
		return store.Recipe{}, challenge.NotFound("There is no such house dish.")
	}
	return s.db.HouseRecipe(r.Context(), d.actor, d.challenge.ID, n)
}

func (s *Server) saveDish(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	p := views.DishPage{Frame: s.dishFrame(r, d), Base: d.base, ID: chi.URLParam(r, "dish"), Cook: field(r, "cook"),
		Text: challenge.KeptText(r.PostFormValue("text"))}
	var dish int64
	if p.ID != "new" {
		x, err := s.houseRecipe(r, d)
		if err != nil {
			return err
		}
		dish = x.Dish.ID
	}
	if r.PostFormValue("do") == "send" {
		_, err = s.db.SaveHouseDish(r.Context(), d.actor, d.challenge.ID, dish, p.Cook, p.Text)
		if err == nil {
			return to(w, r, d.base+"/dishes?said=saved")
		}
		if !isRefusal(err) {
			return err
		}
	}
	p.Read()
	p.Messages, _ = refusals(err)
	s.show(w, r, statusOr200(err), views.Dish(p))
	return nil
}

// showCook is the cooking round: plates, recipes, shopping, notes.
func (s *Server) showCook(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	p, err := s.cookPage(r, d)
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Cook(p))
}

func (s *Server) cookPage(r *http.Request, d desk) (views.CookPage, error) {
	round, err := d.round(r, challenge.Cook)
	if err != nil {
		return views.CookPage{}, err
	}
	p := views.CookPage{Frame: s.deskFrame(r, d, round.Title), Base: d.base, Round: round, Open: round.State == challenge.UnderWay}
	p.Frame.Said = said(r)
	if p.Plates, err = s.db.Plates(r.Context(), d.challenge.ID); err != nil {
		return p, err
	}
	if p.Dishes, err = s.cookable(r, d, round); err != nil {
		return p, err
	}
	if p.Kitchen.X, err = s.db.Cooking(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
		return p, err
	}
	p.Kitchen.Base, p.Kitchen.Open, p.Service = d.base+roundPath(round), p.Open, serviceForm(p.Kitchen.X)
	if len(p.Kitchen.X.Service.Cooks) == 0 {
		p.Service.Cooks = firstCook(p.Plates)
	}
	for _, x := range p.Dishes {
		rec, err := s.db.Masked(r.Context(), x.ID)
		if err != nil {
			return p, err
		}
		p.Recipes = append(p.Recipes, views.CookRecipe{Dish: x, Reading: views.NewReading(rec.Text, rec.Reading)})
	}
	return p, nil
}

// cookable are the dishes that came through and the house dishes.
func (s *Server) cookable(r *http.Request, d desk, round challenge.Round) ([]store.Dish, error) {
	in, err := s.db.DishesIn(r.Context(), round.ID)
	if err != nil {
		return nil, err
	}
	house, err := s.db.HouseDishes(r.Context(), d.challenge.ID)
	return append(in, house...), err
}

// firstCook is who a plan starts with: the cook of a plate.
func firstCook(plates []store.Plate) string {
	for _, p := range plates {
		if p.Cook != "" {
			return p.Cook
		}
	}
	return ""
}

// savePlate changes what is said about a plate; plate 0 is a new one.
func (s *Server) savePlate(w http.ResponseWriter, r *http.Request) error {
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	plate := store.Plate{ID: id(r, "plate"), Cook: field(r, "cook"), Kitchen: field(r, "kitchen"), CookedOn: field(r, "cooked_on"),
		Notes: challenge.KeptText(r.PostFormValue("notes"))}
	if plate.ID == 0 {
		err = s.db.AddPlate(r.Context(), d.actor, d.challenge.ID, id(r, "dish"), plate)
	} else {
		err = s.db.SavePlate(r.Context(), d.actor, d.challenge.ID, plate)
	}
	if m, ok := refusals(err); ok {
		p, pageErr := s.cookPage(r, d)
		if pageErr != nil {
			return pageErr
		}
		p.Messages, p.Wrong = m, plate
		s.show(w, r, formStatus(err), views.Cook(p))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, d.base+"/cook/"+chi.URLParam(r, "round")+"?said=saved")
}
