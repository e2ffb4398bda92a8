package recipe

import (
	"strings"

	"fairladle/challenge/measure"
	"fairladle/challenge/pantry"
)

// name fills name, preparation, notes and marks from the token spans that the
// amount left over; the first span holds the name.
func (r *reader) name(t []token, spans []span, in *Ingredient) {
	var rest restBuilder
	for n, sp := range spans {
		from := sp.from
		if n == 0 {
			from = r.head(t, sp, in, &rest)
		}
		r.rest(t, span{from, sp.to}, in, &rest)
	}
	if in.Name == "" && in.Unit != "" && measure.KindOf(in.Unit) == measure.Count { // "3 cloves" is the spice
		r.unitAsName(in)
	}
	in.Preparation, in.Note = join(rest.preps), join(rest.notes)
	r.postposedUnit(in)
}

// head reads the name at the front of the span and gives the token after it.
func (r *reader) head(t []token, sp span, in *Ingredient, rest *restBuilder) int {
	p := r.skipFiller(t, sp.from, sp.to)
	p = r.leadingNote(t, p, sp.to, rest)
	if p < sp.to && t[p].link {
		return r.linkName(t, p, sp.to, in)
	}
	p = r.leadingPreparation(t, p, sp.to, in, rest)
	p = r.leadingNote(t, p, sp.to, rest)
	start, holes := p, 0
	var pieces []span
	end := p
	onlyAdj := true
walk:
	for p < sp.to {
		k := t[p]
		w := r.low[k.s:k.e]
		switch {
		case k.k == word && r.compoundAdjective(t, p, sp.to):
			p += 3
			end = p
			continue
		case k.k == dash:
			if !k.space && p > start && p+1 < sp.to && !t[p+1].space && t[p+1].k == word { // half of a compound
				onlyAdj = false
				p += 2
				end = p
				continue
			}
			if k.space && p+1 < sp.to && t[p+1].space || p+1 >= sp.to {
				break walk
			}
		case k.c == '(' && p > start && holes < 2 && r.nameAfterBrackets(t, p, sp.to):
			q := p + 1
			for t[q].c != ')' {
				q++
			}
			pieces = append(pieces, span{start, end})
			rest.note(r.phrase(t, p+1, q))
			holes++
			start, p, end = q+1, q+1, q+1
			continue
		case k.c == '(' || k.c == ';' || k.c == ')' || k.c == '=':
			break walk
		case k.c == '+' && p+1 < sp.to && (t[p+1].k == digits || t[p+1].k == vulgar):
			break walk
		case k.c == ':' || k.c == '.' && (p+1 >= sp.to || t[p+1].space):
			break walk
		case k.c == ',':
			if in.Amount.IsZero() && p > start && (r.foodFollows(t, p+1, sp.to) || r.foodsListed(t, start, sp.to)) {
				break
			}
			if !onlyAdj || p == start || p+1 >= sp.to || t[p+1].cls&isKeep == 0 && !r.compoundAdjective(t, p+1, sp.to) {
				break walk
			}
			if t[p+1].cls&isPrep != 0 && t[p+1].cls&isKeep == 0 {
				break walk
			}
		case k.k != word:
			onlyAdj = false
		case w == "or" && p > start+1 && t[p-1].c == '/' && r.word(t, p-2) == "and":
		case w == "or":
			if !r.sharedHead(t, start, p, sp.to) {
				break walk
			}
			onlyAdj = false
		case w == "of" && r.ofChoice(t, p+1):
			break walk
		case w == "mixed" && p > start && (p+1 >= sp.to || t[p+1].k != word || t[p+1].cls&isStop != 0):
			break walk
		case k.cls&isSize != 0 && onlyAdj && p > start && k.cls&isKeep == 0 && p+1 < sp.to && t[p+1].k == word:
			pieces = append(pieces, span{start, p})
			in.Size = r.phrase(t, p, p+1)
			start, p, end = p+1, p+1, p+1
			continue
		case w == "and" && p+1 < sp.to && (t[p+1].k == digits || t[p+1].k == vulgar):
			break walk
		case k.cls&isStop != 0 && !(p == start):
			break walk
		case k.cls&(isPrep|isAdverb) != 0 && p > start:
			q := r.preparationRun(t, p, sp.to)
			if q == p {
				if k.cls&isKeep == 0 {
					onlyAdj = false
				}
				break
			}
			if !onlyAdj && k.cls&isKeep != 0 && q < sp.to && t[q].k == word && t[q].cls&isStop == 0 {
				break // "Frank's hot sauce"
			}
			if onlyAdj && k.cls&isKeep != 0 && q < sp.to && t[q].k == word {
				break
			}
			if onlyAdj && q < sp.to && t[q].k == word && t[q].cls&isStop == 0 { // fresh chopped basil
				if p > start && holes < 2 {
					pieces = append(pieces, span{start, p})
					rest.prep(r.phrase(t, p, q))
					holes++
					start, p, end = q, q, q
					continue
				}
			}
			break walk
		default:
			if k.cls&isKeep == 0 {
				onlyAdj = false
			}
		}
		p++
		if t[p-1].c != ',' && t[p-1].k != dash {
			end = p
		}
	}
	if end > start {
		pieces = append(pieces, span{start, end})
	}
	if len(pieces) == 0 {
		return p
	}
	if len(pieces) == 1 {
		in.Name = r.phrase(t, pieces[0].from, pieces[0].to)
	} else {
		var b strings.Builder
		for i, pc := range pieces {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(r.phrase(t, pc.from, pc.to))
		}
		in.Name = b.String()
	}
	in.NameAt = Place{t[pieces[0].from].s, t[pieces[len(pieces)-1].to-1].e}
	return p
}

// nameAfterBrackets reports that the name goes on behind the brackets at p:
// "waxy (firm) potatoes".
func (r *reader) nameAfterBrackets(t []token, p, to int) bool {
	if r.knownFood(t, p-1) {
		return false
	}
	for q := p + 1; q < to && q < p+10; q++ {
		if t[q].c == ')' {
			return q+1 < to && t[q+1].k == word && t[q+1].cls&(isStop|isPrep|isAdverb) == 0 && r.word(t, q+1) != "and"
		}
	}
	return false
}

// compoundAdjective reports "bone-in", "skin-on", "low-fat" and the like at p.
func (r *reader) compoundAdjective(t []token, p, to int) bool {
	if p+2 >= to || t[p+1].k != dash || t[p+1].space || t[p+2].space {
		return false
	}
	switch r.word(t, p+2) {
	case "in", "on", "free", "fat", "style", "range", "quality", "ripened", "purpose", "rising", "raising", "grain", "leaf", "fed", "firm", "dried", "cured", "smoked":
		return true
	}
	return false
}

// ofChoice reports "choice", "your choosing" and the like after "of".
func (r *reader) ofChoice(t []token, i int) bool {
	if r.word(t, i) == "your" {
		i++
	}
	switch r.word(t, i) {
	case "choice", "choosing", "preference", "liking":
		return true
	}
	return false
}

// linkName takes the whole text of a link as the name.
func (r *reader) linkName(t []token, p, to int, in *Ingredient) int {
	start := p
	for p < to && (t[p].link || p > start && t[p].k == word && t[p].cls&isStop == 0 && p <= start+8 && t[p-1].k == word && t[p].cls&(isPrep|isAdverb) == 0 || t[p].c == '/' && p+1 < to || p > start && t[p-1].c == '/' && t[p].k == word) {
		p++
	}
	in.Name = r.phrase(t, start, p)
	in.NameAt = Place{t[start].s, t[p-1].e}
	return p
}

// leadingNote moves "(or less)" from before the name into the notes.
func (r *reader) leadingNote(t []token, p, to int, rest *restBuilder) int {
	if p >= to || t[p].c != '(' {
		return p
	}
	for q := p + 1; q < to; q++ {
		if t[q].c == ')' {
			if q+1 >= to || t[q+1].k != word {
				return p
			}
			rest.note(r.phrase(t, p+1, q))
			return r.skipFiller(t, q+1, to)
		}
	}
	return p
}

// unitAsName takes the unit word as the name where nothing else is there.
func (r *reader) unitAsName(in *Ingredient) {
	s, e := in.AmountAt.Start, in.AmountAt.End
	v := strings.TrimRight(r.text[s:e], " .")
	i := strings.LastIndexAny(v, " \t")
	if i < 0 || in.Amount.IsZero() {
		return
	}
	in.Name, in.NameAt, in.Unit = v[i+1:], Place{s + i + 1, s + len(v)}, ""
	in.AmountAt.End = s + i
}

// maxFiller bounds how many words are skipped, or a text of nothing but "a a a"
// would take quadratic time.
const maxFiller = 12

// skipFiller skips "of", "the", punctuation and the like before a name.
func (r *reader) skipFiller(t []token, p, to int) int {
	for n := 0; p < to && n < maxFiller; n++ {
		if t[p].k == word {
			switch r.low[t[p].s:t[p].e] {
			case "good", "little", "few", "bit", "lot", "lots", "couple", "plenty":
				if q := r.quantityWords(t, p); q > p {
					p = q
					continue
				}
				return p
			case "of", "each", "the", "your", "some", "a", "an", "any", "favorite", "favourite", "more", "additional", "extra":
				if w := r.word(t, p); w == "extra" && (r.word(t, p+1) == "virgin" || p+1 < to && (t[p+1].k == dash || t[p+1].cls&isKeep != 0)) {
					return p
				}
				p++
				continue
			}
			return p
		}
		if t[p].k == punct && t[p].c != '(' || t[p].k == dash {
			p++
			continue
		}
		return p
	}
	return p
}

// quantityWords skips "little", "good bit of", "few", which give no number.
func (r *reader) quantityWords(t []token, p int) int {
	q := p
	for r.word(t, q) == "good" || r.word(t, q) == "little" {
		q++
	}
	switch r.word(t, q) {
	case "few", "bit", "lot", "lots", "couple", "plenty":
		return q + 1
	}
	if r.word(t, p) == "little" && q == p+1 {
		return q
	}
	return p
}

// leadingPreparation moves "finely chopped", "large", "peeled and diced" from
// before the name.
func (r *reader) leadingPreparation(t []token, p, to int, in *Ingredient, rest *restBuilder) int {
	for p < to {
		if t[p].cls&isSize != 0 && p+1 < to {
			q := p + 1
			if t[q].k == dash && !t[q].space && !(q+1 < to && (t[q+1].cls&isSize != 0 || r.word(t, q+1) == "sized" || r.word(t, q+1) == "size")) {
				return p // medium-firm
			}
			for q < to && !(t[q].cls&isSize != 0 && q+2 < to && t[q+1].k == dash && !t[q+1].space && t[q+2].cls&isSize == 0 && r.word(t, q+2) != "sized") && (t[q].k == dash || t[q].c == '.' && !t[q].space || r.word(t, q) == "sized" || r.word(t, q) == "size" || (r.word(t, q) == "to" || r.word(t, q) == "or" || t[q].c == '/') && q+1 < to && t[q+1].cls&isSize != 0 || t[q].cls&isSize != 0) {
				q++
			}
			if q >= to || t[q].k != word && t[q].c != ',' && t[q].c != '(' {
				return p
			}
			if in.Size == "" {
				in.Size = r.phrase(t, p, q)
			}
			p = q
			if t[p].c == ',' {
				p++
			}
			continue
		}
		if t[p].k == word && p+2 < to && (r.word(t, p+1) == "sized" || t[p+1].k == dash && r.word(t, p+2) == "sized") { // reasonably sized
			q := p + 2
			if t[p+1].k == dash {
				q = p + 3
			}
			in.Size, p = r.phrase(t, p, q), q
			continue
		}
		q := r.preparationRun(t, p, to)
		if q == p || q >= to || !r.nounAfter(t, q, to) || r.keepsPreparation(t, p, q, to) {
			return p
		}
		rest.prep(r.phrase(t, p, q))
		if in.Unit == "" && !in.Amount.IsZero() { // 3 peeled cloves garlic
			if u, next, ok := r.unit(t, q); ok && next < to && (t[next].k == word) && (postposed[r.word(t, q)] != "" || r.word(t, next) == "of") {
				in.Unit = u
				p = r.skipFiller(t, next, to)
				continue
			}
		}
		if t[q].c == ',' {
			q++
		}
		p = q
		if r.word(t, p) == "of" {
			p++
		}
	}
	return p
}

// nounAfter reports whether a name can start at token q.
func (r *reader) nounAfter(t []token, q, to int) bool {
	if t[q].c == ',' {
		q++
	}
	return q < to && t[q].k == word && (t[q].cls&isStop == 0)
}

// keepsPreparation: minced or ground meat is bought like that, and so are hot
// sauce and crushed tomatoes.
func (r *reader) keepsPreparation(t []token, p, q, to int) bool {
	if q != p+1 {
		return false
	}
	next := r.word(t, q)
	switch r.word(t, p) {
	case "minced":
		switch next {
		case "beef", "lamb", "pork", "meat", "turkey", "chicken", "veal":
			return true
		}
	case "hot":
		switch next {
		case "sauce", "pepper", "peppers", "chili", "chilli", "chile", "dog", "dogs", "paprika", "mustard", "italian", "curry", "chilies", "chiles":
			return true
		}
	case "crushed":
		switch next {
		case "tomatoes", "red", "tomato", "pineapple", "chili", "chilli":
			return true
		}
	case "whipped", "sieved", "strained", "roasted":
		switch next {
		case "cream", "tomatoes", "peanuts", "yogurt":
			return true
		}
	case "split":
		return next == "peas" || next == "lentils" || next == "pea"
	case "cold", "warm":
		return next == "cuts"
	case "baked", "fried", "refried":
		switch next {
		case "beans", "onions", "shallots":
			return true
		}
	}
	return false
}

// preparationRun gives the end of a run like "peeled and very finely chopped"
// at p, or p where there is none.
func (r *reader) preparationRun(t []token, p, to int) int {
	end := p
	for q := p; q < to; {
		switch {
		case q+2 < to && t[q].k == word && t[q+1].k == dash && !t[q+1].space && !t[q+2].space && t[q+2].cls&isPrep != 0 &&
			(t[q+2].cls&isKeep == 0 || r.word(t, q) == "un" || r.word(t, q) == "pre" || r.word(t, q) == "par"):
			q += 3 // fresh-squeezed
			end = q
		case t[q].cls&isPrep != 0 && t[q].k == word:
			q++
			end = q
		case t[q].cls&isAdverb != 0:
			q++
		case q > p && (r.word(t, q) == "and" || r.word(t, q) == "or" || t[q].c == '&' || t[q].c == ',' || t[q].k == dash || t[q].c == '/') &&
			q+1 < to && t[q+1].cls&(isPrep|isAdverb) != 0:
			q++
		case q > p && t[q].k == dash && !t[q].space:
			q++
		case r.word(t, q) == "room" && r.word(t, q+1) == "temperature":
			q += 2
			end = q
		default:
			return end
		}
	}
	return end
}

// foodsListed reports a line of three or more short names, the last one known:
// "Marjoram, mace, pepper".
func (r *reader) foodsListed(t []token, p, to int) bool {
	names, words := 1, 0
	for q := p; q < to && q < p+24; q++ {
		switch {
		case t[q].c == ',':
			if words == 0 || words > 2 {
				return false
			}
			names, words = names+1, 0
		case t[q].k == word && t[q].cls&(isPrep|isStop|isAdverb|isSize|isKeep) == 0:
			words++
		default:
			return false
		}
	}
	return names >= 3 && words > 0 && words <= 2 && r.knownFood(t, to-1)
}

// foodFollows reports whether one known food and nothing else follows up to the
// next comma: "Salt, pepper".
func (r *reader) foodFollows(t []token, p, to int) bool {
	q := p
	for q < to && q < p+4 && t[q].k == word {
		if t[q].cls&(isPrep|isStop|isAdverb|isSize) != 0 {
			return false
		}
		q++
	}
	if q == p || q < to && t[q].c != ',' {
		return false
	}
	var buf [4]string
	stems := buf[:0]
	for _, k := range t[p:q] {
		stems = append(stems, pantry.Stem(pantry.Fold(r.low[k.s:k.e])))
	}
	return pantry.Food(stems) == len(stems)
}

// headWords are nouns that several alternatives share: "vegetable or canola oil".
var headWords = map[string]bool{"oil": true, "broth": true, "stock": true, "flour": true, "vinegar": true, "wine": true,
	"sugar": true, "onion": true, "onions": true, "pepper": true, "peppers": true, "cheese": true, "milk": true, "cream": true,
	"beans": true, "lettuce": true, "sauce": true, "juice": true, "powder": true, "bread": true, "potatoes": true, "potato": true,
	"tomatoes": true, "rice": true, "salt": true, "yogurt": true, "mustard": true, "seeds": true, "nuts": true, "apples": true,
	"chard": true, "beef": true, "sausage": true, "cabbage": true, "stick": true, "noodles": true, "pasta": true, "syrup": true,
	"honey": false, "chiles": true, "chilies": true, "chile": true, "tortillas": true, "breast": true, "breasts": true, "thighs": true}

// wholeFoods never stand before a shared head.
var wholeFoods = map[string]bool{"butter": true, "ghee": true, "lard": true, "margarine": true, "water": true, "salt": true,
	"yogurt": true, "yoghurt": true, "shortening": true, "honey": true, "sugar": true, "cornstarch": true, "mayonnaise": true,
	"ketchup": true, "fat": true, "paprika": true, "milk": true, "tofu": true, "bacon": true, "ham": true, "mayo": true}

// sharedHead reports whether the "or" at token p joins words before one head,
// so that the alternatives stay whole.
func (r *reader) sharedHead(t []token, start, p, to int) bool {
	if p == start || p+1 >= to {
		return false
	}
	before := r.word(t, p-1)
	if headWords[before] && t[p-1].cls&isMod == 0 || wholeFoods[before] {
		return false
	}
	last := p
	for q := p + 1; q < to && q <= p+5; q++ {
		if t[q].k == dash && !t[q].space || t[q].c == '/' {
			continue
		}
		if t[q].k != word || t[q].cls&isStop != 0 && r.word(t, q) != "or" {
			break
		}
		last = q
	}
	if last <= p+1 || p-start > 2 {
		return false
	}
	if headWords[r.word(t, last)] {
		return true
	}
	// "fresh or pickled beets", "button or brown mushrooms": what stands before
	// is no food of its own.
	return t[p-1].cls&(isKeep|isMod) != 0 || !r.knownFood(t, p-1)
}

func (r *reader) knownFood(t []token, i int) bool {
	stem := [1]string{pantry.Stem(pantry.Fold(r.word(t, i)))}
	return pantry.Food(stem[:]) == 1
}

// postposed units come after the name: "garlic cloves".
var postposed = map[string]string{"clove": "clove", "cloves": "clove", "stalk": "stalk", "stalks": "stalk",
	"sprig": "sprig", "sprigs": "sprig", "slice": "slice", "slices": "slice", "stick": "stick", "sticks": "stick"}

func (r *reader) postposedUnit(in *Ingredient) {
	if in.Unit != "" || in.Amount.IsZero() {
		return
	}
	i := strings.LastIndexByte(in.Name, ' ')
	if i <= 0 {
		return
	}
	u, ok := postposed[strings.ToLower(in.Name[i+1:])]
	if !ok || lexicon()[strings.ToLower(in.Name[:i])]&(isKeep|isSize) != 0 { // "whole cloves" is the spice
		return
	}
	in.Unit, in.Name = u, in.Name[:i]
	in.NameAt.End = in.NameAt.Start + len(in.Name)
}

// quoted reports a closing quotation mark among the tokens.
func quoted(t []token) bool {
	for i := 0; i < len(t) && i < 8; i++ {
		if t[i].c == '"' {
			return true
		}
	}
	return false
}

// phrase writes tokens [from, to) as they stand in the text, without emphasis
// and link marks and with single blanks.
func (r *reader) phrase(t []token, from, to int) string {
	for from < to && (t[from].k == punct && t[from].c != '(' && !(t[from].c == '"' && quoted(t[from+1:to])) || t[from].k == dash) {
		from++
	}
	for to > from && (t[to-1].k == punct && t[to-1].c != ')' && t[to-1].c != '"' && t[to-1].c != '%' || t[to-1].k == dash) {
		to--
	}
	if from >= to {
		return ""
	}
	v := r.text[t[from].s:t[to-1].e]
	plain := true
	for i := 0; i < len(v) && plain; i++ {
		switch v[i] {
		case '*', '_', '[', ']', '`', '<', '\n', '\t', '\\', 0xc2:
			plain = false
		case ' ':
			plain = i+1 >= len(v) || v[i+1] != ' '
		}
	}
	if plain {
		return v
	}
	var b strings.Builder
	for i := from; i < to; i++ {
		if t[i].space && i > from {
			b.WriteByte(' ')
		}
		b.WriteString(r.text[t[i].s:t[i].e])
	}
	return b.String()
}

// restBuilder gathers what is not the name.
type restBuilder struct {
	preps, notes []string
}

func (b *restBuilder) prep(s string) {
	if s != "" {
		b.preps = append(b.preps, s)
	}
}

func (b *restBuilder) note(s string) {
	if s != "" {
		b.notes = append(b.notes, s)
	}
}

func join(s []string) string {
	if len(s) == 1 {
		return s[0]
	}
	return strings.Join(s, ", ")
}

// rest sorts what follows the name into preparation, alternatives, marks, notes.
func (r *reader) rest(t []token, sp span, in *Ingredient, out *restBuilder) {
	for p := sp.from; p < sp.to; {
		q, depth := p, 0
		for q < sp.to {
			c := t[q].c
			if c == '(' || c == ')' || t[q].k == punct && (c == ',' || c == ';') {
				break
			}
			if c == '.' && q+1 < sp.to && t[q+1].space && depth == 0 {
				break
			}
			q++
		}
		if q > p {
			r.remark(t, p, q, in, out)
		}
		p = q + 1
	}
}

func (r *reader) remark(t []token, p, q int, in *Ingredient, out *restBuilder) {
	s := r.phrase(t, p, q)
	if s == "" {
		return
	}
	prep := false
	for i := p; i < q; i++ {
		w := r.word(t, i)
		switch {
		case w == "optional" || w == "optionally" || w == "desired":
			in.Optional = true
			if q-p == 1 {
				return
			}
		case w == "taste" && r.word(t, i-1) == "to":
			in.ToTaste = true
		case w == "divided" && q-p == 1:
			in.Divided = true
		case t[i].cls&isPrep != 0 || w == "temperature" || w == "into" || w == "removed":
			prep = true
		}
	}
	if r.word(t, p) == "or" {
		if alt := r.phrase(t, p+1, q); alt != "" {
			in.Alternatives = append(in.Alternatives, alt)
		}
		out.notes = append(out.notes, s)
		return
	}
	if prep && (t[p].cls&isAbout == 0 || t[p].cls&isPrep != 0 || p+1 < q && t[p+1].cls&isPrep != 0) {
		out.prep(s)
		return
	}
	out.notes = append(out.notes, s)
}
