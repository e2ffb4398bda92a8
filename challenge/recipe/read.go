package recipe

import (
	"strings"
	"sync"
	"unicode/utf8"
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
	quoted          bool            // the text is a forwarded mail
	sentences       bool            // the paragraph has one sentence to a line
	ruled           bool            // a rule was the last line
	tableRow        int             // how many blocks there were with the last row of a table
	count           int             // ingredients and steps so far
	current         int             // the component that is open
	level           int             // of the heading that opened it
	listed          bool            // a heading announces the ingredients
	bulleted        bool            // some ingredient has a bullet
	afterIngredient bool            // the last element was an ingredient
	steps           int             // steps so far
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
	r.title()
	r.prose()
	r.dropEmpty()
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
		if b.kind != numberBlock && r.timesLine(b) {
			continue
		}
		if end := r.announces(b.s, b.e); end > 0 && b.kind != numberBlock {
			sec = r.inlineSection(b, end)
			seenIngredients = true
			continue
		}
		if b.kind != numberBlock && sec != method && r.labelledList(b) {
			seenIngredients = true
			continue
		}
		if r.bareHeading(i, sec) {
			sec = r.enterHeading(b.s, b.e, lookLevel, sec, i)
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
		if r.b.Title == "" && len(r.b.Components) == 0 && b.kind == plainBlock && (b.e-b.s <= 90 || i == 0 && r.firstSentence(b) < b.e) && (i == 0 && r.firstSentence(b) < b.e || r.looksIngredient(b.s, b.e) < 2 || r.alone(i)) && r.looksTitle(i) {
			end := r.firstSentence(b)
			if end == b.e {
				r.setTitle(b.s, b.e, 0.9)
				continue
			}
			if end > b.s { // "Rolled omelette. Beat four eggs ..."
				r.setTitle(b.s, end, 0.7)
				b.s = skipBlank(r.text, end, b.e)
			}
		}
		if strings.HasPrefix(r.low[b.s:b.e], "tags:") {
			continue
		}
		r.place(b, &sec, &seenIngredients)
	}
}
