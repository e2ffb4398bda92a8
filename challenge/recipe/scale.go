package recipe

import (
	"errors"
	"strings"

	"fairladle/challenge/measure"
)

// Scaled is an ingredient at another size, in amounts a cook can measure.
type Scaled struct {
	Ingredient Ingredient // with the exact scaled amount
	Text       string     // "2 tbsp + 1 tsp", "1 egg + 25 g egg"; "" where the line gives no amount
	Rounded    bool       // the text is not exact
	Source     string     // of a weight, where eggs are weighed
}

// ErrNoServings says that the recipe does not tell how many it serves, so it can
// only be scaled by a factor.
var ErrNoServings = errors.New("recipe: it does not say how many it serves")

// FactorFor is what to multiply by so that the recipe serves that many; a range
// of servings counts by its middle.
func (b Breakdown) FactorFor(servings measure.Number) (measure.Number, error) {
	if b.Yield.Servings.IsZero() || servings.Sign() <= 0 {
		return measure.Number{}, ErrNoServings
	}
	return servings.Div(b.Yield.Servings.Mid()), nil
}

// Scale multiplies every ingredient by a positive factor. Pinches and "to taste"
// stay as they are in words; times and temperatures do not scale and are left to
// the cook.
func (b Breakdown) Scale(factor measure.Number) []Scaled {
	var out []Scaled
	for _, in := range b.Ingredients() {
		out = append(out, in.Scale(factor))
	}
	return out
}

// Scale multiplies the ingredient's amounts by a positive factor.
func (i Ingredient) Scale(factor measure.Number) Scaled {
	s := Scaled{Ingredient: i}
	if i.Amount.IsZero() || factor.Sign() <= 0 {
		return s
	}
	s.Ingredient.Amount = i.Amount.Times(factor)
	s.Ingredient.Also = nil
	for _, m := range i.Also {
		m.Amount = m.Amount.Times(factor)
		s.Ingredient.Also = append(s.Ingredient.Also, m)
	}
	lo, loExact := s.write(s.Ingredient.Amount.Min)
	s.Text, s.Rounded = lo, !loExact
	if !i.Amount.Single() {
		hi, hiExact := s.write(s.Ingredient.Amount.Max)
		s.Text, s.Rounded = lo+" to "+hi, !(loExact && hiExact)
	}
	return s
}

// write puts one amount into measurable words.
func (s *Scaled) write(n measure.Number) (text string, exact bool) {
	unit := s.Ingredient.Unit
	switch unit {
	case "tsp", "tbsp", "cup":
		return spoons(n, unit)
	case "g", "ml":
		r := measure.Round(n)
		return measure.Write(measure.Exactly(r), unit), r == n
	case "":
		if isEgg(s.Ingredient.Name) && !n.IsWhole() {
			return s.eggs(n)
		}
		quarters := n.Mul(measure.Whole(4))
		if quarters.IsWhole() {
			return n.Cook(), true
		}
		r := measure.Round(n)
		if n.Cmp(measure.Whole(10)) < 0 {
			r = measure.Round(n.Mul(measure.Whole(2))).Mul(measure.Fraction(1, 2))
		}
		return r.Cook(), false
	}
	return measure.Write(measure.Exactly(n), unit), true
}

// spoons writes measures that are taken one after the other.
func spoons(n measure.Number, unit string) (text string, exact bool) {
	parts, exact := measure.Spoons(n, unit)
	words := make([]string, 0, len(parts))
	for _, p := range parts {
		words = append(words, measure.Write(measure.Exactly(p.Amount), p.Unit))
	}
	return strings.Join(words, " + "), exact
}

// A large egg without its shell weighs 50 g, white 33 g, yolk 17 g: USDA SR28
// 01123, 01124, 01125.
const eggSource = "USDA SR28 01123-01125"

// eggs keeps whole eggs and weighs the rest.
func (s *Scaled) eggs(n measure.Number) (string, bool) {
	grams := int64(50)
	low := strings.ToLower(s.Ingredient.Name)
	switch {
	case strings.Contains(low, "white"):
		grams = 33
	case strings.Contains(low, "yolk"):
		grams = 17
	}
	whole := measure.Whole(n.Num() / n.Den())
	rest := measure.Round(n.Sub(whole).Mul(measure.Whole(grams)))
	s.Source = eggSource
	text := measure.Write(measure.Exactly(rest), "g") + " beaten " + strings.TrimSuffix(low, "s")
	if !whole.IsZero() {
		text = whole.Cook() + " + " + text
	}
	return text, false
}

func isEgg(name string) bool {
	low := strings.ToLower(name)
	for _, w := range strings.FieldsFunc(low, func(r rune) bool { return r == ' ' || r == '-' }) {
		if w == "egg" || w == "eggs" {
			return true
		}
	}
	return false
}
