package wording

import (
	"unicode"
	"unicode/utf8"
)

// English says sentences in English, each with a capital first letter, as a
// record keeps them.
func English(ss []Sentence) []string {
	var all []string
	for _, s := range ss {
		all = append(all, Capital(s.String()))
	}
	return all
}

// Capital writes the first letter of a sentence large: one that begins with a
// name or a number said as a word cannot know that it does.
func Capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}
