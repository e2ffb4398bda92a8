package recipe

import (
	"fairladle/challenge/measure"
	"fairladle/challenge/pantry"
)

// prose finds the ingredients of a recipe that has no list: the amounts in its
// sentences become the list, and its paragraphs the steps.
func (r *reader) prose() {
	for _, c := range r.b.Components {
		if len(c.Ingredients) > 0 {
			r.alsoInProse()
			return
		}
	}
	steps := r.b.Steps()
	if len(steps) == 0 {
		for _, p := range r.b.Intro {
			b := block{s: p.Start, e: p.End}
			if r.greets(b) || p.End-p.Start < 40 && r.signOff(b) {
				r.b.Notes = append(r.b.Notes, p)
				continue
			}
			r.addStep(b)
		}
		r.b.Intro = nil
		steps = r.b.Steps()
	}
	for _, st := range steps {
		r.proseIngredients(st.At.Start, st.At.End)
	}
}

// alsoInProse adds the amounts that the sentences of an old recipe name beside
// its plain list. A list under a heading or with bullets is taken as complete.
func (r *reader) alsoInProse() {
	if r.listed || r.bulleted {
		return
	}
	have := map[string]bool{}
	for _, c := range r.b.Components {
		for _, in := range c.Ingredients {
			for _, w := range pantry.AppendStems(nil, in.Name) {
				have[w] = true
			}
		}
	}
	r.have = have
	for _, st := range r.b.Steps() {
		r.proseIngredients(st.At.Start, st.At.End)
	}
	r.have = nil
}

// proseIngredients finds amounts followed by a food in text[s:e).
func (r *reader) proseIngredients(s, e int) {
	t := r.scan(s, e)
	stems := r.stems(t)
	for i := 0; i < len(t) && r.count < maxElements; i++ {
		another := r.word(t, i) == "another"
		if t[i].k != digits && t[i].k != vulgar && t[i].cls&isNumber == 0 && !r.isArticle(t, i) && !another {
			continue
		}
		if r.givesSize(t, i) {
			continue
		}
		a, ok := r.amount(t, i, true)
		if another {
			a, ok = r.anotherOf(t, i)
		}
		if !ok || r.isDuration(t, a) || a.to >= len(t) {
			continue
		}
		if _, next, ok := r.duration(t, i); ok {
			i = next - 1
			continue
		}
		if measure.KindOf(a.unit) == measure.Length && !r.lengthOfFood(t, a) {
			i = a.to - 1
			continue // "an inch thick"
		}
		if a.unit == "" && r.word(t, a.to) == "of" && r.word(t, a.to+1) == "the" {
			i = a.to
			continue // "a quarter of the batter" is a part of what there is
		}
		from := r.skipFiller(t, a.to, len(t))
		end := r.foodEnd(t, stems, from, a.unit != "")
		if r.eachOf(t, a.to, from) && end > from && r.word(t, end) == "and" {
			if more := r.foodEnd(t, stems, end+1, true); more > end+1 {
				end = more
			}
		}
		if end == from || a.unit == "" && r.dish(t, stems, i, end) || r.ofThePart(stems[end-1]) {
			continue
		}
		in := Ingredient{At: Place{t[a.from].s, t[end-1].e}, Amount: a.rng, Unit: a.unit, About: a.about,
			AmountAt: Place{t[a.from].s, t[a.to-1].e}, FromProse: true, Sure: 0.6}
		in.Text = r.clean(in.At.Start, in.At.End)
		r.name(t, []span{{a.to, end}}, &in)
		if r.have != nil && r.have[stems[end-1]] {
			i = end - 1
			continue
		}
		if in.Name != "" {
			r.count++
			c := r.component()
			c.Ingredients = append(c.Ingredients, in)
		}
		i = end - 1
	}
}

// anotherOf reads "another cup of" as one of the unit.
func (r *reader) anotherOf(t []token, i int) (amount, bool) {
	u, next, ok := r.unit(t, i+1)
	return amount{rng: measure.Exactly(measure.Whole(1)), unit: u, from: i, to: next}, ok
}

// eachOf reports "each of" among tokens [from, to).
func (r *reader) eachOf(t []token, from, to int) bool {
	for k := from; k < to; k++ {
		if r.word(t, k) == "each" {
			return true
		}
	}
	return false
}

// ofThePart reports what the recipe makes itself: "a tsp filling in each".
func (r *reader) ofThePart(stem string) bool {
	switch stem {
	case "filling", "mixture", "batter", "dough", "topping", "glaze", "icing", "skewer", "mix":
		return true
	}
	return false
}

// givesSize reports "the size of" and "as large as" before token i.
func (r *reader) givesSize(t []token, i int) bool {
	switch r.word(t, i-1) {
	case "of":
		w := r.word(t, i-2)
		return w == "size" || w == "shape" || w == "thickness" || w == "bigness"
	case "as":
		return r.word(t, i-3) == "as" && t[i-2].cls&isSize != 0
	}
	return false
}

// lengthOfFood reports "a 2-inch piece of ginger": what a length measures else is
// a cut or a tin.
func (r *reader) lengthOfFood(t []token, a amount) bool {
	for k := a.from; k < a.to; k++ {
		switch r.word(t, k) {
		case "piece", "knob", "stick", "chunk":
			return true
		}
	}
	return false
}

// dish reports whether "a soup", "one large cake" tells what is made.
func (r *reader) dish(t []token, stems []string, i, end int) bool {
	return hasClass(stems[end-1], isDish) && (r.isArticle(t, i) || r.word(t, i) == "one") || end < len(t) && hasClass(stems[end], isDish)
}

// foodEnd gives the end of the food name that starts at token p, within its
// adjectives; p where no known food follows.
func (r *reader) foodEnd(t []token, stems []string, p int, measured bool) int {
	for q := p; q < len(t) && q < p+7 && (t[q].k == word || q > p && t[q].k == dash && !t[q].space); q++ {
		if t[q].k == dash { // "hard-shell crabs"
			continue
		}
		if n := pantry.Food(stems[q:min(len(stems), q+6)]); n > 0 {
			end := q + n
			for end < len(t) && t[end].k == word && (t[end].cls&(isVerb|isNounVerb|isStop) == 0 || stems[end] == "mince") && end < p+9 { // buttered bread crumbs
				more := pantry.Food(stems[end:min(len(stems), end+6)])
				if more == 0 && (hasClass(r.word(t, end), isHead) || stems[end] == "mince") {
					more = 1 // "beef mince"
				}
				if more == 0 {
					break
				}
				end += more
			}
			if gear, _ := pantry.Equipment(stems[min(end, len(stems)):min(len(stems), end+3)]); gear != "" {
				return p // "a soup kettle"
			}
			return end
		}
		if measured && t[q].cls&isStop == 0 && q < p+4 && t[q].cls&isVerb == 0 {
			continue // "half a cupful of moist sugar"
		}
		if q+1 < len(t) && t[q+1].k == dash && !t[q+1].space || q > p && t[q-1].k == dash {
			continue
		}
		if t[q].cls&(isKeep|isPrep|isAdverb|isSize|isMod) == 0 {
			return r.unknownFood(t, p, measured)
		}
	}
	return r.unknownFood(t, p, measured)
}

// unknownFood gives the end of one to three plain words after a measure: "1 tbsp
// dashi" names a food whether a table knows it or not.
func (r *reader) unknownFood(t []token, p int, measured bool) int {
	if !measured {
		return p
	}
	q := p
	for q < len(t) && q < p+3 && t[q].k == word && t[q].cls&(isStop|isVerb|isTime|isNumber|isUnit) == 0 && r.word(t, q) != "and" && r.word(t, q) != "the" {
		q++
	}
	if q < len(t) && t[q].k == word && r.word(t, q) != "and" && t[q].cls&isStop == 0 {
		return p // goes on like a sentence
	}
	return q
}
