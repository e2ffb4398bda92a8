package web

import (
	"bytes"

	"github.com/microcosm-cc/bluemonday"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
)

// markdown is CommonMark with tables; raw HTML in it is dropped.
var markdown = goldmark.New(goldmark.WithExtensions(extension.Table))

// allowed is what may remain of rendered Markdown: text, lists, tables, links.
// No picture is, so that no page asks another site for anything.
var allowed = func() *bluemonday.Policy {
	p := bluemonday.NewPolicy()
	p.AllowElements("p", "br", "strong", "em", "ul", "ol", "li", "blockquote", "code", "pre", "hr",
		"h1", "h2", "h3", "h4", "table", "thead", "tbody", "tr", "th", "td")
	p.AllowAttrs("href").OnElements("a")
	p.AllowURLSchemes("http", "https", "mailto")
	p.RequireNoFollowOnLinks(true)
	p.RequireNoReferrerOnLinks(true)
	return p
}()

// prose renders Markdown that a host typed, made harmless. Its headings stand
// below the page's own.
func prose(md string) string {
	var b bytes.Buffer
	if err := markdown.Convert([]byte(md), &b); err != nil {
		return ""
	}
	html := allowed.SanitizeBytes(b.Bytes())
	for _, h := range [][2]string{{"h4", "h4"}, {"h3", "h4"}, {"h2", "h3"}, {"h1", "h3"}} {
		html = bytes.ReplaceAll(html, []byte("<"+h[0]+">"), []byte("<"+h[1]+">"))
		html = bytes.ReplaceAll(html, []byte("</"+h[0]+">"), []byte("</"+h[1]+">"))
	}
	return string(html)
}
