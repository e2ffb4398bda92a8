package recipe

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"fairladle/challenge/measure"
)

// MaxText is how many bytes of a text are read; what lies beyond stays in the
// original and is named in a finding.
const MaxText = 1 << 20

// maxElements bounds ingredients and steps each, so that a hostile text cannot
// turn into an unbounded breakdown.
const maxElements = 2000

// reader holds one reading; its buffers are used again.
type reader struct {
	text, low string
	lex       map[string]class
	b         Breakdown
	blocks    []block
	buf       []token
	stemBuf   []string
	state
}

// state is what a reading remembers from line to line; the zero value is where
// it starts.
type state struct {
	inComment       bool            // within an HTML comment
	gap             bool            // a mark just left out stands for a blank
	sentences       bool            // the paragraph has one sentence to a line
	ruled           bool            // a rule was the last line
	tableRow        int             // how many blocks there were with the last row of a table
	count           int             // ingredients and steps so far
	current         int             // the component that is open
	level           int             // of the heading that opened it
	listed          bool            // a heading announces the ingredients
	bulleted        bool            // some ingredient has a bullet
	afterIngredient bool            // the last element was an ingredient
	afterStep       bool            // the last element was a step
	numberedList    bool            // the ingredients are numbered
	numbered        bool            // the method has numbered steps, so a plain paragraph is a remark
	signed          bool            // a sign-off has been seen
	have            map[string]bool // words of listed ingredients, while prose is searched for more
}

var readers = sync.Pool{New: func() any { return &reader{lex: lexicon()} }}

// Read derives the breakdown of a text. It never fails and never panics, and its
// time is linear in the length of the text.
func Read(text string) Breakdown {
	r := readers.Get().(*reader)
	defer readers.Put(r)
	whole := len(text)
	if len(text) > MaxText {
		text = text[:MaxText]
		for len(text) > 0 && !utf8.RuneStart(text[len(text)-1]) {
			text = text[:len(text)-1]
		}
	}
	r.text, r.low = text, lowASCII(text)
	r.b, r.blocks, r.state = Breakdown{Reader: Version}, r.blocks[:0], state{}
	r.layout()
	r.sections()
	r.dropEmpty()
	r.title()
	r.prose()
	r.titleYield()
	b := r.b
	b.judge(text)
	if whole > MaxText {
		b.find("too-long", Look, Place{MaxText, MaxText}, "", "The text is very long; only its beginning was read.")
	}
	r.text, r.low, r.b = "", "", Breakdown{}
	return b
}

// sections walks the blocks and decides what each is.
func (r *reader) sections() {
	sec, seenIngredients := intro, false
	r.listed = r.hasIngredientHeading()
	for i := range r.blocks {
		b := r.blocks[i]
		if b.kind == headingBlock {
			r.numbered = false
			sec = r.enterHeading(b.s, b.e, b.level, sec, i)
			continue
		}
		if len(r.b.Components) == 0 && r.mailHeader(b) {
			continue
		}
		if end := r.announces(b.s, b.e); end > 0 && b.kind != numberBlock {
			sec = r.inlineSection(b, end)
			seenIngredients = true
			continue
		}
		if s, e, ok := r.headingByLook(b); ok && (b.kind == plainBlock || r.subHeading(i, s, e)) {
			if r.header(b.s, b.e, sec == ingredients) {
				continue
			}
			if r.leadIn(s, e) {
				r.b.Intro = append(r.b.Intro, Place{b.s, b.e})
				continue
			}
			if !(i == 0 && b.kind == plainBlock && r.headingSection(s, e) == other) {
				sec = r.enterHeading(s, e, lookLevel, sec, i)
				continue
			}
		}
		if sec != method && sec != ingredients || r.blocks[i].e-r.blocks[i].s < 80 {
			if r.header(b.s, b.e, sec == ingredients) {
				continue
			}
		}
		if r.b.Title == "" && len(r.b.Components) == 0 && b.kind == plainBlock && b.e-b.s <= 90 && r.looksIngredient(b.s, b.e) < 2 && r.looksTitle(i) {
			r.setTitle(b.s, b.e, 0.9)
			continue
		}
		if strings.HasPrefix(r.low[b.s:b.e], "tags:") {
			continue
		}
		r.place(b, &sec, &seenIngredients)
	}
}

// mailHeader: the lines of a forwarded mail that are no recipe.
func (r *reader) mailHeader(b block) bool {
	for _, p := range []string{"subject:", "from:", "to:", "cc:", "date:", "sent:", "reply-to:"} {
		if strings.HasPrefix(r.low[b.s:b.e], p) {
			return true
		}
	}
	return false
}

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

// severalAmounts reports a line such as "50 g oats, 100 ml milk, 1 tsp honey".
func (r *reader) severalAmounts(b block) bool {
	t := r.scan(b.s, r.start(b.s, b.e, maxLine))
	if _, ok := r.amount(t, 0, true); !ok {
		return false
	}
	n := 0
	for i := 1; i+1 < len(t); i++ {
		if t[i].c != ',' && t[i].c != ';' {
			continue
		}
		if a, ok := r.amount(t, i+1, true); ok && !r.isDuration(t, a) {
			n++
		}
	}
	return n >= 2
}

// inlineIngredients reads a list that is separated by commas.
func (r *reader) inlineIngredients(b block) {
	depth, start := 0, b.s
	for i := b.s; i <= b.e; i++ {
		if i < b.e {
			switch r.text[i] {
			case '(', '[':
				depth++
			case ')', ']':
				depth--
			}
			if r.text[i] != ',' && r.text[i] != ';' && r.text[i] != '\n' || depth > 0 ||
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

// looksTitle: the first line, or in a letter the first short line that stands
// alone and is no sentence.
func (r *reader) looksTitle(i int) bool {
	b := r.blocks[i]
	v := r.low[b.s:b.e]
	if r.greets(b) {
		return false
	}
	if i == 0 {
		return true
	}
	next := i+1 >= len(r.blocks) || r.blocks[i+1].gap || r.text[r.blocks[i+1].s] == '(' || strings.HasPrefix(r.low[r.blocks[i+1].s:], "serves")
	return b.gap && next && b.lines == 1 && strings.Count(v, " ") < 9 && strings.IndexByte(".,!?;:", v[len(v)-1]) < 0
}

// greets: the line of a letter that greets.
func (r *reader) greets(b block) bool {
	v := r.low[b.s:b.e]
	for _, greeting := range []string{"hi", "hello", "dear", "hey", "good morning", "good evening", "good afternoon", "greetings"} {
		if rest, ok := strings.CutPrefix(v, greeting); ok && (rest == "" || rest[0] == ' ' || rest[0] == ',' || rest[0] == '!') {
			return true
		}
	}
	return false
}

// subHeading: a list item counts as a heading when list items that look like
// ingredients follow it deeper.
func (r *reader) subHeading(i, s, e int) bool {
	return i+1 < len(r.blocks) && r.blocks[i+1].kind != headingBlock && r.blocks[i+1].indent > r.blocks[i].indent &&
		r.text[r.blocks[i].e-1] == ':' && r.looksStep(s, e) < 2
}

func (r *reader) enterHeading(s, e, level int, now section, i int) section {
	sec := r.headingSection(s, e)
	if sec != other {
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
	return words >= 3 && t[0].cls&isVerb != 0 && !nounVerbs[r.word(t, 0)] || r.word(t, 0) == "and"
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
		if k.k == word && headingWords[r.low[k.s:k.e]] != intro {
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
		if headingWords[r.word(t, key)] != ingredients {
			return false
		}
	}
	for from < to && plainHeading[r.word(t, from)] {
		from++
	}
	for to > from && t[to-1].k != word {
		to--
	}
	if to <= from || to-from > 4 {
		return false
	}
	for i := from; i < to; i++ {
		if t[i].k != word || plainHeading[r.word(t, i)] {
			return false
		}
	}
	r.level = level
	r.openComponent(t[from].s, t[to-1].e)
	return true
}

// plainHeading are words of a heading that name no part.
var plainHeading = map[string]bool{"for": true, "the": true, "and": true, "of": true, "list": true, "needed": true, "you": true,
	"need": true, "ll": true, "you'll": true, "will": true, "what": true, "main": true, "a": true, "to": true, "how": true, "make": true,
	"cooking": true, "recipe": true, "step": true, "by": true, "detailed": true, "basic": true, "your": true, "this": true, "it": true,
	"servings": true, "serves": true, "people": true, "all": true, "full": true, "short": true, "long": true, "quick": true, "other": true,
	"special": true, "optional": true, "suggested": true, "required": true, "in": true, "order": true, "s": true, "my": true, "general": true}

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
		if name := strings.Trim(r.clean(t[from].s, e), " :*_"); name != "" {
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
		if b.kind == numberBlock && !r.numberedList && (r.looksStep(b.s, b.e) == 2 || r.verbFirst(b)) {
			r.addStep(b)
			return
		}
		r.numberedList = r.numberedList || b.kind == numberBlock
		if b.kind == numberBlock && r.looksStep(b.s, b.e) == 2 || b.kind == plainBlock && (b.e-b.s > 150 || r.stepAmongIngredients(b) || r.looksStep(b.s, b.e) >= 1 && r.looksIngredient(b.s, b.e) == 0) {
			if r.looksStep(b.s, b.e) == 2 {
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
		if b.kind == bulletBlock && r.looksIngredient(b.s, b.e) == 2 && r.looksStep(b.s, b.e) == 0 {
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
		if b.kind == plainBlock && (b.gap || r.signed) && r.signOff(b) {
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
	case b.kind == numberBlock || step == 2 && (*seen || b.kind == bulletBlock):
		r.addStep(b)
	case *seen && step >= 1 && !b.ruled, *seen && !b.gap && r.afterStep && b.kind == plainBlock:
		r.addStep(b)
	case *seen:
		r.afterStep = false
		r.b.Notes = append(r.b.Notes, Place{b.s, b.e})
	default:
		r.b.Intro = append(r.b.Intro, Place{b.s, b.e})
	}
}

// verbFirst reports a block that opens with a verb of cooking.
func (r *reader) verbFirst(b block) bool {
	t := r.scan(b.s, r.start(b.s, b.e, 60))
	return len(t) > 0 && t[0].cls&isVerb != 0 && t[0].cls&isPrep == 0
}

// signOff: a few words after the method that tell nothing to do.
func (r *reader) signOff(b block) bool {
	v := r.low[b.s:b.e]
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
	return words >= 5 && (stop || !nounVerbs[w]) || words >= 3 && stop && !nounVerbs[w]
}

func (r *reader) addIngredient(b block) {
	if r.count >= maxElements {
		return
	}
	r.count++
	r.afterIngredient, r.afterStep = true, false
	r.bulleted = r.bulleted || b.kind != plainBlock
	in := r.ingredient(b.s, b.e)
	c := r.component()
	in.Optional = in.Optional || c.Optional
	if c.Ingredients == nil {
		c.Ingredients = make([]Ingredient, 0, 8)
	}
	c.Ingredients = append(c.Ingredients, in)
}

func (r *reader) addStep(b block) {
	r.afterIngredient, r.afterStep = false, true
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

func (r *reader) setTitle(s, e int, sure float64) {
	t := r.scan(s, e)
	r.b.Title = r.phrase(t, 0, len(t))
	if r.b.Title == "" {
		r.b.Title = r.clean(s, e)
	}
	r.b.TitleAt, r.b.TitleSure = Place{s, e}, sure
}

// titleYield reads "Fish pie for 6" and "Soup (serves 4)" where no line gives
// the yield.
func (r *reader) titleYield() {
	if r.b.Yield.At.IsZero() && !r.b.TitleAt.IsZero() && r.b.TitleSure >= 0.5 {
		r.yieldWithin(r.b.TitleAt, true)
	}
	for c := range r.b.Components {
		for _, st := range r.b.Components[c].Steps {
			if r.b.Yield.At.IsZero() {
				r.yieldWithin(st.At, false)
			}
		}
	}
	for _, list := range [][]Place{r.b.Intro, r.b.Notes} {
		for _, p := range list {
			if r.b.Yield.At.IsZero() {
				r.yieldWithin(p, false)
			}
		}
	}
}

// yieldWithin finds "serves 6" or "Makes 16." in a sentence, or in a title also
// "for 6".
func (r *reader) yieldWithin(p Place, title bool) {
	t := r.scan(p.Start, p.End)
	for i := range t {
		w := r.word(t, i)
		if title && (t[i].k == digits || t[i].cls&isNumber != 0) { // "(1 person)"
			if n, next, ok := r.number(t, i, false); ok && (r.word(t, next) == "person" || r.word(t, next) == "people" || r.word(t, next) == "portions") {
				r.b.Yield = Yield{Text: r.clean(t[i].s, t[next].e), Servings: measure.Exactly(n), At: Place{t[i].s, t[next].e}}
				return
			}
		}
		if !(title && w == "for") && w != "serves" && w != "feeds" && w != "servings" && w != "makes" && w != "yields" {
			continue
		}
		if w == "makes" || w == "yields" {
			if i == 0 || t[i-1].k != word {
				r.makes(t, i)
			}
			if !r.b.Yield.At.IsZero() {
				return
			}
			continue
		}
		n, next, ok := r.number(t, i+1, false)
		if !ok || n.Cmp(measure.Whole(100)) > 0 {
			continue
		}
		rng := measure.Exactly(n)
		if hi, after, ok := r.rangeEnd(t, next); ok {
			rng, next = measure.Between(n, hi), after
		}
		if next >= len(t) || t[next].k == punct && t[next].c != '/' || r.isServing(t, next) {
			at := Place{t[i].s, t[next-1].e}
			r.b.Yield = Yield{Text: r.clean(at.Start, at.End), Servings: rng, At: at}
			return
		}
	}
}

// makes reads "Makes about 16 bars." at the start of a sentence.
func (r *reader) makes(t []token, i int) {
	a, ok := r.amount(t, i+1, false)
	if !ok || r.isDuration(t, a) {
		return
	}
	end := r.clauseEnd(t, a.to)
	if end < len(t) && t[end].c != '.' && t[end].c != ')' && t[end].c != ',' && t[end].c != '!' {
		return
	}
	at := Place{t[i].s, t[max(end, a.to)-1].e}
	r.b.Yield = Yield{Text: r.clean(at.Start, at.End), Count: a.rng, Pieces: r.phrase(t, a.to, end), At: at}
	if a.unit == "serving" {
		r.b.Yield.Servings, r.b.Yield.Count, r.b.Yield.Pieces = a.rng, measure.Range{}, ""
	}
}

// title falls back to the first line or the first words.
func (r *reader) title() {
	if r.b.Title != "" {
		return
	}
	if len(r.blocks) == 0 {
		return
	}
	b := r.blocks[0]
	for i := 1; i < len(r.blocks) && i < 10 && (r.mailHeader(b) || r.greets(b)); i++ {
		b = r.blocks[i]
	}
	s, e := b.s, b.e
	if n := strings.IndexByte(r.text[s:e], '\n'); n > 0 {
		e = s + n
	}
	if e-s > 60 {
		cut := strings.LastIndexByte(r.text[s:s+60], ' ')
		if cut < 20 {
			cut = 60
			for cut > 0 && !utf8.RuneStart(r.text[s+cut]) {
				cut--
			}
		}
		e = s + cut
	}
	r.setTitle(s, e, 0.4)
}
