package recipe

import (
	"slices"
	"strings"
	"unicode/utf8"

	"fairladle/challenge/measure"
)

// maxLine is how many bytes of an ingredient line are read, and maxGlance how
// many of a block are looked at to decide what it is.
const maxLine, maxGlance = 1000, 300

// start gives the end of the first n bytes of text[s:e), on a character.
func (r *reader) start(s, e, n int) int {
	if e-s <= n {
		return e
	}
	for e = s + n; e > s && !utf8.RuneStart(r.text[e]); e-- {
	}
	return e
}

// ingredient reads the line text[s:e), whose bullet has been taken off.
func (r *reader) ingredient(s, e int) Ingredient {
	t := r.scan(s, r.start(s, e, maxLine))
	in := Ingredient{Text: r.clean(s, e), At: Place{s, e}}
	if len(t) == 0 {
		in.Name = in.Text
		return in
	}
	i := 0
	i = r.leadingOptional(t, i, &in)
	for i+1 < len(t) && (t[i].c == '<' || t[i].c == '>' || t[i].c == ':') {
		i++
	}
	a, ok := r.amount(t, i, true)
	if !ok {
		if q := r.preparationRun(t, i, len(t)); q > i && q < len(t) && t[q].cls&isNumber != 0 { // diced half onion
			if a, ok = r.amount(t, q, false); ok {
				in.PartOf = r.phrase(t, i, q)
			}
		}
	}
	if !ok {
		a, ok = r.bareUnit(t, i)
	}
	var spans []span
	switch {
	case ok:
		spans = append(spans, span{a.to, len(t)})
		in.Sure = 0.95
	default:
		var from int
		a, from, ok = r.trailingAmount(t, i)
		if ok && r.partOf(t, i, from) && a.unit == "" && a.to < len(t) && t[a.to].k == word {
			in.PartOf = r.phrase(t, i, from)
			spans = append(spans, span{a.to, len(t)})
			in.Sure = 0.85
		} else if ok {
			spans = append(spans, span{i, from}, span{a.to, len(t)})
			in.Sure = 0.85
		} else {
			spans = append(spans, span{i, len(t)})
			in.Sure = 0.8
		}
	}
	if ok {
		in.Amount, in.Unit, in.About = a.rng, a.unit, a.about
		in.Also, in.Pack, in.Size = a.also, a.pack, a.size
		in.AmountAt = Place{t[a.from].s, t[a.to-1].e}
	}
	r.name(t, spans, &in)
	if in.PartOf != "" {
		in.Preparation = join(nonEmpty(in.PartOf, in.Preparation))
	}
	if in.Name == "" {
		in.Sure = 0.3
	}
	return in
}

type span struct{ from, to int }

// leadingOptional skips "(Optional)" or "Optional:" at the start.
func (r *reader) leadingOptional(t []token, i int, in *Ingredient) int {
	j := i
	if j < len(t) && t[j].c == '(' {
		j++
	}
	if w := r.word(t, j); w == "optional" || w == "optionally" {
		k := j + 1
		for k < len(t) && (t[k].c == ')' || t[k].c == ':' || t[k].c == ',' || t[k].k == dash) {
			k++
		}
		if k > j+1 {
			in.Optional = true
			return k
		}
		if k+1 < len(t) && t[k].k == word && t[k+1].c == ':' { // Optional garnishes:
			in.Optional = true
			return k + 2
		}
	}
	return i
}

// bareUnit reads "Pinch of salt", "Dash cayenne", "Bunch of cilantro": a unit
// without a number stands for one.
func (r *reader) bareUnit(t []token, i int) (amount, bool) {
	u, next, ok := r.unit(t, i)
	if !ok || next >= len(t) || measure.KindOf(u) == measure.Mass || t[next-1].e-t[i].s == 1 {
		return amount{}, false
	}
	rng := measure.Exactly(measure.Whole(1))
	if w := r.word(t, next); w == "or" && r.word(t, next+1) == "two" { // a pinch or two
		rng.Max = measure.Whole(2)
		next += 2
		if next >= len(t) {
			return amount{}, false
		}
	}
	if r.word(t, next) != "of" {
		switch u {
		case "pinch", "dash", "splash", "handful", "drizzle", "knob", "bunch":
			if t[next].k != word {
				return amount{}, false
			}
		case "tsp", "tbsp":
			if t[next].k != word || t[next-1].e-t[next-1].s < 4 {
				return amount{}, false
			}
		default:
			return amount{}, false
		}
	}
	return amount{rng: rng, unit: u, from: i, to: next}, true
}

// trailingAmount looks for an amount after the name: "Flour: 200 g",
// "salt (1 tsp)", "juice of 2 limes". from is the token where the name ends.
func (r *reader) trailingAmount(t []token, i int) (a amount, from int, ok bool) {
	for j := i; j < len(t); j++ {
		numeric := t[j].k == digits || t[j].k == vulgar
		if !numeric && t[j].cls&isNumber == 0 && !r.articleUnit(t, j) && !(j > i && r.isArticle(t, j) && r.partOf(t, i, j)) {
			continue
		}
		if j > i && (t[j-1].c == '$' || t[j-1].k == dash && !t[j-1].space && !t[j].space) {
			continue
		}
		a, ok := r.amount(t, j, true)
		if !ok {
			continue
		}
		from := j
		if from > i && t[from-1].cls&isAbout != 0 {
			from--
			a.about = true
		}
		open := from > i && t[from-1].c == '('
		sep := open || from > i && (t[from-1].c == ':' || r.isTimes(t, from-1) || t[from-1].k == dash || t[from-1].c == ',' || t[from-1].c == '=' || t[from-1].c == '|')
		atEnd := a.to >= len(t) || t[a.to].c == '|' || t[a.to].c == ')' || t[a.to].c == ',' || t[a.to].c == '(' || t[a.to].c == '.'
		prev := r.word(t, from-1)
		part := r.partOf(t, i, from) && (prev == "of" || prev == "from" || from == j && a.to < len(t) && t[a.to].k == word)
		if part && a.unit == "" {
			// juice of 2 limes: what is bought are limes
			return a, from, true
		}
		if measure.KindOf(a.unit) == measure.Length || prev == "into" || prev == "in" || prev == "to" || prev == "at" || prev == "for" {
			continue
		}
		switch {
		case a.unit != "" && (sep || atEnd || j > i):
		case r.word(t, j) == "a" && a.to < len(t) && t[a.to].cls&isSize == 0:
			continue
		case sep && atEnd || sep && t[from-1].c == ':' || sep && t[from-1].k == dash:
		case open && a.to < len(t) && r.word(t, a.to) == "per":
		case numeric && j > i && t[j-1].k == word && t[j-1].cls&isStop == 0 && a.to < len(t) && (t[a.to].c == ',' || t[a.to].cls&isSize != 0):
		case sep && numeric && a.to < len(t) && t[a.to].cls&isSize != 0 && (a.to+1 >= len(t) || t[a.to+1].c == ',' || t[a.to+1].c == ')'):
		case atEnd && numeric && a.to >= len(t):
		default:
			continue
		}
		if sep {
			from--
		}
		if open && a.to < len(t) && t[a.to].c == ')' {
			a.to++
		}
		return a, from, true
	}
	return amount{}, i, false
}

func (r *reader) articleUnit(t []token, j int) bool {
	if w := r.word(t, j); w != "a" && w != "an" {
		return false
	}
	_, _, ok := r.unit(t, j+1)
	w := r.word(t, j+1)
	return ok || w == "dozen" || w == "couple"
}

// partOf reports whether tokens [i, from) say a part of a whole: "juice of",
// "the grated rind of".
func (r *reader) partOf(t []token, i, from int) bool {
	switch r.word(t, from-1) {
	case "of", "from", "juice", "zest", "rind", "peel": // "juice 1 lemon"
	default:
		return false
	}
	for j := i; j < from; j++ {
		switch r.word(t, j) {
		case "juice", "zest", "rind", "peel", "peels", "grated", "yolks", "whites", "yolk", "white", "leaves", "skin", "flesh", "pulp", "seeds":
			return true
		}
	}
	return false
}

func nonEmpty(s ...string) []string {
	return slices.DeleteFunc(s, func(v string) bool { return v == "" })
}

// clean gives text[s:e) with runs of white space as one blank.
func (r *reader) clean(s, e int) string {
	v := r.text[s:e]
	for i := 0; i < len(v); i++ {
		if c := v[i]; c == '\n' || c == '\t' || c == '\r' || c == ' ' && i+1 < len(v) && v[i+1] == ' ' || c == 0xc2 || c == 0xe2 || c == 0xe3 {
			return strings.Join(strings.Fields(v), " ")
		}
	}
	return v
}
