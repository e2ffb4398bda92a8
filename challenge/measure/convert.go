package measure

import "fmt"

// In converts n of one unit to another of the same kind, both read in the given
// system: In(1, "cup", "ml", USCustomary) is 236.5882365. Crossing from volume
// to mass needs a food and is refused.
func In(n Number, from, to string, sys System) (Number, error) {
	a, ok := SizeIn(from, sys)
	if !ok {
		return Number{}, fmt.Errorf("measure: %q has no size in %s", from, sys)
	}
	b, ok := SizeIn(to, sys)
	if !ok {
		return Number{}, fmt.Errorf("measure: %q has no size in %s", to, sys)
	}
	if a.Kind != b.Kind {
		return Number{}, fmt.Errorf("measure: %s is a %s and %s a %s", from, a.Kind, to, b.Kind)
	}
	return n.Mul(a.Value).Div(b.Value), nil
}

// Celsius converts degrees Fahrenheit exactly.
func Celsius(f Number) Number { return f.Sub(Whole(32)).Mul(Fraction(5, 9)) }

// Fahrenheit converts degrees Celsius exactly.
func Fahrenheit(c Number) Number { return c.Mul(Fraction(9, 5)).Add(Whole(32)) }
