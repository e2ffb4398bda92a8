package recipe

import (
	"strings"
)

// inlineSection reads "Ingredients: 2 eggs, milk (cold), salt" item by item, and
// "Method: ..." as a step.
func (r *reader) inlineSection(b block, from int) section {
	sec := r.headingSection(b.s, from-1)
	b.kind, b.s = plainBlock, skipBlank(r.text, from, b.e)
	if sec == method {
		r.addStep(b)
		return sec
	}
	r.inlineIngredients(b)
	return sec
}

// labelledList reads "Filling: 4 onions, 40 g butter, salt" and "Dough - 2 cups
// flour, a pinch of salt. Knead it.": a component with its list on one line.
func (r *reader) labelledList(b block) bool {
	if t := r.scan(b.s, r.start(b.s, b.e, 40)); len(t) > 0 && headerWords()[r.word(t, 0)] != "" {
		return false
	}
	end := -1
	for i := b.s; i < b.e && i < b.s+60; i++ {
		c := r.text[i]
		if c == ':' || c == '-' && i > b.s && r.text[i-1] == ' ' && i+1 < b.e && r.text[i+1] == ' ' {
			end = i
			break
		}
		if c >= '0' && c <= '9' || c == ',' || c == '.' {
			return false
		}
	}
	if end < 0 || strings.Count(r.text[b.s:end], " ") > 5 {
		return false
	}
	rest := block{s: skipBlank(r.text, end+1, b.e), e: b.e}
	if rest.s >= rest.e || !r.amountsListed(rest, 1) {
		return false
	}
	r.level = lookLevel
	r.openComponent(b.s, b.s+len(strings.TrimRight(r.text[b.s:end], " *_")))
	stop := rest.e
	if i := strings.Index(r.text[rest.s:rest.e], ". "); i > 0 {
		stop = rest.s + i + 1
	}
	r.inlineIngredients(block{s: rest.s, e: stop})
	if s := skipBlank(r.text, stop, rest.e); s < rest.e {
		r.addStep(block{s: s, e: rest.e})
	}
	return true
}

// severalAmounts reports a line such as "50 g oats, 100 ml milk, 1 tsp honey".
func (r *reader) severalAmounts(b block) bool { return r.amountsListed(b, 2) }

// amountsListed reports an amount at the start and at least more of them after
// commas.
func (r *reader) amountsListed(b block, more int) bool {
	t := r.scan(b.s, r.start(b.s, b.e, maxLine))
	if _, ok := r.amount(t, 0, true); !ok {
		return false
	}
	return r.amountsAfter(b, ",;") >= more
}

// amountsAfter counts the amounts that follow one of the marks.
func (r *reader) amountsAfter(b block, marks string) int {
	t, n := r.scan(b.s, r.start(b.s, b.e, maxLine)), 0
	for i := 1; i+1 < len(t); i++ {
		if t[i].k != punct || strings.IndexByte(marks, t[i].c) < 0 {
			continue
		}
		if a, ok := r.amount(t, i+1, true); ok && !r.isDuration(t, a) {
			n++
		}
	}
	return n
}

// wrapWidth is how long a line is at least that a mail program or a book has
// broken, rather than its author.
const wrapWidth = 50

// goesOn reports that the text at i says more about the item before it: "or six
// pounds of veal", "each stuck with cloves", "peeled".
func (r *reader) goesOn(i, e int) bool {
	t := r.scan(i, r.start(i, e, 60))
	if len(t) == 0 || t[0].k != word {
		return false
	}
	switch r.word(t, 0) {
	case "or", "each", "with", "without", "as", "about", "plus", "to", "for":
		return true
	}
	return t[0].cls&isPrep != 0 && t[0].cls&isKeep == 0 && (len(t) == 1 || t[1].k != word || t[1].cls&isStop != 0 || r.word(t, 1) == "and")
}

// inlineIngredients reads a list that is separated by commas.
func (r *reader) inlineIngredients(b block) {
	depth, start, line := 0, b.s, b.s
	commas := !strings.Contains(r.text[b.s:b.e], "; ") || r.amountsAfter(b, ",") > 0
	for i := b.s; i <= b.e; i++ {
		if i < b.e {
			switch r.text[i] {
			case '(', '[':
				depth++
			case ')', ']':
				depth--
			case '\n':
				wrapped := i-line > wrapWidth
				line = i + 1
				if wrapped {
					continue
				}
			}
			if depth == 0 && (r.text[i] == ',' || r.text[i] == ';') && r.goesOn(i+1, b.e) {
				continue
			}
			if (r.text[i] != ',' || !commas) && r.text[i] != ';' && r.text[i] != '\n' || depth > 0 ||
				r.text[i] == ',' && i+1 < b.e && r.text[i+1] >= '0' && r.text[i+1] <= '9' {
				continue
			}
		}
		s := skipBlank(r.text, start, i)
		e := s + len(strings.TrimRight(r.text[s:i], " .\n"))
		if s < e {
			r.addIngredient(block{s: s, e: e})
		}
		start = i + 1
	}
}

// place puts a block that is no heading where it belongs.
func (r *reader) place(b block, sec *section, seen *bool) {
	if r.tip(b) {
		r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
		return
	}
	switch *sec {
	case tools:
		r.b.Equipment = append(r.b.Equipment, Place{b.s, b.e})
		return
	case notes:
		r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
		return
	case ingredients:
		if b.kind == numberBlock && !r.numberedList && (r.looksStep(b.s, b.e) == 2 || r.verbFirst(b) || r.afterStep) {
			r.addStep(b)
			return
		}
		r.numberedList = r.numberedList || b.kind == numberBlock
		if b.kind == numberBlock && r.looksStep(b.s, b.e) == 2 || b.kind == plainBlock && (b.e-b.s > 150 || r.stepAmongIngredients(b) || r.looksStep(b.s, b.e) >= 1 && r.looksIngredient(b.s, b.e) == 0) {
			if r.text[b.e-1] != ':' && (r.looksStep(b.s, b.e) == 2 || b.e-b.s > 150 && r.steps == 0 && r.verbs(b) >= 3) {
				r.addStep(b)
			} else {
				r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
			}
			return
		}
		if b.kind == bulletBlock && r.remarkItem(b) {
			r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
			return
		}
		if b.kind == bulletBlock && r.stepAmongIngredients(b) {
			r.addStep(b)
			return
		}
		*seen = true
		r.addIngredient(b)
		return
	case method:
		if r.ingredientAmongSteps(b) {
			r.addIngredient(b)
			return
		}
		if b.kind == quoteBlock {
			r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
			return
		}
		if b.kind == plainBlock && (b.ruled || r.numbered) && r.looksStep(b.s, b.e) < 2 {
			r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
			return
		}
		if b.kind == plainBlock && (b.gap || r.signed || strings.HasPrefix(r.low[b.s:b.e], "hope ") || strings.HasPrefix(r.low[b.s:b.e], "sent from my ")) && r.signOff(b) {
			r.signed = true
			r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
			return
		}
		r.numbered = b.kind == numberBlock && b.indent < 4 || r.numbered && b.kind != headingBlock
		r.addStep(b)
		return
	}
	look, step := r.looksIngredient(b.s, b.e), r.looksStep(b.s, b.e)
	if c := r.text[b.s]; *sec == intro && r.listed && (c < '0' || c > '9') && c < 0x80 {
		look = min(look, 1)
	}
	switch {
	case b.kind == quoteBlock:
		r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
	case b.kind == plainBlock && step < 2 && r.severalAmounts(b):
		*seen = true
		r.inlineIngredients(b)
	case look == 2 && step < 2 && b.e-b.s < 200:
		*seen = true
		r.addIngredient(b)
	case b.kind == plainBlock && !b.gap && r.afterIngredient && look >= 1 && step == 0:
		r.addIngredient(b)
		return
	case b.kind == bulletBlock && look >= 1 && step == 0 && !(*sec == intro && r.listed):
		*seen = true
		r.addIngredient(b)
	case b.kind == numberBlock || step == 2 && (*seen || b.kind == bulletBlock && !(*sec == intro && r.listed)):
		r.addStep(b)
	case *seen && step >= 1 && !b.ruled, *seen && r.steps == 0 && b.e-b.s > 80 && !b.ruled && b.kind == plainBlock, *seen && !b.gap && r.afterStep && b.kind == plainBlock:
		r.addStep(b)
	case *seen:
		r.afterStep = false
		r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
	default:
		r.b.Intro = append(r.b.Intro, Place{b.s, b.e})
	}
}

// ingredientAmongSteps reports an ingredient of a part that is listed within the
// method, under its own heading.
func (r *reader) ingredientAmongSteps(b block) bool {
	look := r.looksIngredient(b.s, b.e)
	if look == 0 || r.looksStep(b.s, b.e) > 0 {
		return false
	}
	if b.kind == bulletBlock {
		return look == 2
	}
	short := b.kind == plainBlock && b.lines == 1 && b.e-b.s < 60 && r.text[b.e-1] != '.'
	return short && !b.gap && (look == 2 && len(r.component().Steps) == 0 || r.afterIngredient && r.component().Name != "")
}

// verbFirst reports a block that opens with a verb of cooking.
func (r *reader) verbFirst(b block) bool {
	t := r.scan(b.s, r.start(b.s, b.e, 60))
	return len(t) > 0 && t[0].cls&isVerb != 0 && t[0].cls&isPrep == 0
}

// verbs counts the cooking verbs at the front of a block.
func (r *reader) verbs(b block) int {
	n := 0
	for _, k := range r.scan(b.s, r.start(b.s, b.e, maxLine)) {
		if k.cls&isVerb != 0 {
			n++
		}
	}
	return n
}

// signOff: a few words after the method that tell nothing to do.
func (r *reader) signOff(b block) bool {
	v := r.low[b.s:b.e]
	if strings.HasPrefix(v, "sent from my ") || strings.HasPrefix(v, "sent from ") && strings.Count(v, " ") < 8 || strings.HasPrefix(v, "get outlook for ") {
		return true
	}
	if strings.HasPrefix(v, "hope ") || strings.HasPrefix(v, "thank") || strings.HasPrefix(v, "enjoy") {
		return strings.Count(v, " ") < 10
	}
	return strings.Count(v, " ") < 3 && !r.verbFirst(b) && r.looksStep(b.s, b.e) == 0
}

// tip: a line that says itself that it is a remark.
func (r *reader) tip(b block) bool {
	v := strings.TrimLeft(r.low[b.s:b.e], "*_ ")
	for _, p := range []string{"tip:", "tips:", "note:", "notes:", "nb:", "n.b.", "ps:", "p.s.", "note -", "tip -", "**note", "cook's note", "cook's tip"} {
		if strings.HasPrefix(v, p) {
			return true
		}
	}
	return false
}

// remarkItem: a list item in the first person is a remark.
func (r *reader) remarkItem(b block) bool {
	v := r.low[b.s:b.e]
	for _, p := range []string{"i ", "i've ", "i’ve ", "i'm ", "you can ", "you could ", "note", "this is ", "it's ", "it is "} {
		if strings.HasPrefix(v, p) {
			return true
		}
	}
	return false
}

// stepAmongIngredients: a bullet of the ingredient list that tells what to do.
func (r *reader) stepAmongIngredients(b block) bool {
	if r.looksIngredient(b.s, b.e) == 2 {
		return false
	}
	t := r.scan(b.s, r.start(b.s, b.e, maxGlance))
	if len(t) == 0 || t[0].cls&isVerb == 0 || t[0].cls&isPrep != 0 || t[0].link {
		return false
	}
	words := 0
	for _, k := range t {
		if k.k == word {
			words++
		}
	}
	stop := t[len(t)-1].c == '.' || t[len(t)-1].c == '!'
	w := r.word(t, 0)
	return words >= 5 && (stop || !hasClass(w, isNounVerb)) || words >= 3 && stop && !hasClass(w, isNounVerb)
}

func (r *reader) addIngredient(b block) {
	if r.count >= maxElements {
		return
	}
	r.afterIngredient, r.afterStep = true, false
	r.bulleted = r.bulleted || b.kind != plainBlock
	c := r.component()
	if c.Ingredients == nil {
		c.Ingredients = make([]Ingredient, 0, 8)
	}
	for n, p := range r.several(b.s, b.e) {
		if r.count++; r.count > maxElements {
			return
		}
		in := r.ingredient(p.Start, p.End)
		if in.SameLine = n > 0; !in.SameLine {
			in.Text = r.clean(b.s, b.e)
		}
		in.Optional = in.Optional || c.Optional
		c.Ingredients = append(c.Ingredients, in)
	}
}

func (r *reader) addStep(b block) {
	r.afterIngredient, r.afterStep = false, true
	r.steps++
	if r.count >= maxElements {
		return
	}
	r.count++
	st := r.step(b.s, b.e)
	c := r.component()
	if c.Steps == nil {
		c.Steps = make([]Step, 0, 6)
	}
	c.Steps = append(c.Steps, st)
}
