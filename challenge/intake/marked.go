package intake

import (
	"bytes"
	"encoding/json"
	"strings"

	"golang.org/x/net/html"

	"fairladle/challenge/recipe"
)

// markedRecipes reads recipes from the marks on a page's elements: microdata
// (itemprop) or RDFa (property). They become the same document that JSON-LD
// would hold.
func markedRecipes(page []byte) []recipe.Linked {
	doc, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		return nil
	}
	var out []recipe.Linked
	findMarked(doc, &out)
	return out
}

func findMarked(n *html.Node, out *[]recipe.Linked) {
	if n.Type == html.ElementNode && strings.Contains(typeOf(n), "Recipe") {
		if data, err := json.Marshal(item(n)); err == nil {
			*out = append(*out, parseLinked(data)...)
		}
		return
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		findMarked(c, out)
	}
}

func attribute(n *html.Node, names ...string) (string, bool) {
	for _, a := range n.Attr {
		for _, name := range names {
			if a.Key == name {
				return a.Val, true
			}
		}
	}
	return "", false
}

// typeOf is the schema.org type of an element, without its address.
func typeOf(n *html.Node) string {
	t, _ := attribute(n, "itemtype", "typeof")
	if i := strings.LastIndexAny(strings.TrimSpace(t), "/:#"); i >= 0 {
		t = strings.TrimSpace(t)[i+1:]
	}
	return t
}

// item collects the properties of an element's item.
func item(n *html.Node) map[string]any {
	m := map[string]any{"@type": typeOf(n)}
	properties(n, m)
	return m
}

func properties(n *html.Node, m map[string]any) {
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		names, has := attribute(c, "itemprop", "property")
		if c.Type != html.ElementNode || !has {
			if typeOf(c) == "" {
				properties(c, m)
			}
			continue
		}
		value := valueOf(c)
		for name := range strings.FieldsSeq(names) {
			if i := strings.LastIndexAny(name, "/:"); i >= 0 {
				name = name[i+1:]
			}
			if list, ok := m[name].([]any); ok {
				m[name] = append(list, value)
			} else if name != "" {
				m[name] = []any{value}
			}
		}
	}
}

// valueOf is a property's value: an item of its own, what its attributes say,
// or its text.
func valueOf(n *html.Node) any {
	if typeOf(n) != "" {
		return item(n)
	}
	if s, ok := attribute(n, "content", "datetime"); ok {
		return s
	}
	switch n.Data {
	case "a", "link":
		if s, ok := attribute(n, "href"); ok && n.FirstChild == nil {
			return s
		}
	case "img":
		s, _ := attribute(n, "src")
		return s
	}
	var b strings.Builder
	lineText(n, &b)
	return b.String()
}

// lineText writes an element's text, one block a line.
func lineText(n *html.Node, b *strings.Builder) {
	switch {
	case n.Type == html.TextNode:
		b.WriteString(strings.Map(blankLines, n.Data))
	case n.Type == html.ElementNode && (n.Data == "script" || n.Data == "style"):
		return
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		lineText(c, b)
	}
	if n.Type == html.ElementNode && (n.Data == "br" || n.Data == "li" || n.Data == "p" || n.Data == "div" || n.Data == "tr") {
		b.WriteByte('\n')
	}
}

// blankLines makes a source's line ends blanks, which is all they are in HTML.
func blankLines(c rune) rune {
	if c == '\n' || c == '\r' {
		return ' '
	}
	return c
}
