package pantry

import (
	"strings"
	"unicode/utf8"
)

// trie finds table terms of one or more words in a list of words.
type trie struct {
	next map[string]*trie
	rows []int32 // rows of the table whose term ends here
}

// add puts a term under the row number; its words are stemmed.
func (t *trie) add(term string, row int) {
	n := t
	for _, w := range Words(term) {
		w = Stem(w)
		if n.next == nil {
			n.next = map[string]*trie{}
		}
		m := n.next[w]
		if m == nil {
			m = &trie{}
			n.next[w] = m
		}
		n = m
	}
	if n != t {
		n.rows = append(n.rows, int32(row))
	}
}

// longest finds the longest term that starts at stems[0]; n is its length in
// words, 0 where there is none.
func (t *trie) longest(stems []string) (rows []int32, n int) {
	at := t
	for i, w := range stems {
		at = at.next[w]
		if at == nil {
			break
		}
		if at.rows != nil {
			rows, n = at.rows, i+1
		}
	}
	return rows, n
}

// Words splits a term into lower-case words without accents; hyphens and
// apostrophes separate words ("hen's-egg" is hen, s, egg).
func Words(term string) []string {
	return strings.FieldsFunc(Fold(term), func(r rune) bool {
		return !('a' <= r && r <= 'z' || '0' <= r && r <= '9' || r > 127)
	})
}

var folds = strings.NewReplacer("à", "a", "á", "a", "â", "a", "ä", "a", "ã", "a", "å", "a",
	"è", "e", "é", "e", "ê", "e", "ë", "e", "ì", "i", "í", "i", "î", "i", "ï", "i", "ò", "o",
	"ó", "o", "ô", "o", "ö", "o", "õ", "o", "ø", "o", "ù", "u", "ú", "u", "û", "u", "ü", "u",
	"ç", "c", "ñ", "n", "œ", "oe", "æ", "ae", "ß", "ss", "ș", "s", "ț", "t", "ğ", "g", "ı", "i", "ş", "s")

// Fold lowers a text and takes the accents off, so that "Jalapeño" finds
// "jalapeno". Plain lower-case text is returned as it is.
func Fold(s string) string {
	for i := 0; i < len(s); i++ {
		if c := s[i]; c >= 0x80 || 'A' <= c && c <= 'Z' {
			return folds.Replace(strings.ToLower(s))
		}
	}
	return s
}

// Stem takes the plural off a lower-case word so that singular and plural meet
// ("berries" and "berry", "tomatoes" and "tomato"). The stem need not be a word.
func Stem(w string) string {
	n := len(w)
	if n <= 3 {
		return w
	}
	switch w {
	case "leaves":
		return "leaf"
	case "loaves":
		return "loaf"
	case "halves":
		return "half"
	case "calves":
		return "calf"
	case "knives":
		return "knife"
	case "cookies", "brownies", "smoothies", "veggies", "hoagies", "pies":
		return w[:n-1]
	}
	switch {
	case strings.HasSuffix(w, "ies"):
		return singularY(w)
	case strings.HasSuffix(w, "ie"), strings.HasSuffix(w, "ss"), strings.HasSuffix(w, "us"):
		return w
	case strings.HasSuffix(w, "oes"), strings.HasSuffix(w, "ches"), strings.HasSuffix(w, "shes"),
		strings.HasSuffix(w, "xes"), strings.HasSuffix(w, "sses"), strings.HasSuffix(w, "zes"):
		return w[:n-2]
	case w[n-1] == 's':
		return w[:n-1]
	}
	return w
}

// singularY turns "berries" into "berry", the common ones without allocating.
func singularY(w string) string {
	switch w {
	case "berries":
		return "berry"
	case "cherries":
		return "cherry"
	case "strawberries":
		return "strawberry"
	case "raspberries":
		return "raspberry"
	case "blueberries":
		return "blueberry"
	case "cranberries":
		return "cranberry"
	case "anchovies":
		return "anchovy"
	case "pastries":
		return "pastry"
	case "patties":
		return "patty"
	}
	return w[:len(w)-3] + "y"
}

// AppendStems appends the stems of a text's words to dst: Words and Stem in one
// pass, without allocating for plain lower-case text.
func AppendStems(dst []string, s string) []string {
	for i := 0; i < len(s); {
		if !stemByte(s[i]) {
			i++
			continue
		}
		if apart(s[i:]) {
			_, n := utf8.DecodeRuneInString(s[i:])
			i += n
			continue
		}
		j := i + 1
		for j < len(s) && stemByte(s[j]) && !apart(s[j:]) {
			j++
		}
		dst = append(dst, Stem(Fold(s[i:j])))
		i = j
	}
	return dst
}

// apart reports a dash, a curly quote or a no-break space at the start of s.
func apart(s string) bool {
	return strings.HasPrefix(s, "\xe2\x80") || strings.HasPrefix(s, "\u00a0")
}

func stemByte(c byte) bool {
	return c|0x20 >= 'a' && c|0x20 <= 'z' || c >= '0' && c <= '9' || c >= 0x80
}
