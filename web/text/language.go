package text

import (
	_ "embed"
	"fmt"
	"strings"
	"sync/atomic"

	"golang.org/x/text/language"
)

// Languages are those the catalogue speaks; the first is the fallback.
var Languages = []language.Tag{language.English, language.German}

var matcher = language.NewMatcher(Languages)

// Own are the names of the languages, each in itself.
var Own = map[string]string{"en": "English", "de": "Deutsch"}

//go:embed de.tsv
var german string

// tables hold, by language, the sentence for each English one.
var tables = func() map[language.Tag]map[string]string {
	words, _ := read(german) // a test holds the file to be right
	return map[language.Tag]map[string]string{language.German: words}
}()

// Missing, where set, is told of every sentence that a language lacks while
// it is said. Only tests set it.
var Missing atomic.Pointer[func(language.Tag, string)]

func (v Voice) translated(key string) string {
	if v.words == nil {
		return key
	}
	if own, ok := v.words[key]; ok {
		return own
	}
	if f := Missing.Load(); f != nil {
		(*f)(v.Tag, key)
	}
	return key
}

// read takes a table: a line for each sentence, English, tab, the other
// language; a line that starts with # is a note. What is wrong with it is
// told, and a sentence that comes twice counts as it comes last.
func read(tsv string) (m map[string]string, wrong []error) {
	m = map[string]string{}
	n := 0
	for line := range strings.Lines(tsv) {
		n++
		line = strings.TrimRight(line, "\r\n")
		if line == "" || strings.HasPrefix(line, "# ") {
			continue
		}
		english, other, ok := strings.Cut(line, "\t")
		if !ok || strings.TrimSpace(english) == "" || strings.TrimSpace(other) == "" || strings.Contains(other, "\t") {
			wrong = append(wrong, fmt.Errorf("line %d is not two sentences with a tab between: %.60q", n, line))
			continue
		}
		english, other = unescape.Replace(english), unescape.Replace(other)
		if was, twice := m[english]; twice && was != other {
			wrong = append(wrong, fmt.Errorf("line %d: %.60q has two translations", n, english))
		}
		m[english] = other
	}
	return m, wrong
}

var unescape = strings.NewReplacer(`\n`, "\n", `\t`, "\t")
