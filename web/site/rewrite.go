package site

import (
	"bytes"
	"context"
	"net/http"
	"net/url"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/net/html"
)

// rewritten is a file as it stands in the copy.
func (c *collector) rewritten(at string, f fetched) ([]byte, error) {
	if f.kind == "text/css" {
		return relativeFonts(f.body), nil
	}
	if f.page == nil {
		return f.body, nil
	}
	from := c.name(at)
	strip(f.page)
	var buttons []*html.Node
	each(f.page, func(n *html.Node) {
		for i := range n.Attr {
			u := c.link(n, &n.Attr[i])
			if u == nil || u.Host != "" || u.Scheme != "" || u.Path == "" {
				continue
			}
			to, ok := c.target(from, *u)
			if n.Attr[i].Val = to; !ok {
				n.Attr = slices.Delete(n.Attr, i, i+1)
				if isButton(n) {
					buttons = append(buttons, n)
				}
				break
			}
		}
	})
	remove(buttons)
	var b bytes.Buffer
	if err := html.Render(&b, f.page); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// isButton: words without a link read well, a button that does nothing does
// not.
func isButton(n *html.Node) bool {
	return slices.ContainsFunc(n.Attr, func(a html.Attribute) bool {
		return a.Key == "class" && slices.Contains(strings.Fields(a.Val), "button")
	})
}

func remove(ns []*html.Node) {
	for _, n := range ns {
		if n.Parent != nil {
			n.Parent.RemoveChild(n)
		}
	}
}

// target is where a link leads from a file of the copy; ok is false where that
// is no file of it. The community's first page is that of the challenge here.
func (c *collector) target(from string, u url.URL) (to string, ok bool) {
	fragment := u.EscapedFragment()
	u.Fragment = ""
	if u.Path == "/" {
		u.Path = c.root
	}
	if to, ok := c.got[u.RequestURI()]; ok && to.status == http.StatusOK {
		rel, err := filepath.Rel(filepath.FromSlash(path.Dir(from)), filepath.FromSlash(c.name(u.RequestURI())))
		if err == nil {
			rel = filepath.ToSlash(rel)
			if fragment != "" {
				rel += "#" + fragment
			}
			return rel, true
		}
	}
	return "", false
}

// strip takes away what needs the server: forms, hints about files that a page
// opened from a disk may not follow, and what names the address of the site: a
// copy may stand anywhere.
func strip(page *html.Node) {
	var gone []*html.Node
	each(page, func(n *html.Node) {
		if n.Type != html.ElementNode {
			return
		}
		for _, a := range n.Attr {
			if n.Data == "link" && a.Key == "rel" && (a.Val == "preload" || a.Val == "alternate" || a.Val == "canonical") ||
				n.Data == "meta" && a.Key == "property" && slices.Contains(addressed, a.Val) {
				gone = append(gone, n)
			}
		}
		if n.Data == "form" {
			gone = append(gone, n)
		}
	})
	remove(gone)
}

// addressed are the Open Graph properties that hold whole addresses, and those
// that mean nothing without them.
var addressed = []string{"og:url", "og:image", "og:image:type", "og:image:width", "og:image:height", "og:image:alt"}

var fontAddress = regexp.MustCompile(`url\(/static/([^)]+)\)`)

// relativeFonts: style sheets and fonts lie in one folder.
func relativeFonts(css []byte) []byte { return fontAddress.ReplaceAll(css, []byte("url($1)")) }

// fonts adds the files that style sheets name.
func (c *collector) fonts(files map[string][]byte) error {
	var wanted []string
	for _, f := range c.got {
		if f.kind != "text/css" {
			continue
		}
		for _, m := range fontAddress.FindAllSubmatch(f.body, -1) {
			wanted = append(wanted, string(m[1]))
		}
	}
	slices.Sort(wanted)
	for _, name := range slices.Compact(wanted) {
		f, err := c.fetch(context.Background(), "/static/"+name)
		if err != nil {
			return err
		}
		files["static/"+strings.TrimPrefix(name, "/")] = f.body
	}
	return nil
}
