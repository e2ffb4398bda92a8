package recipe

import (
	"strings"
	"sync"

	"fairladle/challenge/measure"
)

// headerWords open a line that gives the yield or a time, and say which.
var headerWords = sync.OnceValue(func() map[string]string { return wordList("header") })

// timesLine reads "Prep: 10 mins | Cook: 40 mins", which is no method of one line.
func (r *reader) timesLine(b block) bool {
	t := r.scan(b.s, r.start(b.s, b.e, 40))
	if len(t) < 3 || headerWords()[r.word(t, 0)] == "" || headerWords()[r.word(t, 0)] == "yield" {
		return false
	}
	for k := 1; k < 3 && k+1 < len(t); k++ {
		if t[k].c == ':' {
			if from, _ := r.skipAbout(t, k+1); from < len(t) && (t[from].k == digits || t[from].k == vulgar || t[from].cls&isNumber != 0) {
				_, _, ok := r.duration(t, from)
				return ok && r.header(b.s, b.e, false)
			}
		}
	}
	return false
}

// header reads a line that gives yield or times; ok is false where it gives
// neither.
func (r *reader) header(s, e int, inList bool) bool {
	if e-s > 160 {
		return false
	}
	t := r.scan(s, e)
	for i := 0; i < len(t) && i < 5; i++ {
		switch headerWords()[r.word(t, i)] {
		case "":
		case "yield":
			if i == 0 || i == 1 && t[0].k == punct || r.word(t, i) == "yield" && i < 3 || i < 2 && t[0].k == digits && !inList {
				if !r.setYield(s, e, false) {
					return false
				}
				for k := i + 1; k < len(t); k++ { // times on the same line
					switch r.word(t, k) {
					case "prep", "cook", "time", "total", "cooking":
						return r.headerTime(t, k, s, e, true) || true
					}
				}
				return true
			}
		default:
			if r.headerTime(t, i, s, e, false) {
				return true
			}
		}
		if i > 0 && r.word(t, i) == "time" && i+1 < len(t) && t[i+1].c == ':' && r.headerTime(t, i-1, s, e, false) { // "Fermentation time: 1 week"
			return true
		}
		if t[i].c == '.' {
			return false
		}
	}
	return false
}

// headerTime reads the time that the word at i names. Loose, it needs no mark
// between: "Serves 4, prep 10 min".
func (r *reader) headerTime(t []token, i, s, e int, loose bool) bool {
	kind := r.word(t, i)
	j := i + 1
	for j < len(t) && t[j].k == word && r.word(t, j) != "about" && t[j].cls&isNumber == 0 && !r.isArticle(t, j) {
		if j > i+2 {
			return false
		}
		j++
	}
	named := j > i+1 && r.word(t, j-1) == "time"
	if j >= len(t) || !(t[j].c == ':' || t[j].k == dash || t[j].c == '=' || loose && (t[j].k == digits || t[j].k == vulgar) || named && (t[j].k == digits || t[j].k == word)) {
		return false
	}
	ds := r.durations(t[j:])
	if len(ds) == 0 {
		return false
	}
	if k := headerWords()[kind]; k != "" && k != "yield" {
		kind = k
	}
	if len(r.b.Times) < 20 {
		r.b.Times = append(r.b.Times, HeaderTime{kind, Span{ds[0].MinMinutes, ds[0].MaxMinutes}, Place{s, e}})
	}
	// "Prep: 10 min, cook: 20 min" on one line.
	for k := j; k < len(t); k++ {
		switch r.word(t, k) {
		case "cook", "cooking", "total", "bake", "baking", "rest", "chill":
			if k+1 < len(t) {
				return r.headerTime(t, k, s, e, loose) || true
			}
		}
	}
	return true
}

// setYield reads a yield from text[s:e): "Serves 4-6", "makes about 20 cookies",
// "2 litres". With plain, a bare number counts as servings.
func (r *reader) setYield(s, e int, plain bool) bool {
	if !r.b.Yield.At.IsZero() {
		return true
	}
	t := r.scan(s, e)
	y := Yield{Text: r.clean(s, e), At: Place{s, e}}
	servings := plain
	for i := range t {
		switch r.word(t, i) {
		case "serves", "servings", "serving", "portions", "people", "persons", "feeds", "guests":
			servings = true
		}
	}
	for i := range t {
		a, ok := r.amount(t, i, true)
		if !ok || r.isArticle(t, i) && a.unit == "" {
			if r.isArticle(t, i) {
				continue
			}
			if !ok {
				continue
			}
		}
		switch {
		case a.unit == "serving" || a.unit == "" && servings && (a.to >= len(t) || t[a.to].k != word || r.isServing(t, a.to) || !plain && r.serves(t, i)):
			y.Servings = a.rng
		case plain && a.to >= len(t) && a.unit == "":
			y.Servings = a.rng
		case r.saysServings(t, i) && measure.KindOf(a.unit) == measure.Count: // "Servings: 8 bowls"
			y.Servings = a.rng
		case a.unit == "" && a.to >= len(t) && a.rng.Max.Cmp(measure.Whole(maxBare)) <= 0: // "Makes 8"
			y.Servings = a.rng
		default:
			y.Count = a.rng
			y.Pieces = r.phrase(t, a.to, r.clauseEnd(t, a.to))
			if a.unit != "" {
				y.Pieces = measure.Unit(a.unit, a.rng)
			}
			if w := y.Pieces[strings.LastIndexByte(y.Pieces, ' ')+1:]; w == "servings" || w == "serving" || w == "portions" || w == "people" {
				y.Servings, y.Count, y.Pieces = y.Count, measure.Range{}, "" // "10 to 12 appetizer servings"
			}
		}
		r.b.Yield = y
		return true
	}
	return false
}

func (r *reader) isServing(t []token, i int) bool {
	switch r.word(t, i) {
	case "people", "persons", "servings", "serving", "portions", "guests", "adults", "hungry", "or", "to", "as", "depending", "if", "with", "person":
		return true
	}
	return false
}

// saysServings reports "Servings:" or "Portions:" before token i.
func (r *reader) saysServings(t []token, i int) bool {
	for k := 0; k+1 < i; k++ {
		if w := r.word(t, k); (w == "servings" || w == "portions" || w == "serves") && t[k+1].c == ':' {
			return true
		}
	}
	return false
}

func (r *reader) serves(t []token, i int) bool {
	for k := 0; k < i; k++ {
		switch r.word(t, k) {
		case "serves", "feeds", "servings":
			return true
		}
	}
	return false
}

func (r *reader) clauseEnd(t []token, i int) int {
	for i < len(t) && !(r.word(t, i) == "time" || r.word(t, i) == "prep" || r.word(t, i) == "total") && (t[i].k == word || t[i].k == dash && !t[i].space || t[i].c == '"') && r.word(t, i) != "or" && r.word(t, i) != "depending" {
		i++
	}
	return i
}
