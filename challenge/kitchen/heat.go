package kitchen

import (
	"slices"
	"strconv"
	"strings"

	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// ovenC is the oven temperature that a step names, in degrees Celsius to the
// nearest ten: home ovens are no more exact, and dishes ten degrees apart may
// share one.
func ovenC(st recipe.Step) (int, bool) {
	for _, t := range st.Temperatures {
		if t.Kind == "oven" {
			if c, ok := celsius(t); ok {
				return nearestTen(c), true
			}
		}
	}
	if st.OvenWords == "" {
		return 0, false
	}
	for _, r := range pantry.Rows("oven") {
		if r[0] == "descriptor" && strings.Contains(" "+strings.ReplaceAll(r[1], "/", " ")+" ", " "+st.OvenWords+" ") {
			lo, err1 := strconv.Atoi(r[4])
			hi, err2 := strconv.Atoi(r[5])
			if err1 == nil && err2 == nil {
				return nearestTen(float64(lo+hi) / 2), true
			}
		}
	}
	return 0, false
}

// celsius reads one temperature; a number without a unit is Fahrenheit from 250
// on, which no home oven reaches in Celsius.
func celsius(t recipe.Temperature) (float64, bool) {
	switch {
	case t.Unit == "C", t.Unit == "" && t.Value < 250:
		return t.Value, true
	case t.Unit == "gas":
		for _, r := range pantry.Rows("oven") {
			if r[0] == "gas mark" && r[1] == strconv.FormatFloat(t.Value, 'f', -1, 64) {
				c, err := strconv.ParseFloat(r[4], 64)
				return c, err == nil
			}
		}
		return 0, false
	}
	return (t.Value - 32) * 5 / 9, true
}

func nearestTen(c float64) int { return int(c/10+0.5) * 10 }

// onlyHeatsOven tells whether a step does nothing but turn the oven on.
func onlyHeatsOven(st recipe.Step) bool {
	s := stems(st.Text)
	if len(s) == 0 || len(s) > 25 {
		return false
	}
	heats := false
	for _, w := range s {
		switch {
		case w == stemKey("preheat"), w == "heat" && strings.Contains(st.Text, "oven"):
			heats = true
		case w == "oven" || w == "heat":
		default:
			if v, ok := pantry.FindVerb(w); ok && v.Kind != "hold" && v.Verb != "preheat" {
				return false
			}
		}
	}
	return heats && len(st.Uses) == 0
}

// notOven are words beside a temperature that is not an oven's.
var notOven = []string{"sugar", "syrup", "caramel", "oil", "internal", "thermometer", "inside", "centre", "center", "core", "fry", "fryer"}

// bareOven is the temperature of a step that gives one as hot as an oven, and a
// time, without a word of where ("170°C 30 min").
func bareOven(st recipe.Step) (int, bool) {
	words := stems(st.Text)
	hob, _ := hobWords(words)
	if hob || len(st.Durations) == 0 || slices.ContainsFunc(notOven, func(w string) bool { return slices.Contains(words, stemKey(w)) }) {
		return 0, false
	}
	for _, t := range st.Temperatures {
		if c, ok := celsius(t); ok && (t.Kind == "oven" || t.Kind == "other") && c >= 120 && c <= 290 {
			return nearestTen(c), true
		}
	}
	return 0, false
}
