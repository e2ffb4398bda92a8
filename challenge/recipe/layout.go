package recipe

import (
	"strings"
	"unicode/utf8"
)

type blockKind uint8

const (
	plainBlock blockKind = iota
	headingBlock
	bulletBlock
	numberBlock
	quoteBlock
)

// block is one element of the text's layout: a heading, a list item, a line or
// a paragraph. [s, e) is its content without bullet or heading marks.
type block struct {
	kind   blockKind
	s, e   int
	level  int  // of a heading, 1 is the highest
	indent int  // columns before the bullet or the text
	gap    bool // a blank line, a rule or an image came before it
	ruled  bool // a rule across the page came before it
	lines  int
	last   int // length of its last physical line, to tell wrapping
}

// layout cuts the text into blocks; front matter is kept apart.
func (r *reader) layout() {
	i, gap := r.frontMatter(), true
	r.quoted = mostlyQuoted(r.text)
	for i < len(r.text) {
		end := strings.IndexByte(r.text[i:], '\n')
		if end < 0 {
			end = len(r.text)
		} else {
			end += i
		}
		gap = r.layoutLine(i, end, gap)
		i = end + 1
	}
}

// frontMatter reads the lines between --- at the start of a Markdown file.
func (r *reader) frontMatter() int {
	start := 0
	if strings.HasPrefix(r.text, "\ufeff") {
		start = 3
	}
	if !strings.HasPrefix(r.text[start:], "---\n") && !strings.HasPrefix(r.text[start:], "---\r\n") {
		return start
	}
	body := start + strings.IndexByte(r.text[start:], '\n') + 1
	for i := body; i < len(r.text) && i < body+4000; {
		end := strings.IndexByte(r.text[i:], '\n')
		if end < 0 {
			return start
		}
		line := strings.TrimRight(r.text[i:i+end], " \r\t")
		if line == "---" || line == "..." {
			return i + end + 1
		}
		if key, value, ok := strings.Cut(line, ":"); ok {
			r.frontField(strings.ToLower(strings.TrimSpace(key)), value, i+len(key)+1)
		}
		i += end + 1
	}
	r.b.Title, r.b.TitleAt = "", Place{}
	return start
}

func (r *reader) frontField(key, value string, at int) {
	trimmed := strings.TrimSpace(value)
	start := at + strings.Index(value, trimmed)
	if len(trimmed) >= 2 && (trimmed[0] == '"' || trimmed[0] == '\'') && trimmed[len(trimmed)-1] == trimmed[0] {
		trimmed, start = trimmed[1:len(trimmed)-1], start+1
		start += len(trimmed) - len(strings.TrimLeft(trimmed, " "))
		trimmed = strings.TrimSpace(trimmed)
	}
	if trimmed == "" {
		return
	}
	switch key {
	case "title", "name":
		if r.b.Title == "" {
			r.b.Title, r.b.TitleAt, r.b.TitleSure = strings.Join(strings.Fields(trimmed), " "), Place{start, start + len(trimmed)}, 1
		}
	case "servings", "yield", "serves":
		r.setYield(start, start+len(trimmed), true)
	}
}

func (r *reader) layoutLine(s, e int, gap bool) bool {
	line := r.text[s:e]
	c := strings.TrimLeft(line, " \t\u00a0\ufeff\u200b")
	indent := 0
	for _, b := range line[:len(line)-len(c)] {
		if b == '\t' {
			indent += 4
		} else {
			indent++
		}
	}
	cs := e - len(c)
	c = strings.TrimRight(c, " \t\r\u00a0")
	ce := cs + len(c)
	if r.quoted && c[:min(1, len(c))] == ">" { // a forwarded mail
		c = strings.TrimLeft(c, "> \t")
		cs = ce - len(c)
	}
	if c == "" || c == "&nbsp;" {
		return true
	}
	if r.inComment {
		if strings.Contains(c, "-->") {
			r.inComment = false
		}
		return gap
	}
	if strings.HasPrefix(c, "<!--") {
		r.inComment = !strings.Contains(c, "-->")
		return gap
	}
	if mark, ok := onlyMarks(c); ok {
		r.ruled = true
		return r.underline(mark, gap)
	}
	if strings.HasPrefix(c, "![") || strings.HasPrefix(c, "[![") || strings.HasPrefix(c, "[Illustration") {
		return true
	}
	if gap {
		r.sentences = r.sentenceLines(s)
	}
	b := block{s: cs, e: ce, indent: indent, gap: gap, ruled: r.ruled, lines: 1, last: ce - s}
	switch {
	case c[0] == '#':
		r.hashHeading(&b)
	case c[0] == '>':
		b.kind = quoteBlock
		b.s = skipBlank(r.text, cs+1, ce)
	case c[0] == '|':
		if strings.Trim(c, "|-: ") == "" { // the row above holds the column titles
			if n := len(r.blocks); n > 0 && r.tableRow == n {
				r.blocks = r.blocks[:n-1]
			}
			return gap
		}
		r.tableRow = len(r.blocks) + 1
		b.s = skipBlank(r.text, cs+1, ce)
		b.e = b.s + len(strings.TrimRight(r.text[b.s:ce], "| "))
	default:
		r.bullet(&b)
	}
	if b.s >= b.e {
		return gap
	}
	if r.continues(b) {
		p := &r.blocks[len(r.blocks)-1]
		p.e, p.last, p.lines = b.e, b.last, p.lines+1
		return false
	}
	r.blocks = append(r.blocks, b)
	r.ruled = false
	return false
}

// mostlyQuoted reports that more than half of the lines with text are quoted, as
// in a forwarded mail.
func mostlyQuoted(text string) bool {
	quoted, all := 0, 0
	for line := range strings.SplitSeq(text, "\n") {
		if line = strings.TrimSpace(line); line != "" {
			all++
			if line[0] == '>' {
				quoted++
			}
		}
	}
	return quoted*2 > all
}

func skipBlank(s string, i, e int) int {
	for i < e && (s[i] == ' ' || s[i] == '\t') {
		i++
	}
	return i
}

// onlyMarks reports a line of one mark, three or more times: a rule or an
// underline.
func onlyMarks(c string) (byte, bool) {
	m := c[0]
	if m != '-' && m != '=' && m != '*' && m != '_' && m != '~' {
		return 0, false
	}
	n := 0
	for i := 0; i < len(c); i++ {
		if c[i] == m {
			n++
		} else if c[i] != ' ' {
			return 0, false
		}
	}
	return m, n >= 3
}

// underline turns the paragraph above into a heading.
func (r *reader) underline(mark byte, gap bool) bool {
	if n := len(r.blocks); n > 0 && !gap && (mark == '=' || mark == '-') {
		p := &r.blocks[n-1]
		if p.kind == plainBlock && p.e-p.s <= 120 {
			r.ruled = false
			p.kind, p.level = headingBlock, 1
			if mark == '-' {
				p.level = 2
			}
		}
	}
	return true
}

func (r *reader) hashHeading(b *block) {
	i := b.s
	for i < b.e && r.text[i] == '#' {
		i++
	}
	if i-b.s > 6 || i < b.e && r.text[i] >= '0' && r.text[i] <= '9' {
		return
	}
	b.kind, b.level = headingBlock, i-b.s
	b.s = skipBlank(r.text, i, b.e)
	b.e = b.s + len(strings.TrimRight(r.text[b.s:b.e], "# \t"))
}

// bullet takes a bullet, a list number or a check box off the block.
func (r *reader) bullet(b *block) {
	t := r.text[b.s:b.e]
	c := t[0]
	after := byte(0)
	if len(t) > 1 {
		after = t[1]
	}
	blank := after == ' ' || after == '\t'
	switch {
	case (c == '-' || c == '*' || c == '+') && blank,
		c == '-' && after != '-' && len(t) > 2,
		c == '+' && after >= '0' && after <= '9':
		b.kind, b.s = bulletBlock, skipBlank(r.text, b.s+1, b.e)
	case c >= '0' && c <= '9':
		r.listNumber(b, b.s)
	case c == 's' || c == 'S':
		if len(t) > 6 && strings.EqualFold(t[:5], "step ") && t[5] >= '0' && t[5] <= '9' {
			r.listNumber(b, b.s+5)
		}
	case c >= 0x80:
		u, n := utf8.DecodeRuneInString(t)
		switch u {
		case '•', '◦', '▪', '‣', '●', '○', '·', '∙', '■', '□', '☐', '▢', '☑', '✓', '✔', '–', '—', '→', '➢', '*':
			b.kind, b.s = bulletBlock, skipBlank(r.text, b.s+n, b.e)
		}
	}
	if b.kind == bulletBlock || b.kind == numberBlock {
		if t := r.text[b.s:b.e]; len(t) > 3 && t[0] == '[' && t[2] == ']' && (t[1] == ' ' || t[1] == 'x' || t[1] == 'X') {
			b.s = skipBlank(r.text, b.s+3, b.e)
		}
	}
}

// listNumber recognises "1. ", "1) ", "Step 1: " from the digits at i.
func (r *reader) listNumber(b *block, i int) {
	j := i
	for j < b.e && r.text[j] >= '0' && r.text[j] <= '9' {
		j++
	}
	if j-i > 2 || j >= b.e {
		return
	}
	step := i > b.s
	if !step && r.dashNumber(j, b.e) {
		b.kind, b.s = numberBlock, j+3
		return
	}
	if c := r.text[j]; c != '.' && c != ')' && c != ':' && !step {
		return
	}
	k := j
	for k < b.e && strings.IndexByte(".):-", r.text[k]) >= 0 {
		k++
	}
	if k < b.e && r.text[k] != ' ' && r.text[k] != '\t' && (r.text[k] < 'A' || r.text[j] == ':') {
		return
	}
	b.kind, b.s = numberBlock, skipBlank(r.text, k, b.e)
	if step && b.s >= b.e {
		b.s = i - 5
	}
}

// dashNumber reports " - " and a sentence with a capital letter at j: "1 - Soak
// the noodles in water." An amount or a name of few words is an ingredient.
func (r *reader) dashNumber(j, e int) bool {
	v := r.text[j:e]
	return len(v) > 20 && strings.HasPrefix(v, " - ") && v[3] >= 'A' && v[3] <= 'Z' && strings.Count(v, " ") >= 6
}

// sentenceLines reports that every line of the paragraph at i ends a sentence,
// so that its lines are no wrapped prose.
func (r *reader) sentenceLines(i int) bool {
	for n := 0; i < len(r.text) && n < 200; n++ {
		end := strings.IndexByte(r.text[i:], '\n')
		if end < 0 {
			end = len(r.text) - i
		}
		line := strings.TrimRight(r.text[i:i+end], " \t\r)*_\"")
		if strings.TrimSpace(line) == "" {
			return n > 1
		}
		if strings.IndexByte(".!?", line[len(line)-1]) < 0 {
			return false
		}
		i += end + 1
	}
	return true
}

// labelled reports "Dough: 400 g flour, ...": a short label with an amount behind it.
func (r *reader) labelled(b block) bool {
	v := r.text[b.s:r.start(b.s, b.e, 40)]
	i := strings.Index(v, ": ")
	return i > 0 && i+2 < len(v) && v[0] >= 'A' && v[0] <= 'Z' && v[i+2] >= '0' && v[i+2] <= '9'
}

// continues reports whether a plain line goes on with the block above it.
func (r *reader) continues(b block) bool {
	n := len(r.blocks)
	if n == 0 || b.gap || b.kind != plainBlock {
		return b.kind == quoteBlock && n > 0 && !b.gap && r.blocks[n-1].kind == quoteBlock
	}
	p := r.blocks[n-1]
	if r.announces(b.s, b.e) > 0 || r.labelled(b) {
		return false
	}
	first := r.text[b.s]
	lower := first >= 'a' && first <= 'z'
	size := b.e - b.s
	lastChar := r.text[p.e-1]
	switch p.kind {
	case headingBlock:
		return false
	case bulletBlock, numberBlock:
		if b.indent > p.indent && (p.last >= 50 || lower || p.kind == numberBlock) {
			return true
		}
	case plainBlock:
		if b.indent > p.indent+1 && p.indent >= 2 && (lower || p.last > 55) && first != '*' { // hanging indent
			return true
		}
		if b.indent >= p.indent+2 || b.indent+2 <= p.indent {
			return false
		}
	}
	if first >= '0' && first <= '9' && r.text[p.s] >= '0' && r.text[p.s] <= '9' {
		return false // two lines that begin with an amount
	}
	if p.last < 58 {
		return lower && p.last >= 45 && lastChar != '.' && lastChar != ':' && size < 200
	}
	if !lower && p.kind == plainBlock && strings.IndexByte(".!?", lastChar) >= 0 && (r.sentences || !p.gap && p.lines == 1) {
		return false // one sentence to a line
	}
	if r.text[b.e-1] == ':' && size < 40 && !lower {
		return false
	}
	if !lower && size < 40 && strings.IndexByte(".!?,;:-", lastChar) < 0 && (first >= 'A' && first <= 'Z' || first >= '0' && first <= '9') {
		return p.lines > 1
	}
	return true
}
