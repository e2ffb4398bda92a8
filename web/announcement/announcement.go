package announcement

import (
	"html"
	"strconv"
	"strings"
)

// A Text is an announcement as a title and blocks.
type Text struct {
	Title  string
	Blocks []Block
}

// Kind is what a block is.
type Kind int

// The kinds of blocks.
const (
	Paragraph Kind = iota
	Heading
	List    // of Items
	Ordered // of Items, numbered by Places
	Quote
	Own // Markdown that the host typed, with its harmless HTML
)

// A Block is a piece of a text between two empty lines.
type Block struct {
	Kind           Kind
	Runs           []Run
	Items          [][]Run
	Places         []int // of an ordered list: the number before each item
	Markdown, HTML string
}

// A Run is words in a line; with an Address, a link.
type Run struct {
	Words   string
	Address string
	Strong  bool
}

// Say is a run of plain words.
func Say(words string) Run { return Run{Words: words} }

// Link is a run that leads somewhere.
func Link(words, address string) Run { return Run{Words: words, Address: address} }

// Add appends a paragraph, heading or quote.
func (t *Text) Add(k Kind, runs ...Run) { t.Blocks = append(t.Blocks, Block{Kind: k, Runs: runs}) }

// AddList appends a list of lines; nothing where there are none.
func (t *Text) AddList(items [][]Run) {
	if len(items) > 0 {
		t.Blocks = append(t.Blocks, Block{Kind: List, Items: items})
	}
}

// Markdown is the text as CommonMark (spec.commonmark.org). What people typed
// stands in it as they typed it: none of it becomes a mark.
func (t Text) Markdown() string {
	parts := []string{"# " + escaped(t.Title)}
	for _, b := range t.Blocks {
		switch b.Kind {
		case Heading:
			parts = append(parts, "## "+markedRuns(b.Runs))
		case Quote:
			parts = append(parts, "> "+markedRuns(b.Runs))
		case Own:
			parts = append(parts, strings.TrimSpace(b.Markdown))
		case List, Ordered:
			parts = append(parts, b.lines(markedRuns))
		default:
			parts = append(parts, markedRuns(b.Runs))
		}
	}
	return strings.Join(parts, "\n\n") + "\n"
}

func (b Block) lines(say func([]Run) string) string {
	var lines []string
	for i, item := range b.Items {
		mark := "- "
		if i < len(b.Places) {
			mark = strconv.Itoa(b.Places[i]) + ". "
		}
		lines = append(lines, mark+say(item))
	}
	return strings.Join(lines, "\n")
}

func markedRuns(runs []Run) string {
	var b strings.Builder
	for _, r := range runs {
		words := escaped(r.Words)
		if b.Len() == 0 {
			words = unlisted(words)
		}
		switch {
		case r.Address != "":
			b.WriteString("[" + words + "](<" + strings.NewReplacer("<", "%3C", ">", "%3E", "\n", "").Replace(r.Address) + ">)")
		case r.Strong:
			b.WriteString("**" + words + "**")
		default:
			b.WriteString(words)
		}
	}
	return b.String()
}

// escaped puts a backslash before what CommonMark would read as a mark in the
// middle of a line, and makes one line of several.
func escaped(s string) string {
	var b strings.Builder
	for _, r := range strings.Join(strings.Fields(s), " ") {
		if strings.ContainsRune("\\`*_[]<>&|~", r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return keepBlanks(s, b.String())
}

// keepBlanks gives back the blank at either end that joins a run to the next.
func keepBlanks(was, is string) string {
	if strings.HasPrefix(was, " ") {
		is = " " + is
	}
	if strings.HasSuffix(was, " ") && strings.TrimSpace(was) != "" {
		is += " "
	}
	return is
}

// unlisted keeps a line from beginning a list, a heading or a rule.
func unlisted(s string) string {
	if s == "" {
		return s
	}
	if strings.ContainsRune("#+-=", rune(s[0])) {
		return "\\" + s
	}
	digits := strings.TrimLeft(s, "0123456789")
	if n := len(s) - len(digits); n > 0 && digits != "" && (digits[0] == '.' || digits[0] == ')') {
		return s[:n] + "\\" + digits
	}
	return s
}

// Plain is the text without marks; addresses stand at the end of their line.
func (t Text) Plain() string {
	parts := []string{strings.ToUpper(t.Title)}
	for _, b := range t.Blocks {
		switch b.Kind {
		case Quote:
			parts = append(parts, "“"+plainRuns(b.Runs)+"”")
		case Own:
			parts = append(parts, strings.TrimSpace(b.Markdown))
		case List, Ordered:
			parts = append(parts, b.lines(plainRuns))
		default:
			parts = append(parts, plainRuns(b.Runs))
		}
	}
	return strings.Join(parts, "\n\n") + "\n"
}

func plainRuns(runs []Run) string {
	var b strings.Builder
	var behind string // an address would tear the line apart
	for _, r := range runs {
		b.WriteString(keepBlanks(r.Words, strings.Join(strings.Fields(r.Words), " ")))
		if r.Address != "" && r.Address != r.Words {
			behind += ": " + r.Address
		}
	}
	return b.String() + behind
}

// HTML is the text as a piece of a page, without classes, styles or pictures:
// a newsletter or a post has its own.
func (t Text) HTML() string {
	parts := []string{"<h1>" + html.EscapeString(t.Title) + "</h1>"}
	for _, b := range t.Blocks {
		switch b.Kind {
		case Heading:
			parts = append(parts, "<h2>"+htmlRuns(b.Runs)+"</h2>")
		case Quote:
			parts = append(parts, "<blockquote><p>"+htmlRuns(b.Runs)+"</p></blockquote>")
		case Own:
			parts = append(parts, strings.TrimSpace(b.HTML))
		case List, Ordered:
			parts = append(parts, b.htmlList())
		default:
			parts = append(parts, "<p>"+htmlRuns(b.Runs)+"</p>")
		}
	}
	return strings.Join(parts, "\n") + "\n"
}

func (b Block) htmlList() string {
	tag := "ul"
	if b.Kind == Ordered {
		tag = "ol"
	}
	lines := []string{"<" + tag + ">"}
	for i, item := range b.Items {
		open := "<li>"
		if i < len(b.Places) {
			open = `<li value="` + strconv.Itoa(b.Places[i]) + `">`
		}
		lines = append(lines, open+htmlRuns(item)+"</li>")
	}
	return strings.Join(append(lines, "</"+tag+">"), "\n")
}

func htmlRuns(runs []Run) string {
	var b strings.Builder
	for _, r := range runs {
		words := html.EscapeString(r.Words)
		switch {
		case r.Address != "":
			b.WriteString(`<a href="` + html.EscapeString(r.Address) + `">` + words + `</a>`)
		case r.Strong:
			b.WriteString("<strong>" + words + "</strong>")
		default:
			b.WriteString(words)
		}
	}
	return b.String()
}
