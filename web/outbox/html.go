package outbox

import (
	"html"
	"regexp"
	"strings"
)

var address = regexp.MustCompile(`https?://[^\s<>"]+`)

// asHTML is a plain text as a mail program shows it: a paragraph for each
// stretch of lines, its addresses to be followed. Nothing in it is loaded from
// anywhere, and nothing tells that it was opened.
func asHTML(body string) string {
	var b strings.Builder
	b.WriteString("<!DOCTYPE html>\n<html><body>\n")
	for _, p := range strings.Split(strings.TrimSpace(body), "\n\n") {
		b.WriteString("<p>")
		for i, line := range strings.Split(p, "\n") {
			if i > 0 {
				b.WriteString("<br>\n")
			}
			b.WriteString(linked(line))
		}
		b.WriteString("</p>\n")
	}
	b.WriteString("</body></html>\n")
	return b.String()
}

func linked(line string) string {
	var b strings.Builder
	at := 0
	for _, x := range address.FindAllStringIndex(line, -1) {
		link := html.EscapeString(strings.TrimRight(line[x[0]:x[1]], ".,;:!?)"))
		end := x[0] + len(strings.TrimRight(line[x[0]:x[1]], ".,;:!?)"))
		b.WriteString(html.EscapeString(line[at:x[0]]) + `<a href="` + link + `">` + link + `</a>`)
		at = end
	}
	return b.String() + html.EscapeString(line[at:])
}
