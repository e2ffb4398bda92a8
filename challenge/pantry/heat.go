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

// SafeInternal gives the highest usual minimum internal temperature, in degrees
// Fahrenheit, that foods among the stems ask for, with what asks for it and the
// source (safe_temps.tsv, home rules); 0 where none does.
func SafeInternal(stems []string) (f float64, food, source string) {
	ground := false
	for _, w := range stems {
		switch w {
		case "ground", "minced", "mince", "burger", "meatball", "sausage":
			ground = true
		}
	}
	for _, w := range stems {
		switch w {
		case "chicken", "turkey", "duck", "goose", "poultry", "quail", "hen":
			return 165, "poultry", "FSIS-TEMP"
		case "beef", "pork", "veal", "lamb", "meat":
			if ground && f < 160 {
				f, food = 160, "minced meat"
			}
		}
	}
	return f, food, "FSIS-TEMP"
}
