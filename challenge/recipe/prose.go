package recipe

import "fairladle/challenge/pantry"

// prose finds the ingredients of a recipe that has no list: the amounts in its
// sentences become the list, and its paragraphs the steps.
func (r *reader) prose() {
	for _, c := range r.b.Components {
		if len(c.Ingredients) > 0 {
			return
		}
	}
	steps := r.b.Steps()
	if len(steps) == 0 {
		for _, p := range r.b.Intro {
			r.addStep(block{s: p.Start, e: p.End})
		}
		r.b.Intro = nil
		steps = r.b.Steps()
	}
	for _, st := range steps {
		r.proseIngredients(st.At.Start, st.At.End)
	}
}

// proseIngredients finds amounts followed by a food in text[s:e).
func (r *reader) proseIngredients(s, e int) {
	t := r.scan(s, e)
	stems := r.stems(t)
	for i := 0; i < len(t) && r.count < maxElements; i++ {
		if t[i].k != digits && t[i].k != vulgar && t[i].cls&isNumber == 0 && !r.isArticle(t, i) {
			continue
		}
		a, ok := r.amount(t, i, true)
		if !ok || r.isDuration(t, a) || a.to >= len(t) {
			continue
		}
		if _, next, ok := r.duration(t, i); ok {
			i = next - 1
			continue
		}
		from := r.skipFiller(t, a.to, len(t))
		end := r.foodEnd(t, stems, from)
		if end == from {
			continue
		}
		in := Ingredient{At: Place{t[a.from].s, t[end-1].e}, Amount: a.rng, Unit: a.unit, About: a.about,
			AmountAt: Place{t[a.from].s, t[a.to-1].e}, FromProse: true, Sure: 0.6}
		in.Text = r.clean(in.At.Start, in.At.End)
		r.name(t, []span{{a.to, end}}, &in)
		if in.Name != "" {
			r.count++
			c := r.component()
			c.Ingredients = append(c.Ingredients, in)
		}
		i = end - 1
	}
}

// foodEnd gives the end of the food name that starts at token p, within its
// adjectives; p where no known food follows.
func (r *reader) foodEnd(t []token, stems []string, p int) int {
	for q := p; q < len(t) && q < p+6 && t[q].k == word; q++ {
		if n := pantry.Food(stems[q:min(len(stems), q+6)]); n > 0 {
			return q + n
		}
		if t[q].cls&(isKeep|isPrep|isAdverb|isSize|isMod) == 0 {
			return p
		}
	}
	return p
}
