package recipe

import (
	"strings"
	"sync"
)

type section uint8

const (
	intro section = iota
	ingredients
	method
	tools
	notes
	other // under a heading that says nothing about its content
)

// sections are the sections by the word that words.tsv has for them.
var sections = map[string]section{"ingredients": ingredients, "method": method, "tools": tools, "notes": notes}

// headingWords say what a heading announces, also in the languages next door:
// such a recipe is kept and cut into its parts, if not understood.
var headingWords = sync.OnceValue(func() map[string]section {
	m := map[string]section{}
	for w, v := range wordList("heading") {
		m[w] = sections[v]
	}
	return m
})

// headingSection says what a heading announces, other where it does not say.
func (r *reader) headingSection(s, e int) section {
	t := r.scan(s, r.start(s, e, maxGlance))
	n := 0
	found := other
	for i := range t {
		if t[i].k != word {
			continue
		}
		n++
		w := r.low[t[i].s:t[i].e]
		if sec, ok := headingWords()[w]; ok && (found == other || found == notes) {
			found = sec
		}
		if w == "need" && (r.word(t, i-1) == "you" || r.word(t, i-1) == "will" && i <= 3 || r.word(t, i-1) == "ll" || strings.HasPrefix(r.word(t, i-1), "you")) {
			found = ingredients
		}
	}
	if found == other {
		switch strings.Trim(strings.ToLower(r.clean(s, e)), " :*_") {
		case "how to make it", "how to", "to make", "make it", "putting it together", "recipe", "how to make", "what to do", "to prepare", "prep":
			return method
		case "what you need", "stuff", "the stuff", "what goes in":
			return ingredients
		}
	}
	if n > 6 && found != other && r.text[e-1] != ':' {
		return other
	}
	return found
}

// headingByLook recognises headings without a heading mark: "**Sauce**",
// "For the sauce:", "INGREDIENTS".
func (r *reader) headingByLook(b block) (s, e int, ok bool) {
	v := r.text[b.s:b.e]
	if b.lines > 1 || len(v) > 80 {
		return 0, 0, false
	}
	s, e = b.s, b.e
	bold := false
	for len(v) >= 3 && (v[0] == '*' || v[0] == '_') && v[len(v)-1] == v[0] && strings.Count(v, v[:1])%2 == 0 ||
		len(v) >= 4 && (v[0] == '*' || v[0] == '_') && v[len(v)-1] == ':' && v[len(v)-2] == v[0] {
		bold = true
		if v[len(v)-1] == ':' {
			e--
		}
		s, e = s+1, e-1
		v = r.text[s:e]
	}
	for len(v) > 0 && (v[len(v)-1] == '*' || v[len(v)-1] == '_') && strings.HasPrefix(r.text[b.s:], "**") {
		e--
		v = r.text[s:e]
	}
	v = strings.TrimRight(v, " ")
	e = s + len(v)
	if len(v) < 2 || !hasLetter(v) {
		return 0, 0, false
	}
	words := strings.Count(v, " ") + 1
	switch {
	case bold && (words <= 4 || words <= 9 && strings.HasPrefix(r.text[b.s:], r.text[b.s:b.s+1]+r.text[b.s:b.s+1])) && !strings.HasSuffix(v, "."):
		if strings.Count(r.text[b.s:b.e], "*") > 6 {
			return 0, 0, false
		}
		return s, e, true
	case v[len(v)-1] == ':' && words <= 9:
		return s, e - 1, true
	case words <= 3 && b.kind == plainBlock && r.headingSection(s, e) != other && r.headingOnly(s, e):
		return s, e, true
	case b.kind == plainBlock && words >= 3 && words <= 6 && (strings.HasPrefix(r.low[s:e], "for the ") || strings.HasPrefix(r.low[s:e], "for ")) &&
		!strings.ContainsAny(v, "0123456789.!?,;"):
		return s, e, true
	case b.kind == plainBlock && words <= 6 && v == strings.ToUpper(v) && len(v) > 3 && b.indent == 0 && !(v[0] >= '0' && v[0] <= '9'):
		return s, e, true
	}
	return 0, 0, false
}

// headingOnly reports that every word is one of headings: "Cooking method", but
// not "Cooking oil" nor "Extra virgin oil".
func (r *reader) headingOnly(s, e int) bool {
	for _, k := range r.scan(s, e) {
		if k.k != word {
			continue
		}
		if _, ok := headingWords()[r.low[k.s:k.e]]; !ok && k.cls&(isPlain|isTime) == 0 {
			return false
		}
	}
	return true
}

// announces reports a line that goes on after its own heading, "Ingredients: 2
// eggs, milk", and gives the end of that heading; 0 where it is none.
func (r *reader) announces(s, e int) int {
	limit := min(e, s+40)
	for i := s; i < limit; i++ {
		c := r.low[i]
		if c == ':' {
			sec := r.headingSection(s, i)
			if (sec == ingredients || sec == method) && i+2 < e && strings.Count(r.low[s:i], " ") <= 2 {
				return i + 1
			}
			return 0
		}
		if c == '.' || c == ',' || c >= '0' && c <= '9' {
			return 0
		}
	}
	return 0
}

func hasLetter(s string) bool {
	for i := 0; i < len(s); i++ {
		if c := s[i] | 0x20; c >= 'a' && c <= 'z' || s[i] >= 0x80 {
			return true
		}
	}
	return false
}

// looksIngredient: 2 starts with an amount, 1 could be a bare name, 0 not.
func (r *reader) looksIngredient(s, e int) int {
	t := r.scan(s, r.start(s, e, maxGlance))
	if len(t) == 0 {
		return 0
	}
	words := 0
	for _, k := range t {
		if k.k == word {
			words++
		}
	}
	for i := range t {
		if w := r.word(t, i); i < 6 && (w == "serves" || w == "servings") {
			return 0
		}
	}
	if a, ok := r.amount(t, 0, true); ok && words >= 1 && words <= 25 {
		if a.unit != "" && a.unit != "serving" || t[a.from].k == digits || t[a.from].k == vulgar {
			if !r.isDuration(t, a) {
				return 2
			}
			return 0
		}
		if words <= 10 && !r.isArticle(t, a.from) {
			return 2
		}
	}
	if a, ok := r.amount(t, 0, true); ok && a.unit == "" && r.isArticle(t, a.from) && t[len(t)-1].c == '.' {
		return 0
	}
	if _, ok := r.bareUnit(t, 0); ok && words <= 15 {
		return 2
	}
	if words <= 15 {
		if a, from, ok := r.trailingAmount(t, 0); ok && !r.isDuration(t, a) && from <= 8 && !sentenceEnd(t[:from]) && r.looksStepTokens(t, false) < 2 {
			return 2
		}
	}
	if r.looksStepTokens(t, false) >= 2 {
		return 0
	}
	if t[0].link && words <= 25 {
		return 1
	}
	if words >= 1 && words <= 8 && (r.text[e-1] != '.' || words <= 4) {
		return 1
	}
	return 0
}

// sentenceEnd reports a full stop between sentences among the tokens.
func sentenceEnd(t []token) bool {
	for i := 1; i+1 < len(t); i++ {
		if t[i].c == '.' && !t[i].space && t[i+1].space && t[i].s-t[i-1].s > 4 {
			return true
		}
	}
	return false
}

func (r *reader) isDuration(t []token, a amount) bool {
	return a.to < len(t) && a.unit == "" && t[a.to].cls&isTime != 0
}

// looksStep: 2 opens with a verb, 1 reads like a sentence, 0 not.
func (r *reader) looksStep(s, e int) int {
	cut := r.start(s, e, maxGlance)
	if n := r.looksStepTokens(r.scan(s, cut), cut < e); n > 0 || cut == e {
		return n
	}
	return 1 // a paragraph
}

func (r *reader) looksStepTokens(t []token, cut bool) int {
	words, first := 0, -1
	for i, k := range t {
		if k.k == word {
			if first < 0 {
				first = i
			}
			words++
		}
	}
	if first < 0 || words < 2 {
		return 0
	}
	if t[first].link && t[first].cls&isVerb == 0 {
		return 0 // what is linked is another recipe
	}
	stop := cut || t[len(t)-1].c == '.' || t[len(t)-1].c == '!' // a paragraph cut short goes on
	w := r.word(t, first)
	f := t[first]
	switch {
	case first == 0 && f.cls&isVerb != 0 && f.cls&isPrep == 0 && (f.cls&isUnit == 0 || words >= 8 && stop && r.word(t, 1) != "of") && (!hasClass(w, isNounVerb) || words >= 8 && stop) && words >= 3:
		return 2
	case hasClass(w, isOpener) && words >= 5:
		return 2
	case f.cls&isAdverb != 0 && first+1 < len(t) && t[first+1].cls&isVerb != 0 && t[first+1].cls&isPrep == 0:
		return 2
	case stop && words >= 9:
		return 1
	}
	return 0
}
