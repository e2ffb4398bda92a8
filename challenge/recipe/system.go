package recipe

import (
	"math"

	"fairladle/challenge/measure"
)

// Systems are the bodies of measures a recipe can be shown in; the first leaves
// everything as it was written.
var Systems = []measure.System{"", measure.Metric, measure.USCustomary}

// convertible lists the units that are turned into grams and millilitres.
// Spoons stay: kitchens have them everywhere. Pinches and counts have no other
// system.
var convertible = map[string]bool{"cup": true, "fl oz": true, "gill": true, "pint": true, "quart": true, "gallon": true, "oz": true, "lb": true, "stick": true}

// In writes the amount in a system of measures and says whether that changed
// it. Cups, ounces of fluid and pints count as those of the United States: a
// recipe seldom says whose they are.
func (s Scaled) In(sys measure.System) (text string, changed bool) {
	i := s.Ingredient
	if i.Amount.IsZero() {
		return s.Text, false
	}
	write := metric
	switch {
	case sys == measure.Metric && convertible[i.Unit]:
	case sys == measure.USCustomary && (isMetric(i.Unit)):
		write = american
	default:
		return s.Text, false
	}
	lo, ok := write(i.Amount.Min, i.Unit)
	if !ok {
		return s.Text, false
	}
	if i.Amount.Single() {
		return lo, true
	}
	hi, _ := write(i.Amount.Max, i.Unit)
	return lo + " to " + hi, true
}

func isMetric(unit string) bool {
	switch unit {
	case "mg", "g", "kg", "ml", "cl", "dl", "l":
		return true
	}
	return false
}

// metric rounds to what a scale or a jug shows.
func metric(n measure.Number, unit string) (string, bool) {
	to, large := "ml", "l"
	if measure.KindOf(unit) == measure.Mass {
		to, large = "g", "kg"
	}
	v, err := measure.In(n, unit, to, measure.USCustomary)
	if err != nil {
		return "", false
	}
	if r := rounded(v, measure.Whole(10)); r.Cmp(measure.Whole(1000)) >= 0 {
		return measure.Write(measure.Exactly(r.Mul(measure.Fraction(1, 1000))), large), true
	}
	return measure.Write(measure.Exactly(measure.Round(v)), to), true
}

// american writes a volume in cups and spoons, a weight in pounds and ounces:
// to a quarter of an ounce, from ten ounces on to a half.
func american(n measure.Number, unit string) (string, bool) {
	if measure.KindOf(unit) == measure.Volume {
		tsp, err := measure.In(n, unit, "tsp", measure.USCustomary)
		if err != nil {
			return "", false
		}
		// To the nearest half teaspoon from a quarter cup on: what a jug shows.
		if step := measure.Fraction(1, 2); tsp.Cmp(measure.Whole(12)) >= 0 {
			tsp = rounded(tsp, step)
		}
		return spoonsText(tsp), true
	}
	oz, err := measure.In(n, unit, "oz", measure.USCustomary)
	if err != nil {
		return "", false
	}
	step := measure.Fraction(1, 4)
	if oz.Cmp(measure.Whole(10)) >= 0 {
		step = measure.Fraction(1, 2)
	}
	if r := rounded(oz, step); !r.IsZero() {
		oz = r
	} else {
		return "", false // less than an eighth of an ounce: no kitchen scale of ounces shows it
	}
	pounds := measure.Whole(oz.Num() / oz.Den() / 16)
	rest := oz.Sub(pounds.Mul(measure.Whole(16)))
	switch {
	case pounds.IsZero():
		return measure.Write(measure.Exactly(rest), "oz"), true
	case rest.IsZero():
		return measure.Write(measure.Exactly(pounds), "lb"), true
	}
	return measure.Write(measure.Exactly(pounds), "lb") + " " + measure.Write(measure.Exactly(rest), "oz"), true
}

// rounded is n to the nearest multiple of a step.
func rounded(n, step measure.Number) measure.Number {
	times := math.Round(n.Div(step).Float())
	return measure.Whole(int64(times)).Mul(step)
}

func spoonsText(tsp measure.Number) (text string) {
	unit, n := "tsp", tsp
	if tsp.Cmp(measure.Whole(12)) >= 0 {
		unit, n = "cup", tsp.Mul(measure.Fraction(1, 48))
	}
	text, _ = spoons(n, unit)
	return text
}

// In is the temperature in a system of measures, to five degrees; that of the
// middle of a food to the next full degree up, since it is a least one. ok is
// false where it stays as written.
func (t Temperature) In(sys measure.System) (other Temperature, ok bool) {
	other = t
	convert := func(v float64) float64 { return v }
	switch {
	case sys == measure.Metric && t.Unit == "F":
		other.Unit = "C"
		convert = func(v float64) float64 { return (v - 32) * 5 / 9 }
	case sys == measure.USCustomary && t.Unit == "C":
		other.Unit = "F"
		convert = func(v float64) float64 { return v*9/5 + 32 }
	default:
		return t, false
	}
	near := func(v float64) float64 { return math.Round(convert(v)/5) * 5 }
	if t.Kind == "internal" {
		near = func(v float64) float64 { return math.Ceil(convert(v)) }
	}
	other.Value = near(t.Value)
	if t.Max > t.Value {
		other.Max = near(t.Max)
	}
	return other, true
}
