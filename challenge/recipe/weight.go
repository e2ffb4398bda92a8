package recipe

import (
	"fairladle/challenge/measure"
	"fairladle/challenge/pantry"
)

// Weight is what a measured volume of an ingredient weighs, for kitchens that
// weigh. ok is false where no table row names the food, and for what weighs about
// as much as water, which a jug measures as well. Cups and spoons count as those
// of the United States.
func (s Scaled) Weight() (w pantry.Weight, ok bool) {
	i := s.Ingredient
	if i.Amount.IsZero() || measure.KindOf(i.Unit) != measure.Volume {
		return w, false
	}
	for _, more := range []string{i.Preparation, i.Note, ""} { // "packed" tells which row it is
		stems := pantry.AppendStems(pantry.AppendStems(nil, i.Name), more)
		if w, ok = pantry.Weigh(stems, i.Amount, i.Unit, measure.USCustomary); ok {
			break
		}
	}
	if !ok {
		return w, false
	}
	ml, err := measure.In(i.Amount.Max, i.Unit, "ml", measure.USCustomary)
	if err != nil || ml.IsZero() {
		return w, false
	}
	like := w.Grams.Max.Div(ml).Float()
	return w, like < 0.97 || like > 1.06
}

// Grams writes a weight as a scale shows it.
func Grams(w pantry.Weight) string {
	lo, hi := measure.Round(w.Grams.Min), measure.Round(w.Grams.Max)
	if lo.IsZero() && hi.IsZero() {
		return "1 g"
	}
	return measure.Write(measure.Between(lo, hi), "g")
}
