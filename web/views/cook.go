package views

import (
	"fairladle/challenge"
	"fairladle/challenge/recipe"
	"fairladle/store"
)

type DishesPage struct {
	Frame  Frame
	Base   string
	Dishes []store.Dish
}

type DishPage struct {
	Frame    Frame
	Base     string
	ID       string // "new" or the dish's id
	Cook     string
	Text     string
	Reading  Reading
	Messages Messages
}

// Read makes the reading that the page shows.
func (p *DishPage) Read() { p.Reading = NewReading(p.Text, recipe.Read(p.Text)) }

type CookPage struct {
	Frame    Frame
	Base     string
	Round    challenge.Round
	Open     bool
	Plates   []store.Plate
	Dishes   []store.Dish
	Recipes  []CookRecipe
	Messages Messages
	Wrong    store.Plate // the plate whose form was refused
	Kitchen  KitchenPage
	Service  ServiceForm
}

type CookRecipe struct {
	Dish    store.Dish
	Reading Reading
}

// plates are the plates as their forms show them: one that was refused as it
// was typed.
func (p CookPage) plates() []store.Plate {
	all := append([]store.Plate{}, p.Plates...)
	for i, x := range all {
		if len(p.Messages) > 0 && x.ID == p.Wrong.ID {
			p.Wrong.Dish, p.Wrong.Version = x.Dish, x.Version
			all[i] = p.Wrong
		}
	}
	return all
}

func (p CookPage) messages(plate int64) Messages {
	if plate == p.Wrong.ID {
		return p.Messages
	}
	return nil
}
