package views

import (
	"context"

	"fairladle/challenge/measure"
	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
	"fairladle/store"
)

// A RecipePage is an entry's public page.
type RecipePage struct {
	Frame     Frame
	Slug      string
	Challenge string
	Recipe    store.PublicRecipe
	Reading   Reading
	Schema    SchemaRecipe
	Size      Size
	Parts     []SizedPart
}

// A Size is how large a recipe is shown and in which measures.
type Size struct {
	Servings bool   // the recipe says how many it serves, and Wanted counts them; otherwise how many times it is made
	Wanted   string // as typed
	Usual    string // of the recipe as written
	Units    measure.System
	Changed  bool
	Messages Messages
}

// A SizedPart is a part of the recipe at the size asked for.
type SizedPart struct {
	Name  string
	Lines []SizedLine
	Steps []SizedStep
}

// A SizedLine is one ingredient.
type SizedLine struct {
	Ingredient recipe.Ingredient
	Amount     string
	About      bool // rounded to what can be measured
	Weight     *pantry.Weight
}

// A SizedStep is a step with its times and temperatures; Other are those in
// the measures asked for.
type SizedStep struct {
	Step  recipe.Step
	Other []recipe.Temperature
}

// NewSizedParts lays out a breakdown multiplied by a factor, in a system of
// measures.
func NewSizedParts(b recipe.Breakdown, factor measure.Number, units measure.System) (parts []SizedPart) {
	one := measure.Whole(1)
	for _, c := range b.Components {
		p := SizedPart{Name: c.Name}
		for _, i := range c.Ingredients {
			l := SizedLine{Ingredient: i, Amount: i.Measure()}
			s := i.Scale(factor)
			if factor != one {
				l.Amount, l.About = s.Text, s.Rounded
			}
			if text, changed := s.In(units); changed {
				l.Amount, l.About = text, true
			}
			if w, ok := s.Weight(); ok && units == measure.Metric {
				l.Weight = &w
			}
			p.Lines = append(p.Lines, l)
		}
		for _, s := range c.Steps {
			x := SizedStep{Step: s}
			for _, d := range s.Temperatures {
				if other, ok := d.In(units); ok {
					x.Other = append(x.Other, other)
				}
			}
			p.Steps = append(p.Steps, x)
		}
		parts = append(parts, p)
	}
	return parts
}

func unitsName(ctx context.Context, s measure.System) string {
	switch s {
	case measure.Metric:
		return t(ctx, "metric: grams and millilitres")
	case measure.USCustomary:
		return t(ctx, "US: cups, ounces and pounds")
	}
	return t(ctx, "as it was written")
}

// weighed are the lines whose volume was turned into a weight.
func (p RecipePage) weighed() (out []SizedLine) {
	for _, part := range p.Parts {
		for _, l := range part.Lines {
			if l.Weight != nil {
				out = append(out, l)
			}
		}
	}
	return out
}

// weightWords says which row of which table a weight is from.
func weightWords(ctx context.Context, l SizedLine) string {
	if l.Weight.Nearest {
		return t(ctx, "%v: the nearest in the table is “%v”, %v (%v).", l.Ingredient.Name, l.Weight.Food, l.Weight.Measure, l.Weight.Source)
	}
	return t(ctx, "%v: “%v”, %v (%v).", l.Ingredient.Name, l.Weight.Food, l.Weight.Measure, l.Weight.Source)
}
