package recipe

import (
	"html"
	"strings"

	"fairladle/challenge/measure"
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
	p = r.pieceOf(t, r.leadingPreparation(t, p, sp.to, in, rest))
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
		case k.c == '(' || k.c == ';' || k.c == ')' || k.c == '=' || k.c == '|':
			break walk
		case k.c == '+' && p+1 < sp.to && (t[p+1].k == digits || t[p+1].k == vulgar || r.word(t, p+1) == "more" || r.word(t, p+1) == "extra"):
			break walk
		case k.c == '.' && !k.space && p > start && t[p-1].e-t[p-1].s == 1 && p+1 < sp.to && t[p+1].k == word: // S.R. flour
		case k.c == '.' && p > start && t[p-1].cls&isShort != 0 && p+1 < sp.to && t[p+1].k == word: // veg. oil
		case k.c == ':' || k.c == '.' && (p+1 >= sp.to || t[p+1].space):
			break walk
		case k.c == ',':
			if (in.Amount.IsZero() || r.eachOf(t, sp.from, start)) && p > start && (r.foodFollows(t, p+1, sp.to) || r.foodsListed(t, start, sp.to)) {
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
					p = r.unitOf(t, q)
					continue
				}
				return p
			case "of", "each", "the", "your", "some", "a", "an", "any", "enough", "favorite", "favourite", "more", "additional", "extra":
				if w := r.word(t, p); w == "extra" && (r.word(t, p+1) == "virgin" || p+1 < to && (t[p+1].k == dash || t[p+1].cls&isKeep != 0)) {
					return p
				}
				p++
				continue
			}
			return p
		}
		if t[p].k == punct && t[p].c != '(' && !(t[p].c == '"' && quoted(t[p+1:to])) || t[p].k == dash {
			p++
			continue
		}
		return p
	}
	return p
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
		case '*', '_', '[', ']', '`', '<', '\n', '\t', '\\', 0xc2, '&':
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
	if strings.IndexByte(v, '&') >= 0 && strings.IndexByte(v, ';') >= 0 {
		return html.UnescapeString(b.String())
	}
	return b.String()
}
