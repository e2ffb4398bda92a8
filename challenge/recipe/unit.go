package recipe

import (
	"fairladle/challenge/measure"
)

// unit reads a unit word, with an adjective before it ("2 heaped tbsp") and the
// full stop of an abbreviation after it.
func (r *reader) unit(t []token, i int) (string, int, bool) {
	j := i
	for k := 0; k < 3 && j < len(t) && (t[j].cls&(isAbout|isSize|isAdverb) != 0 || r.word(t, j) == "packed" ||
		r.word(t, j) == "fat" || k > 0 && (t[j].k == dash || t[j].c == '.' && !t[j].space || r.word(t, j) == "sized")); k++ {
		j++
	}
	if u, next, ok := r.unitWord(t, j); ok {
		return u, next, true
	}
	if j > i {
		return r.unitWord(t, i)
	}
	return "", i, false
}

func (r *reader) unitWord(t []token, i int) (string, int, bool) {
	if i >= len(t) {
		return "", i, false
	}
	if t[i].k == dash && !t[i].space && i+1 < len(t) && !t[i+1].space {
		i++ // 14-ounce
	}
	if t[i].k != word {
		if t[i].c == '#' && i+1 < len(t) && t[i+1].space {
			return "lb", i + 1, true
		}
		if t[i].c == '"' && i > 0 && !t[i].space && (t[i-1].k == digits || t[i-1].k == vulgar) {
			return "inch", i + 1, true
		}
		return "", i, false
	}
	u, j := "", i+1
	if t[i].e-t[i].s == 1 {
		u = singleLetter(r.text[t[i].s])
		if u == "cup" && i > 0 && !t[i].space && t[i-1].k == digits && t[i-1].e-t[i-1].s >= 3 {
			return "", i, false // 210c is a temperature
		}
	} else if t[i].cls&isUnit != 0 {
		u, _ = measure.Word(r.low[t[i].s:t[i].e])
		if notUnitBefore[r.word(t, j)] || u == "blade" && r.word(t, j) != "of" {
			return "", i, false
		}
	} else {
		u, j = r.twoWordUnit(t, i)
	}
	if u == "" {
		return "", i, false
	}
	if j < len(t) && t[j].c == '.' && !t[j].space && j+1 < len(t) {
		j++
		if u == "fl" {
			return "", i, false
		}
	}
	if j+2 < len(t) && t[j].c == '(' && !t[j].space && r.word(t, j+1) == "s" && t[j+2].c == ')' { // clove(s)
		j += 3
	}
	return u, j, true
}

// notUnitBefore are words that turn a unit word before them into something
// else: "2 rib eye steaks", "1 loaf pan".
var notUnitBefore = map[string]bool{"eye": true, "eyes": true, "pan": true, "pans": true, "sized": true, "foil": true, "opener": true}

func singleLetter(c byte) string {
	switch c {
	case 'T':
		return "tbsp"
	case 't':
		return "tsp"
	case 'c', 'C':
		return "cup"
	case 'g', 'G':
		return "g"
	case 'l', 'L':
		return "l"
	}
	return ""
}

func (r *reader) twoWordUnit(t []token, i int) (string, int) {
	j := i + 1
	if j < len(t) && t[j].c == '.' {
		j++
	}
	if j < len(t) && t[j].k == dash {
		j++
	}
	w := r.word(t, j)
	switch r.word(t, i) {
	case "fl", "fluid":
		switch w {
		case "oz", "ounce", "ounces", "ozs":
			return "fl oz", j + 1
		}
	case "table", "tea":
		switch w {
		case "spoon", "spoons", "spoonful", "spoonfuls":
			if r.word(t, i) == "tea" {
				return "tsp", j + 1
			}
			return "tbsp", j + 1
		case "cup", "cups", "cupful", "cupfuls":
			return "teacup", j + 1
		}
	case "dessert":
		if w == "spoon" || w == "spoons" || w == "spoonful" || w == "spoonfuls" {
			return "dessertspoon", j + 1
		}
	case "wine":
		if w == "glass" || w == "glasses" || w == "glassful" || w == "glassfuls" {
			return "wineglass", j + 1
		}
	case "coffee":
		if w == "cup" || w == "cups" || w == "cupful" || w == "cupfuls" {
			return "coffeecup", j + 1
		}
	}
	return "", i
}

// containers are counted things with a size of their own.
var containers = map[string]bool{"can": true, "bag": true, "box": true, "bottle": true, "package": true, "jar": true,

	"carton": true, "container": true, "tub": true, "tube": true, "loaf": true, "block": true, "bar": true,
	"stick": true, "bowl": true, "head": true, "bunch": true, "slice": true, "glass": true}

// measureAt reads a plain amount with a unit of mass, volume or container.
func (r *reader) measureAt(t []token, i int) (measure.Range, string, int, bool) {
	i, _ = r.skipAbout(t, i)
	n, j, ok := r.number(t, i, true)
	if !ok {
		return measure.Range{}, "", i, false
	}
	rng := measure.Exactly(n)
	if hi, next, ok := r.rangeEnd(t, j); ok {
		rng, j = measure.Between(n, hi), next
	}
	j = r.fractionOf(t, j)
	u, j, ok := r.unit(t, j)
	return rng, u, j, ok
}

// mixedApart reports "4 ¼" or "4 1/4" at i, which before a length are a count
// and a size.
func (r *reader) mixedApart(t []token, i int) bool {
	return i+1 < len(t) && t[i].k == digits && t[i+1].space && (t[i+1].k == vulgar || t[i+1].k == digits)
}

// onePiece reports "1 1/2-inch piece of" at i, where the whole number belongs to
// the length; next is the token after its unit.
func (r *reader) onePiece(t []token, i, next int) bool {
	if r.small(t[i]) != 1 {
		return false
	}
	for k := next; k < len(t) && k < next+3; k++ {
		switch r.word(t, k) {
		case "piece", "knob", "chunk", "length":
			return true
		}
	}
	return false
}

// sizeEnd skips "thick", "piece of" after a length.
func (r *reader) sizeEnd(t []token, j int) int {
	for j < len(t) {
		switch r.word(t, j) {
		case "thick", "long", "wide", "piece", "pieces", "chunk", "chunks", "of", "knob", "round":
			j++
			continue
		}
		if t[j].k == dash && !t[j].space {
			j++
			continue
		}
		return j
	}
	return j
}
