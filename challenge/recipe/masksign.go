package recipe

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"fairladle/challenge/pantry"
)

func (m *masker) line(i int) (s, e int) {
	s = strings.LastIndexByte(m.text[:i], '\n') + 1
	e = len(m.text)
	if k := strings.IndexByte(m.text[i:], '\n'); k >= 0 {
		e = i + k
	}
	return s, e
}

// afterGap: the line before is blank or a greeting, so this is not one more list
// item.
func (m *masker) afterGap(s int) bool {
	if s == 0 {
		return false
	}
	ps, pe := m.line(s - 1)
	prev := strings.TrimSpace(m.text[ps:pe])
	return prev == "" || strings.HasSuffix(prev, ",")
}

// valedictions open a signature, the longer ones first.
var valedictions = []string{"yours sincerely", "happy cooking", "kind regards", "best regards", "best wishes", "warm regards",

	"yours truly", "many thanks", "bon appetit", "thank you", "sincerely", "regards", "cheers", "warmly", "thanks", "yours",
	"enjoy", "love", "best", "xoxo", "xo", "xx"}

// signatures masks the name under "Kind regards," and "Love, Anna" at the end.
func (m *masker) signatures() {
	body := strings.TrimRight(m.text, " \t\r\n")
	for n, e := 0, len(body); n < 6 && e > 0; n++ {
		s := strings.LastIndexByte(body[:e], '\n') + 1
		line := strings.TrimSpace(body[s:e])
		if line != "" {
			m.signatureLine(s, e, line)
		}
		e = max(s-1, 0)
	}
}

func (m *masker) signatureLine(s, e int, line string) {
	low := strings.ToLower(line)
	if strings.HasPrefix(low, "sent from my") {
		m.add(s, e, NameMark)
		return
	}
	for _, v := range valedictions {
		rest, ok := strings.CutPrefix(low, v)
		if !ok || rest != "" && rest[0] != ',' && rest[0] != '!' && rest[0] != ' ' && rest[0] != '-' {
			continue
		}
		at := s + strings.Index(m.text[s:e], line)
		nameFrom := at + len(v)
		if strings.Trim(rest, " ,!.-") != "" && rest[0] != ' ' {
			if name := strings.TrimLeft(m.text[nameFrom:at+len(line)], " ,!-"); properNames(name) {
				end := at + len(line)
				m.add(end-len(name), end, NameMark)
			}
			return
		}
		if strings.Trim(rest, " ,!.-") == "" && (rest != "" || v != "best" && v != "enjoy") { // the name is on the next line
			if ns, ne := m.nextLine(e); ns < ne {
				name := strings.Trim(m.text[ns:ne], " \t\r*_-")
				if properNames(name) {
					k := ns + strings.Index(m.text[ns:ne], name)
					m.add(k, k+len(name), NameMark)
				}
			}
		}
		return
	}
	if m.closes(s) && properNames(line) && !commonWord(pantry.Fold(line)) {
		k := s + strings.Index(m.text[s:e], line)
		m.add(k, k+len(line), NameMark)
		return
	}
	if streetLine(low) {
		k := s + strings.Index(m.text[s:e], line)
		m.add(k, k+len(line), AddressMark)
		return
	}
	if name := strings.TrimLeft(line, "-–—~ "); name != line && properNames(name) && m.afterGap(s) && strings.Count(strings.TrimSpace(m.text[e:]), "\n") == 0 {
		if commonWord(pantry.Fold(name)) {
			return
		}
		k := s + strings.Index(m.text[s:e], name)
		m.add(k, k+len(name), NameMark)
	}
}

// closes reports that the line above the one at s takes leave: "Hope you like it!".
func (m *masker) closes(s int) bool {
	if s == 0 {
		return false
	}
	ps, pe := m.line(s - 1)
	low := strings.ToLower(strings.TrimSpace(m.text[ps:pe]))
	for _, v := range []string{"hope you", "hope this", "good luck", "looking forward", "let me know", "thank you", "thanks"} {
		if strings.HasPrefix(low, v) {
			return true
		}
	}
	return false
}

// streetLine reports "12 Station Road": a number, a few words and a word for a
// street, and nothing else.
func streetLine(low string) bool {
	ws := strings.Fields(strings.TrimRight(low, ".,"))
	if len(ws) < 3 || len(ws) > 5 || low[0] < '0' || low[0] > '9' {
		return false
	}
	switch strings.TrimRight(ws[len(ws)-1], ".,") {
	case "road", "rd", "street", "st", "avenue", "ave", "lane", "drive", "close", "crescent", "terrace", "square", "court", "way", "gardens":
		return true
	}
	return false
}

func (m *masker) nextLine(e int) (int, int) {
	for e < len(m.text) && (m.text[e] == '\n' || m.text[e] == '\r' || m.text[e] == ' ') {
		e++
	}
	return m.lineFrom(e)
}

func (m *masker) lineFrom(s int) (int, int) {
	if s >= len(m.text) {
		return s, s
	}
	_, e := m.line(s)
	return s, e
}

// properNames reports one to four capitalised words and nothing else.
func properNames(s string) bool {
	ws := strings.Fields(strings.TrimRight(s, ".,!"))
	if len(ws) == 0 || len(ws) > 4 {
		return false
	}
	for _, w := range ws {
		u, _ := utf8.DecodeRuneInString(w)
		if !unicode.IsUpper(u) || strings.ContainsAny(w, "0123456789:()") {
			return false
		}
	}
	return true
}

// creditVerbs before "by" say that a person follows.
var creditVerbs = map[string]bool{"recipe": true, "submitted": true, "posted": true, "contributed": true, "created": true,

	"written": true, "made": true, "sent": true, "shared": true, "entry": true, "entered": true, "photo": true, "author": true,
	"prepared": true, "cooked": true, "developed": true, "invented": true, "dish": true}

// credits masks the capitalised words after "recipe by", "submitted by", "from
// the kitchen of", "author:".
func (m *masker) credits() {
	for i := 1; i < len(m.words); i++ {
		w := m.words[i-1]
		start := -1
		switch {
		case m.is(i-1, "by") && i > 1 && creditVerbs[m.fold(i-2)]:
			start = i
		case m.is(i-1, "of") && m.is(i-2, "kitchen"):
			start = i
		case m.is(i-1, "author") && strings.HasPrefix(strings.TrimLeft(m.text[w.e:min(len(m.text), w.e+2)], " "), ":"):
			s, e := w.e+1, 0
			_, e = m.line(s)
			s = skipBlank(m.text, s, e)
			if s < e && e-s < 80 {
				m.add(s, e, NameMark)
			}
			continue
		}
		if start < 0 {
			continue
		}
		end := start
		for end < len(m.words) && end < start+4 && m.words[end].capped && (end == start || m.words[end].s-m.words[end-1].e <= 2 && !strings.ContainsAny(m.text[m.words[end-1].e:m.words[end].s], "\n,;:")) {
			end++
		}
		if end > start {
			m.add(m.words[start].s, m.words[end-1].e, NameMark)
		}
	}
}
