package recipe

import (
	_ "embed"
	"strconv"
	"strings"
)

//go:embed words.tsv
var wordsTSV string

// wordList gives one list of words.tsv: the lower-case word and what it means.
func wordList(list string) map[string]string {
	m := map[string]string{}
	for line := range strings.Lines(wordsTSV) {
		if f := strings.Split(strings.TrimRight(line, "\n"), "\t"); f[0] == list {
			m[f[1]] = f[2]
		}
	}
	return m
}

// wordValue reads "12" or "1/60" of words.tsv.
func wordValue(v string) frac {
	n, d, ok := strings.Cut(v, "/")
	if !ok {
		d = "1"
	}
	top, err := strconv.ParseInt(n, 10, 64)
	bottom, err2 := strconv.ParseInt(d, 10, 64)
	if err != nil || err2 != nil {
		panic("recipe: words.tsv: no number " + v)
	}
	return frac{top, bottom}
}
