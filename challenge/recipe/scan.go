package recipe

import (
	"unicode"
)

type kind uint8

const (
	word kind = iota
	digits
	vulgar // ½ and its like
	dash   // - – —
	punct  // any other single character that matters
)

// token is a word, a run of digits or a mark; s and e are byte offsets in the
// text that is being read.
type token struct {
	s, e  int
	k     kind
	c     byte // the character of a punct; '(' also for '['
	space bool // white space, or the start, before it
	link  bool // part of the text of a Markdown link
	cls   class
}

// scan cuts text[s:e) into tokens. Emphasis marks, HTML tags and the targets of
// links are left out; so is white space, which sets token.space.
func (r *reader) scan(s, e int) []token {
	out := r.buf[:0]
	space := true
	linkTo := s // tokens that end by here belong to a link
	for i := s; i < e; {
		c := r.low[i]
		switch {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r':
			space = true
			i++
			continue
		case c >= '0' && c <= '9':
			j := i + 1
			for j < e && r.low[j] >= '0' && r.low[j] <= '9' {
				j++
			}
			out = append(out, token{s: i, e: j, k: digits, space: space})
			i = j
		case c >= 'a' && c <= 'z':
			j := r.wordEnd(i, e)
			out = append(out, token{s: i, e: j, k: word, space: space, cls: r.lex[r.low[i:j]]})
			i = j
		case c < 0x80 && !(c == '&' && r.entity(i, e) > 0):
			next, tok := r.scanMark(i, e)
			if c == '[' {
				linkTo = max(linkTo, r.linkText(i, e))
			}
			if tok {
				k := punct
				if c == '-' {
					k = dash
				}
				out = append(out, token{s: i, e: next, k: k, c: c, space: space})
			}
			i = next
			if r.gap {
				space, r.gap = true, false
			}
			if !tok {
				continue // a mark left out does not end the run of white space
			}
		default:
			u, n := r.runeAt(i, e)
			t := token{s: i, e: i + n, space: space}
			switch {
			case u == '-':
				t.k, t.c = dash, '-'
			case u == 0x2013 || u == 0x2014 || u == 0x2212 || u == 0x2010 || u == 0x2011 || u == 0x2012:
				t.k = dash
				t.c = '-'
			case vulgarFraction(u) != (frac{}):
				t.k = vulgar
			case u == 0x2044 || u == 0x2215:
				t.k, t.c = punct, '/'
			case u == 0x00d7:
				t.k, t.c = punct, 'x'
			case u == 0x00b0 || u == 0x00ba || u == 0x02da:
				t.k, t.c = punct, 0xb0
			case u == 0x2103 || u == 0x2109: // ℃ ℉
				t.k, t.c = punct, 0xb1
			case u == 0x201c || u == 0x201d || u == 0x2033:
				t.k, t.c = punct, '"'
			case unicode.IsLetter(u):
				t.e = r.wordEnd(i, e)
				t.k, t.cls = word, r.lex[r.low[i:t.e]]
			case unicode.IsSpace(u) || u == 0x200b || u == 0xfeff:
				space = true
				i += n
				continue
			case u > ' ' && u < 0x80:
				t.k, t.c = punct, byte(u)
			default:
				i += n // emoji, other marks
				space = true
				continue
			}
			out = append(out, t)
			i = t.e
		}
		if last := &out[len(out)-1]; last.e <= linkTo {
			last.link = true
		}
		space = false
	}
	r.buf = out
	return out
}

// scanMark gives the end of the ASCII mark at i and whether it is a token.
func (r *reader) scanMark(i, e int) (int, bool) {
	switch c := r.low[i]; c {
	case '_':
		if i > 0 && i+1 < e && r.text[i-1]|0x20 >= 'a' && r.text[i-1]|0x20 <= 'z' && r.text[i+1]|0x20 >= 'a' && r.text[i+1]|0x20 <= 'z' {
			r.gap = true // snake_case stands for blanks
		}
		return i + 1, false
	case '*', '`', '~', '\\':
		if c == '~' && i+1 < e && (r.low[i+1] >= '0' && r.low[i+1] <= '9' || r.low[i+1] == ' ') {
			return i + 1, true
		}
		return i + 1, false
	case '[':
		return i + 1, false
	case ']':
		if i+1 < e && r.low[i+1] == '(' {
			depth := 0
			for j := i + 2; j < e && j < i+400; j++ {
				if r.low[j] == '(' {
					depth++
				}
				if r.low[j] == ')' {
					if depth--; depth < 0 {
						return j + 1, false
					}
				}
				if r.low[j] == '\n' {
					break
				}
			}
		}
		return i + 1, false
	case '<':
		for j := i + 1; j < e && j < i+200; j++ {
			if r.low[j] == '>' {
				return j + 1, false
			}
			if r.low[j] == '\n' {
				break
			}
		}
	}
	return i + 1, true
}

// linkText gives the end of the text of the Markdown link that opens at i, or i
// where there is no link.
func (r *reader) linkText(i, e int) int {
	for j := i + 1; j+1 < e && j < i+120; j++ {
		switch r.low[j] {
		case ']':
			if r.low[j+1] == '(' {
				return j
			}
			return i
		case '\n', '[':
			return i
		}
	}
	return i
}

// wordEnd gives the end of the word at i: letters, with apostrophes between
// letters.
func (r *reader) wordEnd(i, e int) int {
	for i < e {
		c := r.low[i]
		if c >= 'a' && c <= 'z' {
			i++
			continue
		}
		if c < 0x80 && !(c == '&' && r.entity(i, e) > 0) {
			if c == '\'' && i+1 < e && r.low[i+1] >= 'a' && r.low[i+1] <= 'z' {
				i += 2
				continue
			}
			return i
		}
		u, n := r.runeAt(i, e)
		if u == 0x2019 && i+n < e && r.low[i+n] >= 'a' && r.low[i+n] <= 'z' {
			i += n
			continue
		}
		if !unicode.IsLetter(u) && !unicode.Is(unicode.Mn, u) {
			return i
		}
		if vulgarFraction(u) != (frac{}) {
			return i
		}
		i += n
	}
	return i
}

// word gives the lower-case text of token i, or "" beyond the end.
func (r *reader) word(t []token, i int) string {
	if i < 0 || i >= len(t) {
		return ""
	}
	return r.low[t[i].s:t[i].e]
}

// lowASCII lowers the letters A to Z only, so that offsets stay the same.
func lowASCII(s string) string {
	for i := 0; i < len(s); i++ {
		if 'A' <= s[i] && s[i] <= 'Z' {
			b := []byte(s)
			for ; i < len(b); i++ {
				if 'A' <= b[i] && b[i] <= 'Z' {
					b[i] += 'a' - 'A'
				}
			}
			return string(b)
		}
	}
	return s
}
