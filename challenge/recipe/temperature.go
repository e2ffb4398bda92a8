package recipe

import (
	"sync"

	"fairladle/challenge/measure"
)

// temperatures finds every temperature in the tokens, in order.
func (r *reader) temperatures(t []token) []Temperature {
	var out []Temperature
	for i := 0; i < len(t); i++ {
		var x Temperature
		next, ok := i, false
		switch {
		case t[i].k == digits:
			x, next, ok = r.temperature(t, i)
		case r.word(t, i) == "gas" || r.word(t, i) == "mark" || r.word(t, i) == "regulo" || r.word(t, i) == "reg":
			x, next, ok = r.gasMark(t, i)
		}
		if !ok {
			continue
		}
		x.Kind = r.temperatureKind(t, i, next, x)
		if n := len(out); x.Kind == "other" && n > 0 && out[n-1].Kind == "internal" {
			x.Kind = "internal"
		}
		if x.Kind == "internal" && (x.Unit == "F" && x.Value > 215 || x.Unit == "C" && x.Value > 102) {
			x.Kind = "other" // sugar, not meat
		}
		x.At = Place{t[i].s, t[next-1].e}
		x.Text = r.clean(x.At.Start, x.At.End)
		out = append(out, x)
		i = next - 1
	}
	return out
}

func (r *reader) gasMark(t []token, i int) (x Temperature, next int, ok bool) {
	j := i + 1
	if r.word(t, i) == "gas" && r.word(t, j) == "mark" {
		j++
	} else if r.word(t, i) == "mark" {
		return x, i, false
	} else if r.word(t, i) == "reg" && j < len(t) && t[j].c == '.' {
		j++ // an old regulo
	}
	n, next, ok := r.number(t, j, false)
	if !ok || n.Cmp(measure.Whole(10)) > 0 || t[j].k == word {
		return x, i, false
	}
	x.Value, x.Unit = n.Float(), "gas"
	if hi, after, ok := r.rangeEnd(t, next); ok && hi.Cmp(measure.Whole(10)) <= 0 {
		x.Max, next = hi.Float(), after
	}
	return x, next, true
}

func (r *reader) temperature(t []token, i int) (x Temperature, next int, ok bool) {
	if i > 0 && (t[i-1].c == '.' || t[i-1].c == '/') && !t[i].space && t[i-1].s > 0 && i > 1 && t[i-2].k == digits && !t[i-1].space && t[i-1].c == '.' {
		return x, i, false
	}
	n, j, ok := r.number(t, i, false)
	if !ok || n.Cmp(measure.Whole(1000)) > 0 {
		return x, i, false
	}
	x.Value = n.Float()
	unit, after, marked := r.degrees(t, j)
	if !marked || unit == "" {
		if hi, k, isRange := r.rangeEnd(t, j); isRange && hi.Cmp(n) > 0 {
			if u, a, m := r.degrees(t, k); m {
				x.Max, unit, after, marked = hi.Float(), u, a, true
			} else if r.bareOven(t, i, k, hi.Float()) {
				x.Max = hi.Float()
				return x, k, true
			}
		} else if marked && after < len(t) && (t[after].k == dash || r.word(t, after) == "to") { // 350°-375°F
			if hi, k, isNum := r.number(t, after+1, false); isNum && hi.Cmp(n) > 0 {
				if u, a, m := r.degrees(t, k); m {
					x.Max, unit, after = hi.Float(), u, a
				}
			}
		}
	}
	if !marked {
		if r.bareOven(t, i, j, x.Value) {
			return x, j, true
		}
		return x, i, false
	}
	if w := r.word(t, i-1); unit == "" && (w == "rotate" || w == "turn" || w == "rotated" || w == "turned" || w == "flip") {
		return x, i, false
	}
	if unit == "" && x.Value < 100 && !r.near(t, i, "internal", "temperature", "oven", "temp") {
		return x, i, false // "rotate 90 degrees"
	}
	x.Unit = unit
	if r.word(t, after) == "fan" || after < len(t) && t[after].c == '(' && r.word(t, after+1) == "fan" {
		x.Fan = true
	}
	return x, after, true
}

// degrees reads "°F", "F", "degrees C", "deg" after a number.
func (r *reader) degrees(t []token, j int) (unit string, next int, ok bool) {
	if j < len(t) && t[j].k == dash && !t[j].space {
		j++
	}
	if j >= len(t) {
		return "", j, false
	}
	if t[j].c == 0xb1 {
		if r.text[t[j].s:t[j].e] == "℃" {
			return "C", j + 1, true
		}
		return "F", j + 1, true
	}
	mark := false
	if t[j].c == 0xb0 {
		mark, j = true, j+1
	} else if w := r.word(t, j); w == "degrees" || w == "degree" || w == "deg" || w == "degs" {
		mark, j = true, j+1
		if j < len(t) && t[j].c == '.' && !t[j].space {
			j++
		}
	}
	switch w := r.word(t, j); w {
	case "f", "fahrenheit", "farenheit", "fahrenheight", "farhenheit":
		if len(w) > 1 || r.text[t[j].s] == 'F' || mark || !t[j].space {
			return "F", j + 1, true
		}
	case "c", "celsius", "centigrade", "celcius":
		if len(w) > 1 || mark || r.text[t[j].s] == 'C' || !t[j].space {
			return "C", j + 1, true
		}
	}
	return "", j, mark
}

// bareOven: a plain number after "to" or "at" beside an oven is a temperature.
func (r *reader) bareOven(t []token, i, j int, v float64) bool {
	if v < 100 || v > 600 {
		return false
	}
	prev := r.word(t, i-1)
	if i > 0 && t[i-1].c == '@' {
		prev = "at"
	}
	if prev != "to" && prev != "at" && prev != "on" && prev != "of" && prev != "reaches" && prev != "oven" && prev != "around" && prev != "about" {
		return false
	}
	if j < len(t) && t[j].k == word {
		switch r.word(t, j) {
		case "and", "for", "then", "or", "until", "in", "with", "while", "if", "at", "oven":
		default:
			return false
		}
	}
	return r.near(t, i, "oven", "preheat", "bake", "internal", "temperature", "temp", "broil", "roast", "preheated")
}

// near reports one of the words in the sentence around token i.
func (r *reader) near(t []token, i int, words ...string) bool {
	look := func(k int) bool {
		w := r.word(t, k)
		for _, x := range words {
			if w == x {
				return true
			}
		}
		return false
	}
	for k := i; k >= 0 && k > i-16 && !(t[k].c == '.' && k < i-1); k-- {
		if look(k) {
			return true
		}
	}
	for k := i + 1; k < len(t) && k < i+10 && t[k].c != '.'; k++ {
		if look(k) {
			return true
		}
	}
	return false
}

// temperatureWords say which temperature a number near them is.
var temperatureWords = sync.OnceValue(func() map[string]string { return wordList("heat") })

// thickest reports "in the thickest part" right after a temperature.
func (r *reader) thickest(t []token, next int) bool {
	for k := next; k < len(t) && k < next+6 && t[k].c != '.'; k++ {
		switch r.word(t, k) {
		case "thickest", "inside", "internally":
			return true
		case "centre", "center", "middle", "core":
			return k < next+4
		}
	}
	return false
}

// temperatureKind goes by the nearest telling word before the number in its
// sentence, then after it, then by the size of the number.
func (r *reader) temperatureKind(t []token, i, next int, x Temperature) string {
	if x.Unit == "gas" {
		return "oven"
	}
	if r.thickest(t, next) {
		return "internal"
	}
	for k := i - 1; k >= 0 && k > i-25; k-- {
		if t[k].c == '.' && k < i-1 && !t[k].space && k+1 < len(t) && t[k+1].space && t[k+1].k == word {
			break
		}
		if v := temperatureWords()[r.word(t, k)]; v != "" {
			return v
		}
	}
	for k := next; k < len(t) && k < next+12; k++ {
		if t[k].c == '.' && k+1 < len(t) && t[k+1].space {
			break
		}
		if v := temperatureWords()[r.word(t, k)]; v != "" {
			return v
		}
	}
	if x.Unit == "F" && x.Value >= 250 || x.Unit == "C" && x.Value >= 130 || x.Unit == "" && x.Value >= 150 {
		return "oven"
	}
	return "other"
}
