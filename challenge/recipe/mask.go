package recipe

import (
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"fairladle/challenge/pantry"
)

// The neutral marks that Mask leaves.
const (
	NameMark    = "[name]"
	AddressMark = "[address]"
	PhoneMark   = "[phone]"
)

// Mask replaces what names its author in a text: the given names (display name,
// spoken name; also single parts of three letters or more), e-mail and web
// addresses, @handles, phone numbers, signatures and "submitted by" phrases. It
// gives the masked text and the replaced places of the original, in order.
//
// It does so as best it can: a name that is also a food or a common word
// (Rosemary, Basil, Graham) is only masked where it clearly means a person.
// Pages must say "as best we can".
func Mask(text string, names []string) (masked string, masks []Place) {
	m := maskers.Get().(*masker)
	defer maskers.Put(m)
	m.text, m.tail, m.spans = text, tailStart(text), m.spans[:0]
	m.words = appendWords(m.words[:0], text)
	m.addresses()
	m.phones()
	m.names(names)
	m.signatures()
	m.credits()
	masked, masks = m.result()
	m.text = ""
	return masked, masks
}

var maskers = sync.Pool{New: func() any { return &masker{} }}

type maskSpan struct {
	Place
	mark string
}

type maskWord struct {
	s, e   int
	capped bool
}

type masker struct {
	text  string
	tail  int // the last lines, where signatures are
	words []maskWord
	spans []maskSpan
}

func (m *masker) add(s, e int, mark string) { m.spans = append(m.spans, maskSpan{Place{s, e}, mark}) }

// fold is word i in lower case without accents.
func (m *masker) fold(i int) string { return pantry.Fold(m.text[m.words[i].s:m.words[i].e]) }

// is reports whether word i is one of some lower-case words.
func (m *masker) is(i int, words ...string) bool {
	if i < 0 || i >= len(m.words) {
		return false
	}
	w := m.text[m.words[i].s:m.words[i].e]
	for _, x := range words {
		if len(x) == len(w) && strings.EqualFold(x, w) {
			return true
		}
	}
	return false
}

// appendWords cuts the text into words of letters.
func appendWords(out []maskWord, text string) []maskWord {
	for i := 0; i < len(text); {
		u, n := utf8.DecodeRuneInString(text[i:])
		if !unicode.IsLetter(u) {
			i += n
			continue
		}
		j := i + n
		for j < len(text) {
			if c := text[j] | 0x20; c >= 'a' && c <= 'z' {
				j++
				continue
			}
			v, k := utf8.DecodeRuneInString(text[j:])
			if !unicode.IsLetter(v) && !unicode.Is(unicode.Mn, v) {
				break
			}
			j += k
		}
		out = append(out, maskWord{i, j, unicode.IsUpper(u)})
		i = j
	}
	return out
}

// addresses masks e-mail addresses, web addresses and @handles.
func (m *masker) addresses() {
	for i := 0; i < len(m.text); {
		c := m.text[i]
		if c <= ' ' {
			i++
			continue
		}
		j, told := i, false
		for ; j < len(m.text) && m.text[j] > ' '; j++ {
			switch m.text[j] {
			case '<', '>', '(', ')', '[', ']', '"':
				goto end
			case '@', '.', ':':
				told = true
			}
		}
	end:
		if told {
			if s, e, ok := address(m.text[i:j]); ok {
				m.add(i+s, i+e, AddressMark)
			}
		}
		i = max(j, i+1)
	}
}

// address finds an address in a run without blanks.
func address(run string) (s, e int, ok bool) {
	low := strings.ToLower(run)
	e = len(strings.TrimRight(run, ".,;:!?'*_"))
	for _, p := range []string{"http://", "https://", "www.", "mailto:"} {
		if k := strings.Index(low, p); k >= 0 && k < e {
			return k, e, true
		}
	}
	at := strings.IndexByte(run[:e], '@')
	switch {
	case at > 0 && at < e-1:
		s = at
		for s > 0 && addressByte(run[s-1]) {
			s--
		}
		return s, e, s < at
	case at == 0 && e > 2 && (run[1] >= 'A' || run[1] == '_'):
		return 0, e, true
	}
	// a bare domain: letters, a dot, a well-known ending
	host, _, _ := strings.Cut(low[:e], "/")
	for _, tld := range []string{".com", ".net", ".org", ".co.uk", ".blog", ".info", ".me", ".io", ".ca", ".com.au", ".de", ".fr"} {
		if strings.HasSuffix(host, tld) && len(host) > len(tld)+1 && !strings.Contains(host, "..") {
			return 0, e, true
		}
	}
	return 0, 0, false
}

func addressByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || strings.IndexByte("._%+-", c) >= 0 || c >= 0x80
}

// phones masks runs of at least nine digits with the marks that phone numbers
// have between them, and shorter ones after a plus sign or "phone".
func (m *masker) phones() {
	for i := 0; i < len(m.text); {
		c := m.text[i]
		if c != '+' && c != '(' && (c < '0' || c > '9') {
			i++
			continue
		}
		j, n, groups, last := i, 0, 0, byte(0)
		for j < len(m.text) {
			d := m.text[j]
			if d >= '0' && d <= '9' {
				if last < '0' || last > '9' {
					groups++
				}
				n++
			} else if strings.IndexByte(" ()-.+/", d) < 0 || j > i && d == '+' || d == ' ' && last == ' ' {
				break
			}
			last = d
			j++
		}
		e := j
		for e > i && (m.text[e-1] < '0' || m.text[e-1] > '9') {
			e--
		}
		told := m.toldPhone(i)
		if n >= 9 && n <= 15 && (groups >= 2 || told || c == '+') || n >= 7 && n <= 15 && (told || c == '+') ||
			n == 7 && groups == 2 && e-i == 8 && m.text[i+3] == '-' {
			m.add(i, e, PhoneMark)
		}
		i = max(j, i+1)
	}
}

func (m *masker) toldPhone(i int) bool {
	before := strings.ToLower(m.text[max(0, i-14):i])
	for _, w := range []string{"phone", "tel", "call", "mobile", "cell", "whatsapp", "text me"} {
		if strings.Contains(before, w) {
			return true
		}
	}
	return false
}

// result writes the text with the marks in place of the spans.
func (m *masker) result() (string, []Place) {
	if len(m.spans) == 0 {
		return m.text, nil
	}
	slices.SortStableFunc(m.spans, func(a, b maskSpan) int {
		if a.Start != b.Start {
			return a.Start - b.Start
		}
		return b.End - a.End
	})
	var out strings.Builder
	var places []Place
	at := 0
	for _, sp := range m.spans {
		if sp.Start < at || sp.End <= sp.Start {
			continue
		}
		out.WriteString(m.text[at:sp.Start])
		out.WriteString(sp.mark)
		places = append(places, sp.Place)
		at = sp.End
	}
	out.WriteString(m.text[at:])
	return out.String(), places
}
