package recipe

import (
	"html"
	"strings"
	"unicode/utf8"
)

// maxEntity is how long an HTML entity may be: "&CounterClockwise..." is none of
// a recipe.
const maxEntity = 10

// entity gives the length of the HTML entity at i that stands for one character
// ("&frac12;", "&#189;", "&nbsp;"), 0 where there is none. Texts copied out of a
// page hold them.
func (r *reader) entity(i, e int) int {
	if i >= e || r.text[i] != '&' {
		return 0
	}
	n := strings.IndexByte(r.text[i:min(e, i+maxEntity)], ';') + 1
	if n < 4 || utf8.RuneCountInString(html.UnescapeString(r.text[i:i+n])) != 1 {
		return 0
	}
	return n
}

// runeAt gives the lower-case character at i, also where an entity stands for
// it, and how many bytes of the text it takes.
func (r *reader) runeAt(i, e int) (rune, int) {
	if n := r.entity(i, e); n > 0 {
		u, _ := utf8.DecodeRuneInString(html.UnescapeString(r.text[i : i+n]))
		return u, n
	}
	return utf8.DecodeRuneInString(r.low[i:e])
}
