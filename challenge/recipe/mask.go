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
	return pantry.Food(stem) > 0 || lexicon()[fold] != 0 || ambiguousNames[fold] || openers[fold]
}

var ambiguousNames = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(`art angel april august autumn bay bean benedict berry bill blossom bob bond bread brook bud buck
		caesar candy cane carver chance charity charlotte chase chip chuck clay cliff coco colby cook cooke cooper coral crystal curry
		daisy dale dawn dean dill don drew earl eve faith fern field fisher flora florence forest frank frankie garland gene ginger glass
		graham grace grant gray grey grove guy hall harmony hart hazel heather herb hill holly honey hope hunter iris ivy jack jasmine
		joy june kale lake lane laurel lee lily long lotus love lucky mace margarita mark marsh mason max may melba mercy mike miles
		miller mint misty olive page park pat patience peach peaches pearl penny pepper pike piper plum poppy potter price prince rain
		ray reed reuben rich robin rock romano rose rosemary ruby rusty rye sage sandy savory sky snow star sterling stew sterling stone
		storm sue summer sunny tate terry victoria violet wade waldorf wellington wells will willow winter wood woods young bacon baker
		barber brewer butcher butler cole dice fry garner king kitchen pan pot rice salmon savage bell bird bush church cross day fox
		frost green gold good heart home house joyful land light lord major moon north south west east nice noble oaks old pope powers
		queen root rush sands sharp short small spice spring sugar sweet swift tart thorn thyme truly water waters white wild wise
		york lamb basil anise ranch alfredo carbonara madeira sherry brandy port marsala coriander juniper clementine apple cherry olive`) {
		m[w] = true
	}
	return m
}()

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
	if name := strings.TrimLeft(line, "-–—~ "); name != line && properNames(name) && m.afterGap(s) && strings.Count(strings.TrimSpace(m.text[e:]), "\n") == 0 {
		if commonWord(pantry.Fold(name)) {
			return
		}
		k := s + strings.Index(m.text[s:e], name)
		m.add(k, k+len(name), NameMark)
	}
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
