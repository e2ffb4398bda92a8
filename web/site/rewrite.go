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
	each(f.page, func(n *html.Node) {
		for i := range n.Attr {
			if u := c.link(n, &n.Attr[i]); u != nil && u.Host == "" && u.Scheme == "" && u.Path != "" {
				n.Attr[i].Val = c.target(from, *u)
			}
		}
	})
	var b bytes.Buffer
	if err := html.Render(&b, f.page); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// target is where a link leads from a file of the copy: to another file, or to
// the site.
func (c *collector) target(from string, u url.URL) string {
	fragment := u.EscapedFragment()
	u.Fragment = ""
	if to, ok := c.got[u.RequestURI()]; ok && to.status == http.StatusOK {
		rel, err := filepath.Rel(filepath.FromSlash(path.Dir(from)), filepath.FromSlash(c.name(u.RequestURI())))
		if err == nil {
			rel = filepath.ToSlash(rel)
			if fragment != "" {
				rel += "#" + fragment
			}
			return rel
		}
	}
	return c.public + u.RequestURI()
}

// strip takes away what needs the server: forms, and hints about files that a
// page opened from a disk may not follow.
func strip(page *html.Node) {
	var gone []*html.Node
	each(page, func(n *html.Node) {
		if n.Type != html.ElementNode {
			return
		}
		for _, a := range n.Attr {
			if n.Data == "link" && a.Key == "rel" && (a.Val == "preload" || a.Val == "alternate") {
				gone = append(gone, n)
			}
		}
		if n.Data == "form" {
			gone = append(gone, n)
		}
	})
	for _, n := range gone {
		if n.Parent != nil {
			n.Parent.RemoveChild(n)
		}
	}
}

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
