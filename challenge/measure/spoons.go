package measure

// Part is one measure that a cook can take: "2 tbsp".
type Part struct {
	Amount Number
	Unit   string
}

// teaspoons per spoon-set unit, NIST SP 430: 1 cup = 16 tbsp = 48 tsp.
var teaspoons = map[string]int64{"tsp": 1, "tbsp": 3, "cup": 48}

// cupParts and spoonParts are the fractions that measuring cups and spoons come
// in (common practice).
var (
	cupParts   = []Number{{3, 3}, {2, 2}, {1, 1}, {1, 2}, {1, 3}} // 3/4 2/3 1/2 1/3 1/4
	spoonParts = []Number{{3, 3}, {1, 1}, {1, 3}, {1, 7}}         // 3/4 1/2 1/4 1/8
)

// Spoons takes an amount of cups, tablespoons or teaspoons apart into measures
// that cups and spoons have: 2 1/3 tbsp are 2 tbsp and 1 tsp. What is less than
// 1/8 tsp is rounded, and exact says whether nothing was. Other units and
// amounts below 1/16 tsp come back as they are.
func Spoons(n Number, unit string) (parts []Part, exact bool) {
	per, ok := teaspoons[unit]
	left := n.Mul(Whole(per)) // in teaspoons
	if !ok || left.Cmp(Fraction(1, 16)) < 0 {
		return []Part{{n, unit}}, true
	}
	eighths := left.Mul(Whole(8))
	rounded := roundNumber(eighths)
	exact = eighths == rounded
	left = rounded.Mul(Fraction(1, 8))
	if unit == "cup" || left.Cmp(Whole(24)) >= 0 { // from half a cup on, cups
		parts, left = take(parts, left, 48, "cup", cupParts)
	}
	if left.Cmp(Whole(3)) >= 0 {
		parts, left = take(parts, left, 3, "tbsp", []Number{{1, 1}})
	}
	parts, left = take(parts, left, 1, "tsp", spoonParts)
	if !left.IsZero() { // 5/8 tsp is 1/2 and 1/8
		parts = append(parts, Part{left, "tsp"})
	}
	return parts, exact
}

// take splits off as much of left (in teaspoons) as whole units and one fraction
// hold; a fraction is only taken where no crumb of less than 1/8 tsp remains.
func take(parts []Part, left Number, per int64, unit string, fractions []Number) ([]Part, Number) {
	size := Whole(per)
	whole := Whole(left.num / left.Den() / per)
	rest := left.Sub(whole.Mul(size))
	got := whole
	for _, f := range fractions {
		after := rest.Sub(f.Mul(size))
		if after.Sign() >= 0 && after.Mul(Whole(8)).IsWhole() {
			got, rest = whole.Add(f), after
			break
		}
	}
	if !got.IsZero() {
		parts = append(parts, Part{got, unit})
	}
	return parts, rest
}

func roundNumber(n Number) Number {
	d := n.Den()
	if n.num > 1<<61 {
		return n
	}
	return Whole((2*n.num + d) / (2 * d))
}

// Round rounds a metric amount to what a scale or jug shows: steps of 5 from 100
// on, of 1 from 10 on, of 1/2 below (common practice).
func Round(n Number) Number {
	step := Fraction(1, 2)
	switch {
	case n.Cmp(Whole(100)) >= 0:
		step = Whole(5)
	case n.Cmp(Whole(10)) >= 0:
		step = Whole(1)
	}
	r := roundNumber(n.Div(step)).Mul(step)
	if r.IsZero() {
		return n
	}
	return r
}
