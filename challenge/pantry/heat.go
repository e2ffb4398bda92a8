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

// Inside is the usual least temperature inside a food for home cooks, in degrees
// of both scales, with the minutes that it must rest then: a row of
// safe_temps.tsv.
type Inside struct {
	F, C, Rest float64
	Source     string
}

// InsideOf finds the row for home cooks whose foods begin with some words.
func InsideOf(foods string) (in Inside, ok bool) {
	for _, r := range Rows("safe_temps") {
		if r[4] != "home" || !strings.HasPrefix(r[0], foods) {
			continue
		}
		f, err1 := strconv.ParseFloat(firstWord(r[1]), 64)
		c, err2 := strconv.ParseFloat(r[2], 64)
		rest, err3 := strconv.ParseFloat(r[3], 64)
		return Inside{f, c, rest, r[5]}, err1 == nil && err2 == nil && err3 == nil
	}
	return Inside{}, false
}

func firstWord(s string) string {
	w, _, _ := strings.Cut(s, " ")
	return w
}
