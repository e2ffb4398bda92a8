package recipe

import (
	"fairladle/challenge/measure"
)

// amount is what was read of an amount in a line: tokens [from, to).
type amount struct {
	rng      measure.Range
	unit     string
	about    bool
	size     string
	also     []Measure
	pack     *Measure
	from, to int
}

// amount reads an amount with its unit at token i. With article, "a" counts as
// one. ok is false where there is no number.
func (r *reader) amount(t []token, i int, article bool) (a amount, ok bool) {
	a.from = i
	i, a.about = r.skipAbout(t, i)
	between := r.word(t, i) == "between"
	if between {
		i++
	}
	n, j, ok := r.number(t, i, article)
	if !ok || n.Sign() == 0 && j < len(t) && t[j].c == '-' {
		return a, false
	}
	if j < len(t) && t[j].c == '%' {
		return a, false // 2% milk
	}
	a.from = i
	a.rng = measure.Exactly(n)
	one := r.word(t, i) == "a" || r.word(t, i) == "an"
	if hi, next, ok := r.rangeEnd(t, j); ok {
		a.rng, j = measure.Between(n, hi), next
	} else if between && r.word(t, j) == "and" {
		if hi, next, ok := r.number(t, j+1, false); ok {
			a.rng, j = measure.Between(n, hi), next
		}
	}
	if j < len(t) && t[j].c == '+' && !t[j].space { // "2+ cups"
		j++
	}
	if w := r.word(t, j); w == "or" && (r.word(t, j+1) == "so" || r.word(t, j+1) == "more" || r.word(t, j+1) == "less") {
		a.about, j = true, j+2
	}
	j = r.times(t, j, &a)
	j = r.fractionOf(t, j)
	unit, next, ok := r.unit(t, j)
	if !ok && one && a.rng == measure.Exactly(measure.Whole(1)) {
		switch w := r.word(t, j); w {
		case "few", "little", "lot", "bit", "good", "some", "touch", "hint", "pile", "load":
			if w != "good" || r.word(t, j+1) == "bit" || r.word(t, j+1) == "few" {
				return a, false
			}
		}
	}
	if ok && measure.KindOf(unit) == measure.Length && r.mixedApart(t, i) && !r.onePiece(t, i, next) { // 4 ¼ inch thick steaks
		a.rng = measure.Exactly(measure.Whole(r.small(t[i])))
		ok, j = false, r.sizeEnd(t, next)
		a.size = r.phrase(t, i+1, j)
		a.to = j
		return a, true
	}
	if ok {
		a.unit = unit
		if r.pointedThousand(t, i, unit) {
			a.rng = a.rng.Times(measure.Whole(1000))
		}
		j = next
		if measure.KindOf(unit) == measure.Length {
			j = r.sizeEnd(t, j)
		}
		j = r.afterUnit(t, j, &a)
	} else {
		j = r.packed(t, j, &a)
	}
	a.to = j
	return a, true
}

// pointedThousand reports "1.500 g": a point before three digits is no decimal
// one where the unit is as small as a gram.
func (r *reader) pointedThousand(t []token, i int, unit string) bool {
	return (unit == "g" || unit == "ml") && i+2 < len(t) && t[i].k == digits && t[i+1].c == '.' && !t[i+1].space &&
		t[i+2].k == digits && !t[i+2].space && t[i+2].e-t[i+2].s == 3 && r.text[t[i].s] != '0'
}

// skipAbout skips "about", "roughly", "~" before a number.
func (r *reader) skipAbout(t []token, i int) (int, bool) {
	about := false
	for j := i; j < len(t) && j < i+4; j++ {
		if t[j].c == '~' || t[j].cls&isAbout != 0 {
			about = true
			continue
		}
		if t[j].c == '.' && about {
			continue
		}
		if w := r.word(t, j); j == i && (w == "c" || w == "ca") && j+2 < len(t) && t[j+1].c == '.' && t[j+2].k == digits {
			about = true // circa
			continue
		}
		if w := r.word(t, j); w == "up" && r.word(t, j+1) == "to" {
			j, about = j+1, true
			continue
		}
		if about && (r.word(t, j) == "to" && r.word(t, j-1) == "up" || r.word(t, j) == "of" && j == i+1) {
			continue
		}
		return j, about
	}
	return i, false
}

// rangeEnd reads the second number of "2-3", "2 to 3", "2 or 3".
func (r *reader) rangeEnd(t []token, j int) (measure.Number, int, bool) {
	if j >= len(t) {
		return measure.Number{}, j, false
	}
	w := r.word(t, j)
	if t[j].k == dash || t[j].c == '~' || w == "to" || w == "or" {
		k := j + 1
		if t[j].k == dash && r.word(t, k) == "to" {
			k++
		}
		hi, next, ok := r.number(t, k, false)
		if ok && hi.Sign() > 0 && !(w == "or" && next < len(t) && t[next].c == '/') {
			return hi, next, true
		}
	}
	return measure.Number{}, j, false
}

// isTimes reports the x of "2 x 400 g" and "eggs x 3".
func (r *reader) isTimes(t []token, j int) bool {
	return t[j].c == 'x' && t[j].k == punct || r.word(t, j) == "x"
}

// times reads the rest of "2 x 400 g" and multiplies.
func (r *reader) times(t []token, j int, a *amount) int {
	if j >= len(t) || !r.isTimes(t, j) {
		return j
	}
	n, k, ok := r.number(t, j+1, false)
	if !ok {
		return j + 1 // "1 x onion"
	}
	unit, next, ok := r.unit(t, k)
	if !ok {
		return j
	}
	if measure.KindOf(unit) == measure.Length { // 1 x 8-inch pastry case
		end := r.sizeEnd(t, next)
		a.size = r.phrase(t, j+1, end)
		return end
	}
	a.rng = a.rng.Times(n)
	return k
}

// fractionOf skips "of a" in "3/4 of a cup" and "a" in "half a cup".
func (r *reader) fractionOf(t []token, j int) int {
	k := j
	if r.word(t, k) == "of" {
		k++
	}
	if w := r.word(t, k); w == "a" || w == "an" || w == "one" && k > j {
		return k + 1
	}
	return j
}

// unitAt reports a unit at token i, also after a dash: "one-half-pint".
func (r *reader) unitAt(t []token, i int) bool {
	_, _, ok := r.unit(t, i)
	return ok
}

// afterUnit reads what follows amount and unit: a second measure of the same
// amount, an amount on top, the container of a measured one.
func (r *reader) afterUnit(t []token, j int, a *amount) int {
	if f, next, ok := r.halfAfterAnd(t, j); ok && !r.unitAt(t, next) { // a pint and a half
		a.rng = measure.Range{Min: a.rng.Min.Add(f), Max: a.rng.Max.Add(f)}
		j = next
	}
	for range 3 {
		if j >= len(t) {
			return j
		}
		w := r.word(t, j)
		switch {
		case t[j].k == dash || w == "to": // 1 cup to 2 cups
			rng, u, next, ok := r.measureAt(t, j+1)
			if !ok {
				return j
			}
			if u != a.unit {
				r.addAlso(t, a, rng, u, j+1, next, false)
			} else {
				a.rng = measure.Between(a.rng.Min, rng.Max)
			}
			j = next
		case t[j].c == '(':
			next, ok := r.parenMeasure(t, j, a, false)
			if !ok {
				return j
			}
			j = next
		case t[j].c == '/' || t[j].c == '=' || w == "or" || t[j].c == '|':
			rng, u, next, ok := r.measureAt(t, j+1)
			if !ok {
				if _, next, ok := r.unit(t, j+1); ok && w == "or" && next < len(t) { // "1 ounce or square of"
					j = next
					continue
				}
				return j
			}
			r.addAlso(t, a, rng, u, j+1, next, false)
			j = next
		case t[j].c == '+' || w == "plus" || w == "and" || t[j].c == '&':
			rng, u, next, ok := r.measureAt(t, j+1)
			if !ok || measure.KindOf(u) == measure.Count || next >= len(t) {
				return j
			}
			r.addAlso(t, a, rng, u, j+1, next, true)
			j = next
		default:
			// "6 oz bag", "400 ml can": the measure counts, the container goes.
			if measure.KindOf(a.unit) != measure.Count {
				if u, next, ok := r.unit(t, j); ok && containers[u] && u != "head" && u != "bunch" && next < len(t) &&
					t[j].cls&isVerb == 0 || ok && containers[u] && u == "can" {
					return next
				}
			}
			return j
		}
	}
	return j
}

func (r *reader) addAlso(t []token, a *amount, rng measure.Range, unit string, from, to int, plus bool) {
	a.also = append(a.also, Measure{rng, unit, Place{t[from].s, t[to-1].e}, plus})
}

// parenMeasure reads "(240 ml)" at the bracket. Other words in the brackets stay
// for the note, so the tokens are only consumed when nothing else is inside.
func (r *reader) parenMeasure(t []token, j int, a *amount, pack bool) (int, bool) {
	rng, u, next, ok := r.measureAt(t, j+1)
	if !ok || next >= len(t) || measure.KindOf(u) == measure.Length {
		return j, false
	}
	end := next
	for end < len(t) && end < next+40 && t[end].c != ')' {
		end++
	}
	if end >= len(t) || t[end].c != ')' {
		return j, false
	}
	if pack {
		a.pack = &Measure{rng, u, Place{t[j+1].s, t[next-1].e}, false}
	} else {
		r.addAlso(t, a, rng, u, j+1, next, false)
	}
	if end == next || t[next].c == ')' {
		return end + 1, true
	}
	if pack {
		return end + 1, true
	}
	return j, false
}

// packed reads what follows a number without a unit: "(14.5 oz) can", "15oz cans".
func (r *reader) packed(t []token, j int, a *amount) int {
	if j >= len(t) {
		return j
	}
	if t[j].c == '(' {
		next, ok := r.parenMeasure(t, j, a, true)
		if !ok {
			return j
		}
		u, after, ok := r.unit(t, next)
		if !ok {
			return next
		}
		if measure.KindOf(u) != measure.Count { // 1/4 (70 g) cup
			a.also, a.pack = append(a.also, *a.pack), nil
		}
		a.unit = u
		return after
	}
	if t[j].k != digits {
		return j
	}
	rng, u, next, ok := r.measureAt(t, j)
	if ok && measure.KindOf(u) == measure.Length { // 1 2-inch piece
		end := r.sizeEnd(t, next)
		a.size = r.phrase(t, j, end)
		return end
	}
	if !ok || measure.KindOf(u) != measure.Mass && measure.KindOf(u) != measure.Volume {
		return j
	}
	pack := Measure{rng, u, Place{t[j].s, t[next-1].e}, false}
	a.pack = &pack
	a.rng, a.unit = rng.Times(a.rng.Min), u
	next = r.afterUnit(t, next, a)
	return next
}
