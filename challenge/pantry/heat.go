package pantry

import (
	"strconv"
	"strings"
	"sync"
)

// OvenWord is what a word for an oven usually means, in degrees; the sources
// disagree, so it is a range. Rows of oven.tsv.
type OvenWord struct {
	Word                     string
	FLow, FHigh, CLow, CHigh int
	Source                   string
}

var ovens = sync.OnceValue(func() map[string]OvenWord {
	m := map[string]OvenWord{}
	for _, r := range Rows("oven") {
		if r[0] != "descriptor" {
			continue
		}
		for w := range strings.SplitSeq(r[1], " / ") {
			o := OvenWord{Word: w, Source: r[7]}
			o.FLow, o.FHigh, o.CLow, o.CHigh = number(r[2]), number(r[3]), number(r[4]), number(r[5])
			m[w] = o
		}
	}
	return m
})

func number(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		panic("pantry: oven.tsv: " + s)
	}
	return n
}

// Oven looks a word for an oven up: "moderate", "very hot". "Quick" is an old
// word for hot.
func Oven(words string) (OvenWord, bool) {
	switch words {
	case "quick":
		words = "hot"
	case "very quick":
		words = "very hot"
	case "medium":
		words = "moderate"
	}
	o, ok := ovens()[words]
	return o, ok
}
