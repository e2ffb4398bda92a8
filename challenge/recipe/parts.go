package recipe

import (
	"slices"
	"strings"
)

// subHeading: a list item counts as a heading when list items that look like
// ingredients follow it deeper.
func (r *reader) subHeading(i, s, e int) bool {
	return i+1 < len(r.blocks) && r.blocks[i+1].kind != headingBlock && r.blocks[i+1].indent > r.blocks[i].indent &&
		r.text[r.blocks[i].e-1] == ':' && r.looksStep(s, e) < 2
}

func (r *reader) enterHeading(s, e, level int, now section, i int) section {
	sec := r.headingSection(s, e)
	if sec != other {
		if sec == ingredients && r.b.Yield.At.IsZero() {
			r.yieldWithin(Place{s, e}, true)
		}
		if sec == ingredients || sec == method {
			if !r.namedPart(s, e, level) {
				r.openPart(sec, level)
			}
		}
		return sec
	}
	if r.b.Title == "" && (level <= 2 || i == 0) && len(r.b.Components) == 0 {
		r.setTitle(s, e, 1)
		return intro
	}
	if v := r.text[s:e]; now == intro && (strings.EqualFold(v, r.b.Title) || v[len(v)-1] == '.' || v[len(v)-1] == '!' || !r.opensComponent(s, e, i)) {
		return intro // a subtitle
	}
	r.level = level
	switch now {
	case ingredients, intro, other:
		if r.followedByContent(i) {
			r.openComponent(s, e)
			if now == intro {
				return other
			}
			return now
		}
		return other
	case method:
		r.openComponent(s, e)
		return method
	}
	if level <= 2 && r.followedByContent(i) {
		r.openComponent(s, e)
		return other
	}
	return now
}

// dropEmpty drops components that hold nothing.
func (r *reader) dropEmpty() {
	r.b.Components = slices.DeleteFunc(r.b.Components, func(c Component) bool {
		return len(c.Ingredients) == 0 && len(c.Steps) == 0
	})
	r.current = max(0, min(r.current, len(r.b.Components)-1))
}

// lookLevel is the level of a heading without a heading mark.
const lookLevel = 7

// hasIngredientHeading reports whether some heading announces the ingredients;
// then weak list items before it are none.
func (r *reader) hasIngredientHeading() bool {
	for _, b := range r.blocks {
		s, e, ok := b.s, b.e, b.kind == headingBlock
		if !ok && b.kind == plainBlock {
			s, e, ok = r.headingByLook(b)
		}
		if ok && r.headingSection(s, e) == ingredients {
			return true
		}
	}
	return false
}

// bareHeading: "Dough" alone above lines that begin with amounts, or above bullets
// of a list.
func (r *reader) bareHeading(i int, sec section) bool {
	b := r.blocks[i]
	if i == 0 || i+1 >= len(r.blocks) || b.kind != plainBlock || !b.gap && r.blocks[i-1].kind != headingBlock || b.lines > 1 || b.e-b.s > 30 {
		return false
	}
	n := r.blocks[i+1]
	v := r.text[b.s:b.e]
	if n.kind == bulletBlock && !n.gap && sec == ingredients && strings.Count(v, " ") < 4 && !strings.ContainsAny(v, "0123456789.,;!?:") {
		return true
	}
	return !n.gap && n.kind == plainBlock && r.text[n.s] >= '0' && r.text[n.s] <= '9' && strings.Count(v, " ") < 3 &&
		!strings.ContainsAny(v, "0123456789.,;:!?()") && r.looksIngredient(n.s, n.e) == 2 && r.b.Title != ""
}

// leadIn: "Combine in a bowl:" introduces what follows but names nothing.
func (r *reader) leadIn(s, e int) bool {
	if r.headingSection(s, e) != other {
		return false
	}
	t := r.scan(s, e)
	words := 0
	for _, k := range t {
		if k.k == word {
			words++
		}
		switch r.low[k.s:k.e] {
		case "are", "is", "must", "will", "can", "should":
			return true
		}
	}
	return words >= 3 && t[0].cls&isVerb != 0 && !hasClass(r.word(t, 0), isNounVerb) || r.word(t, 0) == "and"
}

// opensComponent: before any ingredient a heading names a component only where a
// list, or a heading for ingredients or method, follows it.
func (r *reader) opensComponent(s, e, i int) bool {
	if strings.HasPrefix(r.low[s:e], "for the ") {
		return true
	}
	if i+1 >= len(r.blocks) {
		return false
	}
	n := r.blocks[i+1]
	if n.kind == headingBlock {
		sec := r.headingSection(n.s, n.e)
		return sec == ingredients || sec == method
	}
	if hs, he, ok := r.headingByLook(n); ok && n.kind == plainBlock {
		sec := r.headingSection(hs, he)
		return sec == ingredients || sec == method
	}
	return n.kind == bulletBlock || r.looksIngredient(n.s, n.e) == 2
}

func (r *reader) followedByContent(i int) bool { return i+1 < len(r.blocks) }

// openPart starts ingredients or method. A method heading no deeper than the
// component's own belongs to the whole recipe again.
func (r *reader) openPart(sec section, level int) {
	if sec != method || len(r.b.Components) == 0 || r.b.Components[r.current].Name == "" || level > r.level {
		return
	}
	for i := range r.b.Components {
		if r.b.Components[i].Name == "" {
			r.current = i
			return
		}
	}
	r.b.Components = append(r.b.Components, Component{})
	r.current = len(r.b.Components) - 1
}

// namedPart opens the component of "Dough ingredients" or "Directions for the
// glaze".
func (r *reader) namedPart(s, e, level int) bool {
	t := r.scan(s, e)
	key := -1
	for i, k := range t {
		if k.k == word && headingWords()[r.low[k.s:k.e]] != intro {
			key = i
			break
		}
	}
	if key < 0 || len(t) > 8 {
		return false
	}
	from, to := key+1, len(t) // Directions for the glaze
	if r.word(t, from) != "for" {
		from, to = 0, key // Dough ingredients
		if w := r.word(t, key); w == "method" && key == len(t)-1 && key > 0 && !hasClass(r.word(t, key-1), isPlain) {
			r.level = level
			r.openComponent(s, e) // The Water Method
			return true
		}
		if headingWords()[r.word(t, key)] != ingredients {
			return false
		}
	}
	for from < to && hasClass(r.word(t, from), isPlain) {
		from++
	}
	for to > from && t[to-1].k != word {
		to--
	}
	if to <= from || to-from > 4 {
		return false
	}
	for i := from; i < to; i++ {
		if t[i].k != word || hasClass(r.word(t, i), isPlain) {
			return false
		}
	}
	r.level = level
	r.openComponent(t[from].s, t[to-1].e)
	return true
}

// openComponent starts the component with this name, again if it exists.
func (r *reader) openComponent(s, e int) {
	name := r.componentName(s, e)
	key := strings.ToLower(name)
	for i := range r.b.Components {
		if strings.ToLower(r.b.Components[i].Name) == key {
			r.current = i
			return
		}
	}
	if len(r.b.Components) >= maxElements/10 {
		return
	}
	r.b.Components = append(r.b.Components, Component{Name: name, At: Place{s, e}, Optional: strings.Contains(key, "optional")})
	r.current = len(r.b.Components) - 1
}

// componentName takes "For the" off "For the sauce".
func (r *reader) componentName(s, e int) string {
	t := r.scan(s, e)
	from := 0
	if r.word(t, 0) == "for" {
		from = 1
		if r.word(t, 1) == "the" {
			from = 2
		}
	}
	if from < len(t) {
		if name := strings.Trim(r.clean(t[from].s, e), " :*_-–.="); name != "" {
			return name
		}
	}
	return r.clean(s, e)
}

func (r *reader) component() *Component {
	if len(r.b.Components) == 0 {
		r.b.Components = append(r.b.Components, Component{})
		r.current = 0
	}
	return &r.b.Components[r.current]
}
