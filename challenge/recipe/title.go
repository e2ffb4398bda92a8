package recipe

import (
	"strings"
	"unicode/utf8"

	"fairladle/challenge/measure"
)

// mailHeader: the lines of a forwarded mail that are no recipe.
func (r *reader) mailHeader(b block) bool {
	for _, p := range []string{"subject:", "from:", "to:", "cc:", "date:", "sent:", "reply-to:"} {
		if strings.HasPrefix(r.low[b.s:b.e], p) {
			return true
		}
	}
	return false
}

// firstSentence gives where the title ends that a first line holds: its end, the
// end of a short first sentence before more text, or its start where the line is
// a long sentence and no title.
func (r *reader) firstSentence(b block) int {
	v := r.text[b.s:b.e]
	if i := strings.Index(v, ". "); i > 2 && i+2 < len(v) && strings.Count(v[:i], " ") < 7 && len(v)-i > 20 &&
		(v[i+2] >= 'A' && v[i+2] <= 'Z' || v[i+2] >= '0' && v[i+2] <= '9') && strings.IndexByte(v[:i], '.') < 0 && strings.LastIndexByte(v[:i], ' ') < i-3 {
		return b.s + i + 1
	}
	if strings.Count(v, " ") > 9 && v[len(v)-1] == '.' {
		return b.s
	}
	return b.e
}

// alone: the first line, not beginning with an amount, with a blank line after
// it, is a title whatever numbers it holds: "SAMOSAS (24)".
func (r *reader) alone(i int) bool {
	c := r.text[r.blocks[i].s]
	return i == 0 && len(r.blocks) > 1 && r.blocks[1].gap && (c < '0' || c > '9') && c < 0x80
}

// looksTitle: the first line, or in a letter the first short line that stands
// alone and is no sentence.
func (r *reader) looksTitle(i int) bool {
	b := r.blocks[i]
	v := r.low[b.s:b.e]
	if r.greets(b) {
		return false
	}
	if i == 0 {
		return true
	}
	next := i+1 >= len(r.blocks) || r.blocks[i+1].gap || r.text[r.blocks[i+1].s] == '(' || strings.HasPrefix(r.low[r.blocks[i+1].s:], "serves")
	words := strings.Count(v, " ")
	if y := r.yieldInTitle(r.scan(b.s, r.start(b.s, b.e, maxGlance))); y > 0 {
		words = y - 1
	}
	return b.gap && next && b.lines == 1 && words < 9 && strings.IndexByte(".,!?;:", v[len(v)-1]) < 0
}

// greets: the line of a letter that greets or takes leave.
func (r *reader) greets(b block) bool {
	v := r.low[b.s:b.e]
	for _, end := range valedictions {
		if rest, ok := strings.CutPrefix(v, end); ok && (rest == "" || rest[0] == ',' || rest[0] == '!') {
			return true
		}
	}
	for _, greeting := range []string{"hi", "hello", "dear", "hey", "good morning", "good evening", "good afternoon", "greetings"} {
		if rest, ok := strings.CutPrefix(v, greeting); ok && (rest == "" || rest[0] == ' ' || rest[0] == ',' || rest[0] == '!') {
			return true
		}
	}
	return false
}

// yieldInTitle gives the token where "serves 6" begins in "Stew - serves 6" and
// "Biscuits (makes 30)", 0 where there is none.
func (r *reader) yieldInTitle(t []token) int {
	for i := 2; i+1 < len(t); i++ {
		switch r.word(t, i) {
		case "servings", "portions", "people":
			if t[i-1].k == digits && t[i-2].c == '(' {
				return i - 1
			}
		case "serves", "feeds", "makes":
			if t[i-1].c == '(' || t[i-1].c == ',' || t[i-1].c == ':' || t[i-1].k == dash {
				return i
			}
		}
	}
	return 0
}

func (r *reader) setTitle(s, e int, sure float64) {
	t := r.scan(s, e)
	if i := r.yieldInTitle(t); i > 0 && r.b.Yield.At.IsZero() {
		at := Place{t[i].s, e}
		e = t[i-1].s
		if r.yieldWithin(at, true); r.b.Yield.At.IsZero() {
			e = at.End
		}
		t = r.scan(s, e)
	}
	r.b.Title = r.phrase(t, 0, len(t))
	if r.b.Title == "" {
		r.b.Title = r.clean(s, e)
	}
	r.b.TitleAt, r.b.TitleSure = Place{s, e}, sure
}

// titleYield reads "Fish pie for 6" and "Soup (serves 4)" where no line gives
// the yield.
func (r *reader) titleYield() {
	if r.b.Yield.At.IsZero() && !r.b.TitleAt.IsZero() && r.b.TitleSure >= 0.5 {
		r.yieldWithin(r.b.TitleAt, true)
	}
	for c := range r.b.Components {
		for _, st := range r.b.Components[c].Steps {
			if r.b.Yield.At.IsZero() {
				r.yieldWithin(st.At, false)
			}
		}
	}
	for _, list := range [][]Place{r.b.Intro, r.b.Notes} {
		for _, p := range list {
			if r.b.Yield.At.IsZero() {
				r.yieldWithin(p, false)
			}
		}
	}
}

// yieldWithin finds "serves 6" or "Makes 16." in a sentence, or in a title also
// "for 6".
func (r *reader) yieldWithin(p Place, title bool) {
	t := r.scan(p.Start, p.End)
	for i := range t {
		w := r.word(t, i)
		if (w == "for" || title && (w == "für" || w == "pour" || w == "para" || w == "per")) && r.servingsFor(t, i) {
			return
		}
		if (title || i == 0 || t[i-1].c == '.') && (t[i].k == digits || t[i].cls&isNumber != 0) { // "(1 person)", "2 people."
			if n, next, ok := r.number(t, i, false); ok && (r.word(t, next) == "person" || r.word(t, next) == "people" || r.word(t, next) == "portions" || r.word(t, next) == "servings") {
				r.b.Yield = Yield{Text: r.clean(t[i].s, t[next].e), Servings: measure.Exactly(n), At: Place{t[i].s, t[next].e}}
				return
			}
		}
		if !(title && w == "for") && w != "serves" && w != "feeds" && w != "servings" && w != "makes" && w != "yields" {
			continue
		}
		if w == "makes" || w == "yields" {
			if i == 0 || t[i-1].k != word {
				r.makes(t, i)
			}
			if !r.b.Yield.At.IsZero() {
				return
			}
			continue
		}
		from, _ := r.skipAbout(t, i+1)
		n, next, ok := r.number(t, from, false)
		if !ok || n.Cmp(measure.Whole(100)) > 0 {
			continue
		}
		rng := measure.Exactly(n)
		if hi, after, ok := r.rangeEnd(t, next); ok {
			rng, next = measure.Between(n, hi), after
		}
		if next >= len(t) || t[next].k == punct && t[next].c != '/' || r.isServing(t, next) {
			at := Place{t[i].s, t[next-1].e}
			r.b.Yield = Yield{Text: r.clean(at.Start, at.End), Servings: rng, At: at}
			return
		}
	}
}

// servingsFor reads "for about two adult portions" and "for 4 hungry people".
func (r *reader) servingsFor(t []token, i int) bool {
	from, _ := r.skipAbout(t, i+1)
	n, next, ok := r.number(t, from, false)
	if !ok || n.Cmp(measure.Whole(100)) > 0 {
		return false
	}
	rng := measure.Exactly(n)
	if hi, after, ok := r.rangeEnd(t, next); ok {
		rng, next = measure.Between(n, hi), after
	}
	if r.word(t, i-1) == "enough" && (next >= len(t) || t[next].k == punct) { // "Enough for two."
		at := Place{t[i].s, t[next-1].e}
		r.b.Yield = Yield{Text: r.clean(at.Start, at.End), Servings: rng, At: at}
		return true
	}
	for k := next; k < len(t) && k < next+2; k++ {
		switch r.word(t, k) {
		case "personen", "personnes", "personas", "persone", "people", "persons", "portions", "servings", "guests", "adults", "eaters":
			at := Place{t[i].s, t[k].e}
			r.b.Yield = Yield{Text: r.clean(at.Start, at.End), Servings: rng, At: at}
			return true
		}
	}
	return false
}

// maxBare is up to which number "Makes 8" is taken for servings; more are pieces.
const maxBare = 12

// makes reads "Makes about 16 bars." at the start of a sentence.
func (r *reader) makes(t []token, i int) {
	a, ok := r.amount(t, i+1, false)
	if !ok || r.isDuration(t, a) {
		return
	}
	end := r.clauseEnd(t, a.to)
	if end < len(t) && t[end].c != '.' && t[end].c != ')' && t[end].c != ',' && t[end].c != '!' {
		return
	}
	at := Place{t[i].s, t[max(end, a.to)-1].e}
	r.b.Yield = Yield{Text: r.clean(at.Start, at.End), Count: a.rng, Pieces: r.phrase(t, a.to, end), At: at}
	if a.unit == "serving" || a.unit == "" && r.b.Yield.Pieces == "" && a.rng.Max.Cmp(measure.Whole(maxBare)) <= 0 { // "Makes 8."
		r.b.Yield.Servings, r.b.Yield.Count, r.b.Yield.Pieces = a.rng, measure.Range{}, ""
	}
}

// titleCalled finds "it's called Smoky Bean Soup" in the first blocks of a letter.
func (r *reader) titleCalled() bool {
	for i := 0; i < len(r.blocks) && i < 4; i++ {
		t := r.scan(r.blocks[i].s, r.start(r.blocks[i].s, r.blocks[i].e, maxLine))
		for k := 1; k+1 < len(t); k++ {
			if w := r.word(t, k-1); w != "called" && w != "named" {
				continue
			}
			end, upper := k, k
			for end < len(t) && end < k+8 && t[end].k == word {
				if c := r.text[t[end].s]; c >= 'A' && c <= 'Z' {
					upper = end + 1
				} else if w := r.word(t, end); w != "and" && w != "with" && w != "of" && w != "in" && w != "the" {
					break
				}
				end++
			}
			if upper > k {
				r.setTitle(t[k].s, t[upper-1].e, 0.6)
				return true
			}
		}
	}
	return false
}

// title falls back to the first line or the first words.
func (r *reader) title() {
	if r.b.Title != "" {
		return
	}
	if len(r.blocks) == 0 {
		return
	}
	for i := 0; i < len(r.blocks) && i < 8; i++ { // the subject of a mail
		b := r.blocks[i]
		if strings.HasPrefix(r.low[b.s:b.e], "subject:") {
			s := b.s + len("subject:")
			for s < b.e {
				s = skipBlank(r.text, s, b.e)
				if v := r.low[s:b.e]; strings.HasPrefix(v, "re:") || strings.HasPrefix(v, "fw:") {
					s += 3
				} else if strings.HasPrefix(v, "fwd:") {
					s += 4
				} else {
					break
				}
			}
			if s < b.e && b.e-s <= 90 {
				r.setTitle(s, b.e, 0.6)
				return
			}
		}
	}
	if r.titleCalled() {
		return
	}
	b := r.blocks[0]
	for i := 1; i < len(r.blocks) && i < 10 && (r.mailHeader(b) || r.greets(b) && b.e-b.s < 40); i++ {
		b = r.blocks[i]
	}
	s, e := b.s, b.e
	if n := strings.IndexByte(r.text[s:e], '\n'); n > 0 {
		e = s + n
	}
	if e-s > 60 {
		cut := strings.LastIndexByte(r.text[s:s+60], ' ')
		if cut < 20 {
			cut = 60
			for cut > 0 && !utf8.RuneStart(r.text[s+cut]) {
				cut--
			}
		}
		e = s + cut
	}
	r.setTitle(s, e, 0.4)
}
