package recipe

import "fairladle/challenge/measure"

// several cuts a line that lists more than one ingredient, each with its own
// amount ("1 tsp salt, 1/2 tsp pepper", "2 eggs and 100 g sugar"), into its
// parts. An amount that says the same again ("1 onion, 1 cup chopped", "2 sticks
// or 200 g butter") does not cut.
func (r *reader) several(s, e int) []Place {
	whole := []Place{{s, e}}
	if e-s > maxGlance {
		return whole
	}
	t := append([]token(nil), r.scan(s, e)...)
	first, ok := r.amount(t, 0, true)
	if !ok || !r.foodWithin(t, first.to) {
		return whole
	}
	out, from, depth := whole[:0], s, 0
	for i := first.to; i+1 < len(t); i++ {
		switch t[i].c {
		case '(':
			depth++
		case ')':
			depth--
		}
		if depth > 0 || !r.joins(t, i) {
			continue
		}
		k := i + 1
		if w := r.word(t, k); w == "and" || w == "plus" {
			k++
		}
		a, ok := r.amount(t, k, true)
		if !ok || a.to >= len(t) || measure.KindOf(a.unit) == measure.Length || r.isDuration(t, a) || !r.foodWithin(t, a.to) {
			continue
		}
		out, from = append(out, Place{from, t[i-1].e}), t[k].s
		i = a.to
	}
	return append(out, Place{from, e})
}

// joins reports a mark or word between two ingredients.
func (r *reader) joins(t []token, i int) bool {
	switch t[i].c {
	case ',', ';', '|', '&', '+':
		return t[i].k == punct
	}
	w := r.word(t, i)
	return (w == "and" || w == "plus") && i > 0 && t[i-1].c != ','
}

// foodWithin reports a known food among the next words, before any mark.
func (r *reader) foodWithin(t []token, from int) bool {
	for k := from; k < len(t) && k < from+5 && t[k].c != ',' && t[k].c != ';' && t[k].c != '|'; k++ {
		if w := r.word(t, k); w == "or" {
			return false
		}
		if t[k].k == word && t[k].cls&(isPrep|isUnit) == 0 && r.knownFood(t, k) {
			return true
		}
	}
	return false
}
