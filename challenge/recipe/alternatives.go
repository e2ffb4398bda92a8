package recipe

import (
	"fairladle/challenge/pantry"
)

// nameAfterBrackets reports that the name goes on behind the brackets at p:
// "waxy (firm) potatoes".
func (r *reader) nameAfterBrackets(t []token, p, to int) bool {
	if r.knownFood(t, p-1) {
		return false
	}
	for q := p + 1; q < to && q < p+10; q++ {
		if t[q].c == ')' {
			return q+1 < to && t[q+1].k == word && t[q+1].cls&(isStop|isPrep|isAdverb) == 0 && r.word(t, q+1) != "and"
		}
	}
	return false
}

// compoundAdjective reports "bone-in", "skin-on", "low-fat" and the like at p.
func (r *reader) compoundAdjective(t []token, p, to int) bool {
	if p+2 >= to || t[p+1].k != dash || t[p+1].space || t[p+2].space {
		return false
	}
	switch r.word(t, p+2) {
	case "in", "on", "free", "fat", "style", "range", "quality", "ripened", "purpose", "rising", "raising", "grain", "leaf", "fed", "firm", "dried", "cured", "smoked":
		return true
	}
	return false
}

// ofChoice reports "choice", "your choosing" and the like after "of".
func (r *reader) ofChoice(t []token, i int) bool {
	if r.word(t, i) == "your" {
		i++
	}
	switch r.word(t, i) {
	case "choice", "choosing", "preference", "liking":
		return true
	}
	return false
}

// foodsListed reports a line of three or more short names, the last one known:
// "Marjoram, mace, pepper".
func (r *reader) foodsListed(t []token, p, to int) bool {
	names, words := 1, 0
	for q := p; q < to && q < p+24; q++ {
		switch {
		case t[q].c == ',':
			if words == 0 || words > 2 {
				return false
			}
			names, words = names+1, 0
		case t[q].k == word && t[q].cls&(isPrep|isStop|isAdverb|isSize|isKeep) == 0:
			words++
		default:
			return false
		}
	}
	return names >= 3 && words > 0 && words <= 2 && r.knownFood(t, to-1)
}

// foodFollows reports whether one known food and nothing else follows up to the
// next comma: "Salt, pepper".
func (r *reader) foodFollows(t []token, p, to int) bool {
	q := p
	for q < to && q < p+4 && t[q].k == word {
		if t[q].cls&(isPrep|isStop|isAdverb|isSize) != 0 {
			return false
		}
		q++
	}
	if q == p || q < to && t[q].c != ',' {
		return false
	}
	var buf [4]string
	stems := buf[:0]
	for _, k := range t[p:q] {
		stems = append(stems, pantry.Stem(pantry.Fold(r.low[k.s:k.e])))
	}
	return pantry.Food(stems) == len(stems)
}

// sharedHead reports whether the "or" at token p joins words before one head,
// so that the alternatives stay whole.
func (r *reader) sharedHead(t []token, start, p, to int) bool {
	if p == start || p+1 >= to {
		return false
	}
	before := r.word(t, p-1)
	if hasClass(before, isHead) && t[p-1].cls&isMod == 0 || hasClass(before, isWhole) {
		return false
	}
	last := p
	for q := p + 1; q < to && q <= p+5; q++ {
		if t[q].k == dash && !t[q].space || t[q].c == '/' {
			continue
		}
		if t[q].k != word || t[q].cls&isStop != 0 && r.word(t, q) != "or" {
			break
		}
		last = q
	}
	if last <= p+1 || p-start > 2 {
		return false
	}
	if hasClass(r.word(t, last), isHead) {
		return true
	}
	// "fresh or pickled beets", "button or brown mushrooms": what stands before
	// is no food of its own.
	return t[p-1].cls&(isKeep|isMod) != 0 || !r.knownFood(t, p-1)
}

func (r *reader) knownFood(t []token, i int) bool {
	stem := [1]string{pantry.Stem(pantry.Fold(r.word(t, i)))}
	return pantry.Food(stem[:]) == 1
}
