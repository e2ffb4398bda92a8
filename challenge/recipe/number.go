package recipe

import (
	"sync"

	"fairladle/challenge/measure"
)

type frac struct{ n, d int64 }

// vulgarFraction gives the value of a fraction character.
func vulgarFraction(u rune) frac {
	switch u {
	case '½':
		return frac{1, 2}
	case '¼':
		return frac{1, 4}
	case '¾':
		return frac{3, 4}
	case '⅓':
		return frac{1, 3}
	case '⅔':
		return frac{2, 3}
	case '⅛':
		return frac{1, 8}
	case '⅜':
		return frac{3, 8}
	case '⅝':
		return frac{5, 8}
	case '⅞':
		return frac{7, 8}
	case '⅕':
		return frac{1, 5}
	case '⅖':
		return frac{2, 5}
	case '⅗':
		return frac{3, 5}
	case '⅘':
		return frac{4, 5}
	case '⅙':
		return frac{1, 6}
	case '⅚':
		return frac{5, 6}
	case '⅐':
		return frac{1, 7}
	case '⅑':
		return frac{1, 9}
	case '⅒':
		return frac{1, 10}
	}
	return frac{}
}

// numberWords are the cardinals and fractions written out; a fraction has d > 1.
var numberWords = sync.OnceValue(func() map[string]frac {
	m := map[string]frac{}
	for w, v := range wordList("number") {
		m[w] = wordValue(v)
	}
	return m
})

// number reads the number at token i and gives the token after it: "1", "1.5",
// "1,5", "1 1/2", "1-1/2", "1½", "two", "two and a half", "half a", "a dozen".
// The article a is a number only with bare set.
func (r *reader) number(t []token, i int, article bool) (n measure.Number, next int, ok bool) {
	if i >= len(t) {
		return n, i, false
	}
	switch t[i].k {
	case digits:
		return r.digitNumber(t, i)
	case vulgar:
		return r.vulgarAt(t, i), i + 1, true
	case word:
		return r.wordNumber(t, i, article)
	}
	if t[i].c == '.' && i+1 < len(t) && t[i+1].k == digits && !t[i+1].space { // ".5"
		f := r.decimals(t[i+1])
		return f, i + 2, true
	}
	return n, i, false
}

func (r *reader) vulgarAt(t []token, i int) measure.Number {
	u, _ := r.runeAt(t[i].s, t[i].e)
	f := vulgarFraction(u)
	return measure.Fraction(f.n, f.d)
}

// isDozen reports "dozen" or "doz" at i.
func (r *reader) isDozen(t []token, i int) bool {
	w := r.word(t, i)
	return w == "dozen" || w == "doz"
}

// small reads a run of digits as an integer, at most 10^9.
func (r *reader) small(t token) int64 {
	var n int64
	for i := t.s; i < t.e; i++ {
		if n = n*10 + int64(r.low[i]-'0'); n > 1_000_000_000 {
			return 1_000_000_000
		}
	}
	return n
}

// decimals reads a run of digits as what follows a decimal point.
func (r *reader) decimals(t token) measure.Number {
	if t.e-t.s > 6 {
		t.e = t.s + 6
	}
	p := int64(1)
	for i := t.s; i < t.e; i++ {
		p *= 10
	}
	return measure.Fraction(r.small(t), p)
}

func (r *reader) digitNumber(t []token, i int) (measure.Number, int, bool) {
	n := measure.Whole(r.small(t[i]))
	j := i + 1
	if t[i].e-t[i].s == 2 && r.text[t[i].s] == '0' && (j >= len(t) || t[j].c != '.' && t[j].c != ',') {
		return n, i, false // "00" flour
	}
	if r.isDozen(t, j) {
		return n.Mul(measure.Whole(12)), j + 1, true
	}
	at := func(k int, p kind) bool { return k < len(t) && t[k].k == p }
	// 1/2
	if f, next, ok := r.slash(t, i); ok {
		if r.isDozen(t, next) {
			return f.Mul(measure.Whole(12)), next + 1, true
		}
		return f, next, true
	}
	// 1.5, 1,5, 1,000
	if j+1 < len(t) && t[j].k == punct && (t[j].c == '.' || t[j].c == ',') && !t[j].space &&
		at(j+1, digits) && !t[j+1].space {
		width := t[j+1].e - t[j+1].s
		if t[j].c == ',' && width == 3 {
			return n.Mul(measure.Whole(1000)).Add(measure.Whole(r.small(t[j+1]))), j + 2, true
		}
		if t[j].c == '.' || width <= 2 {
			return n.Add(r.decimals(t[j+1])), j + 2, true
		}
	}
	// 1½, 1 ½, 1-½
	if at(j, vulgar) {
		return n.Add(r.vulgarAt(t, j)), j + 1, true
	}
	if at(j, dash) && at(j+1, vulgar) && !t[j].space && !t[j+1].space {
		return n.Add(r.vulgarAt(t, j+1)), j + 2, true
	}
	// 1 1/2, 1-1/2, 1 and 1/2, 1 & 1/2
	k := j
	if at(k, dash) && !t[k].space || k < len(t) && (t[k].c == '&' || t[k].c == '+') || r.word(t, k) == "and" {
		k++
	}
	if f, next, ok := r.slash(t, k); ok && f.Cmp(measure.Whole(1)) < 0 && (k == j || k < len(t)) {
		if k == j+1 && at(j, dash) && t[k].space {
			return n, j, true
		}
		return n.Add(f), next, true
	}
	if k == j+1 && at(k, vulgar) {
		return n.Add(r.vulgarAt(t, k)), k + 1, true
	}
	if k == j+1 && r.word(t, j) == "and" {
		if f, next, ok := r.halfAfterAnd(t, j); ok {
			return n.Add(f), next, true
		}
	}
	return n, j, true
}

// slash reads digits / digits.
func (r *reader) slash(t []token, i int) (measure.Number, int, bool) {
	if i+2 < len(t) && t[i].k == digits && t[i+1].c == '/' && t[i+2].k == digits &&
		!(t[i+1].space != t[i+2].space && t[i+1].space) {
		d := r.small(t[i+2])
		if n := r.small(t[i]); d >= 2 && d <= 64 && n <= 2*d && t[i+2].e-t[i+2].s <= 2 {
			return measure.Fraction(r.small(t[i]), d), i + 3, true
		}
	}
	return measure.Number{}, i, false
}

// halfAfterAnd reads "and a half", "and one-half", "and a quarter" at i.
func (r *reader) halfAfterAnd(t []token, i int) (measure.Number, int, bool) {
	if r.word(t, i) != "and" {
		return measure.Number{}, i, false
	}
	j := i + 1
	times := int64(1)
	switch w := r.word(t, j); w {
	case "a", "an":
		j++
	default:
		if f, ok := numberWords()[w]; ok && f.d == 1 && f.n < 10 {
			times = f.n
			j++
			if j < len(t) && t[j].k == dash {
				j++
			}
		}
	}
	if f, ok := numberWords()[r.word(t, j)]; ok && f.d > 1 {
		return measure.Fraction(f.n*times, f.d), j + 1, true
	}
	return measure.Number{}, i, false
}

func (r *reader) wordNumber(t []token, i int, article bool) (measure.Number, int, bool) {
	w := r.word(t, i)
	if w == "a" || w == "an" {
		f, ok := numberWords()[r.word(t, i+1)]
		switch {
		case ok && f.d > 1: // a half, a quarter
			return measure.Fraction(f.n, f.d), i + 2, true
		case ok && (f.n == 12 || f.n == 2 || f.n == 100) && r.word(t, i+1) != "two" && r.word(t, i+1) != "twelve": // a dozen, a couple
			return measure.Whole(f.n), i + 2, true
		}
		return measure.Whole(1), i + 1, article
	}
	if (w == "i" || w == "l") && i == 0 && len(t) > 2 && t[1].cls&isUnit != 0 && r.word(t, 1) != "can" && article {
		return measure.Whole(1), 1, true // a scanned card's "I cup"
	}
	if t[i].cls&isNumber == 0 {
		return measure.Number{}, i, false
	}
	f, ok := numberWords()[w]
	if !ok {
		return measure.Number{}, i, false
	}
	n, j := measure.Fraction(f.n, f.d), i+1
	if f.d > 1 { // half a dozen; half
		if f.n == 1 && f.d == 2 && (r.word(t, j) == "a" || r.word(t, j) == "an") && r.word(t, j+1) == "dozen" {
			return measure.Whole(6), j + 2, true
		}
		return n, j, true
	}
	k := j
	if k < len(t) && t[k].k == dash && !t[k].space {
		k++
	}
	if g, ok := numberWords()[r.word(t, k)]; ok {
		switch {
		case g.d > 1 && (f.n <= 9): // three-quarters, one half
			return measure.Fraction(f.n*g.n, g.d), k + 1, true
		case g.n == 12 && r.isDozen(t, k) || g.n == 100: // two dozen
			return measure.Whole(f.n * g.n), k + 1, true
		case f.n >= 20 && f.n%10 == 0 && g.n < 10 && f.n < 100: // twenty-five
			return measure.Whole(f.n + g.n), k + 1, true
		}
	}
	if h, next, ok := r.halfAfterAnd(t, j); ok {
		return n.Add(h), next, true
	}
	return n, j, true
}
