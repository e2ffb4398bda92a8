package intake

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/net/html"

	"fairladle/challenge/recipe"
)

// readPage reads a web page: the recipes it describes for machines, as JSON-LD
// or as marks on its elements, else its whole text.
func readPage(name string, data []byte) []Raw {
	if len(data) > maxPage {
		r := Raw{Where: name, Format: Page}
		r.weaker(Skipped, TooLong)
		return []Raw{r}
	}
	source := []byte(decode(data))
	p := renderPage(source, false)
	var found []recipe.Linked
	for _, s := range p.scripts {
		found = append(found, parseLinked(s)...)
	}
	if len(found) == 0 && p.marked && p.deepest <= maxOpen {
		found = markedRecipes(source)
	}
	if len(found) > 0 {
		return linkedRaws(name, Page, found)
	}
	r := Raw{Where: name, Format: Page, Text: kept(p.text)}
	judge(&r)
	if r.Verdict != Skipped {
		r.note(WholePage)
	}
	return []Raw{r}
}

// A rendered page: its text in lines, and what a program can find in it.
type rendered struct {
	text    string
	title   string
	scripts [][]byte // JSON-LD
	marked  bool     // elements are marked as a recipe's
	deepest int      // elements within each other, at most
}

// unseen elements hold no text of the page itself.
var unseen = []string{"script", "style", "noscript", "template", "nav", "footer", "aside", "svg", "iframe", "select", "button", "title", "textarea", "object"}

var blocks = []string{"p", "div", "section", "article", "header", "main", "ul", "ol", "dl", "dt", "dd", "table", "tr", "blockquote", "pre", "hr",
	"h1", "h2", "h3", "h4", "h5", "h6", "figure", "figcaption", "form", "fieldset", "address", "body", "center"}

var void = []string{"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}

// renderPage writes a page as plain text: headings and lists as Markdown, one
// block a line. It takes time linear in the page. quote marks quoted parts with
// ">", as in a mail.
func renderPage(data []byte, quote bool) rendered {
	w := &pageWriter{quote: quote}
	z := html.NewTokenizer(bytes.NewReader(data))
	for {
		switch z.Next() {
		case html.ErrorToken:
			w.page.text = w.finish()
			return w.page
		case html.TextToken:
			w.textToken(z.Text())
		case html.StartTagToken, html.SelfClosingTagToken:
			w.open(z)
		case html.EndTagToken:
			name, _ := z.TagName()
			w.end(string(name))
		}
	}
}

type pageWriter struct {
	page   rendered
	quote  bool
	b      strings.Builder
	line   strings.Builder
	mark   string // what the next line begins with
	hidden []string
	lists  []int // the number of the next item; -1 for bullets
	quotes int
	depth  int
	pre    int
	linked bool
}

func (w *pageWriter) open(z *html.Tokenizer) {
	raw, more := z.TagName()
	name := string(raw)
	w.linked = false
	for more {
		var key, value []byte
		key, value, more = z.TagAttr()
		switch k := string(key); {
		case name == "script" && k == "type":
			w.linked = bytes.Contains(bytes.ToLower(value), []byte("ld+json"))
		case (k == "itemtype" || k == "typeof") && bytes.Contains(value, []byte("Recipe")):
			w.page.marked = true
		}
	}
	if !slices.Contains(void, name) {
		w.depth++
		w.page.deepest = max(w.page.deepest, w.depth)
	}
	switch {
	case slices.Contains(unseen, name):
		if len(w.hidden) < maxOpen {
			w.hidden = append(w.hidden, name)
		}
	case name == "br":
		w.flush()
	case name == "li":
		w.flush()
		w.mark = w.item()
	case name == "td" || name == "th":
		w.line.WriteByte(' ')
	case slices.Contains(blocks, name):
		w.block(name)
	}
}

func (w *pageWriter) block(name string) {
	w.flush()
	switch name {
	case "ul", "ol":
		n := -1
		if name == "ol" {
			n = 1
		}
		if len(w.lists) < maxOpen {
			w.lists = append(w.lists, n)
		}
		w.gap()
	case "h1", "h2", "h3", "h4", "h5", "h6":
		w.gap()
		w.mark = strings.Repeat("#", min(int(name[1]-'0'), 4)) + " "
	case "p", "table", "section", "article", "dl":
		w.gap()
	case "blockquote":
		w.quotes++
	case "pre":
		w.pre++
	}
}

// item is the mark of a list's next item.
func (w *pageWriter) item() string {
	if n := len(w.lists); n > 0 && w.lists[n-1] > 0 {
		w.lists[n-1]++
		return strconv.Itoa(w.lists[n-1]-1) + ". "
	}
	return "- "
}

func (w *pageWriter) end(name string) {
	w.depth = max(w.depth-1, 0)
	if n := len(w.hidden); n > 0 {
		if w.hidden[n-1] == name {
			w.hidden = w.hidden[:n-1]
		}
		return
	}
	if name == "li" || slices.Contains(blocks, name) {
		w.flush()
	}
	switch name {
	case "ul", "ol":
		w.lists = w.lists[:max(len(w.lists)-1, 0)]
		w.gap()
	case "h1", "h2", "h3", "h4", "h5", "h6", "p", "table":
		w.gap()
	case "blockquote":
		w.quotes = max(w.quotes-1, 0)
	case "pre":
		w.pre = max(w.pre-1, 0)
	}
}

func (w *pageWriter) textToken(t []byte) {
	if n := len(w.hidden); n > 0 {
		switch {
		case w.hidden[n-1] == "script" && w.linked:
			w.page.scripts = append(w.page.scripts, bytes.Clone(t))
			w.linked = false
		case w.hidden[n-1] == "title" && w.page.title == "":
			w.page.title = oneLine(html.UnescapeString(string(t)))
		}
		return
	}
	if w.pre == 0 {
		w.line.Write(t)
		return
	}
	for i, part := range bytes.Split(t, []byte("\n")) {
		if i > 0 {
			w.flush()
		}
		w.line.Write(part)
	}
}

// flush ends a line of text.
func (w *pageWriter) flush() {
	s := w.line.String()
	w.line.Reset()
	s = strings.Join(strings.Fields(html.UnescapeString(s)), " ")
	if s == "" {
		return
	}
	if w.quote && w.quotes > 0 {
		w.b.WriteString("> ")
	}
	w.b.WriteString(w.mark + s + "\n")
	w.mark = ""
}

// gap leaves one blank line.
func (w *pageWriter) gap() {
	w.flush()
	if s := w.b.String(); s != "" && !strings.HasSuffix(s, "\n\n") {
		w.b.WriteByte('\n')
	}
}

func (w *pageWriter) finish() string {
	w.flush()
	return strings.TrimSpace(w.b.String()) + "\n"
}
