package recipe

import (
	"strings"
	"unicode/utf8"

	"fairladle/challenge/pantry"
)

// names masks the given names, whole and in parts.
func (m *masker) names(names []string) {
	whole := [][]string{}
	parts := map[string]bool{}
	for _, n := range names {
		var fs []string
		for _, w := range appendWords(nil, n) {
			f := pantry.Fold(n[w.s:w.e])
			fs = append(fs, f)
			if utf8.RuneCountInString(f) >= 3 && !particles[f] {
				parts[f] = true
			}
		}
		if len(fs) > 1 {
			whole = append(whole, fs)
		}
		for field := range strings.FieldsSeq(n) { // Anne-Marie, O'Brien
			var part []string
			for _, w := range appendWords(nil, field) {
				part = append(part, pantry.Fold(field[w.s:w.e]))
			}
			if len(part) > 1 {
				whole = append(whole, part)
			}
		}
	}
	first := map[string][][]string{}
	for _, fs := range whole {
		first[fs[0]] = append(first[fs[0]], fs)
	}
	for i := 0; i < len(m.words) && len(parts)+len(whole) > 0; i++ {
		w, fold := m.words[i], m.fold(i)
		if n := m.wholeName(i, first[fold]); n > 0 {
			m.add(w.s, m.words[i+n-1].e, NameMark)
			i += n - 1
			continue
		}
		if !parts[fold] {
			continue
		}
		if commonWord(fold) && !m.clearlyPerson(i) {
			continue
		}
		m.add(w.s, w.e, NameMark)
	}
}

// particles of names are no names on their own.
var particles = map[string]bool{"van": true, "von": true, "der": true, "den": true, "del": true, "dos": true, "the": true,

	"and": true, "mrs": true, "miss": true, "jnr": true, "chef": true, "from": true, "for": true, "with": true, "not": true}

func (m *masker) wholeName(i int, candidates [][]string) int {
	best := 0
next:
	for _, fs := range candidates {
		if i+len(fs) > len(m.words) || len(fs) <= best {
			continue
		}
		for k, f := range fs {
			if m.fold(i+k) != f || k > 0 && !nameGap(m.text[m.words[i+k-1].e:m.words[i+k].s]) {
				continue next
			}
		}
		best = len(fs)
	}
	return best
}

// nameGap reports what may stand between the words of one name.
func nameGap(s string) bool { return len(s) <= 3 && strings.Trim(s, " .-'’") == "" }

// commonWord reports a name that is also a food, a word of recipes or a plain
// English word.
func commonWord(fold string) bool {
	stem := []string{pantry.Stem(fold)}
	return pantry.Food(stem) > 0 || lexicon()[fold] != 0
}

// clearlyPerson looks around word i for signs of a person: it is capitalised,
// and in the possessive, after "by", "from" or a title, before or after another
// masked name, or alone on a line.
func (m *masker) clearlyPerson(i int) bool {
	w := m.words[i]
	if !w.capped {
		return false
	}
	rest := m.text[w.e:]
	if strings.HasPrefix(rest, "'s ") || strings.HasPrefix(rest, "’s ") {
		return true
	}
	if i > 0 && w.s-m.words[i-1].e <= 2 {
		p := m.words[i-1]
		switch fold := m.fold(i - 1); fold {
		case "by", "love", "i", "m", "am", "chef", "aunt", "auntie", "uncle", "grandma", "granny", "nana", "grandpa", "mrs", "mr", "ms", "dr", "miss",
			"named", "called", "cheers", "regards", "xx", "xoxo", "thanks", "hi", "dear", "wishes", "yours", "sincerely":
			return !(fold == "love" && strings.TrimSpace(m.text[p.e:w.s]) == "" && !strings.Contains(m.text[p.e:w.s], "\n"))
		case "is":
			return m.is(i-2, "name")
		}
		if n := len(m.spans); n > 0 && m.spans[n-1].End == p.e && m.spans[n-1].mark == NameMark {
			return true
		}
	}
	return m.aloneOnLine(w)
}

// aloneOnLine: the word is all there is on its line, apart from marks, near the
// end of the text and not one more item of a list.
func (m *masker) aloneOnLine(w maskWord) bool {
	const reach = 40 // a longer line holds more than the word; looking no further keeps this linear
	from, to := max(0, w.s-reach), min(len(m.text), w.e+reach)
	s := from + strings.LastIndexByte(m.text[from:w.s], '\n') + 1
	if w.s < m.tail || s == from && from > 0 {
		return false
	}
	e := to
	if k := strings.IndexByte(m.text[w.e:to], '\n'); k >= 0 {
		e = w.e + k
	}
	alone := strings.Trim(m.text[s:e], " \t\r-–—~*_.,!x")
	return alone == m.text[w.s:w.e] && !strings.Contains(m.text[s:w.s], "* ") && m.afterGap(s)
}

// tailStart is where the last three lines with text begin; 0 for a text that is
// no longer than that, which then has no tail.
func tailStart(text string) int {
	e := len(strings.TrimRight(text, " \t\r\n"))
	for range 3 {
		s := strings.LastIndexByte(text[:e], '\n')
		if s < 0 {
			break
		}
		e = len(strings.TrimRight(text[:s], " \t\r\n"))
	}
	return e
}
