package site

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path"
	"slices"
	"strings"

	"golang.org/x/net/html"
)

// A Copy is the published pages of a challenge as files. Every link between
// them is relative.
type Copy struct {
	Files map[string][]byte // by name, with forward slashes
	Left  []string          // addresses of the challenge that had no page, such as those withheld
}

// ErrNothing says that the challenge has no public page.
var ErrNothing = errors.New("there is no public challenge at this address")

// most bounds a copy; a challenge of some hundred recipes has a tenth of it.
const most = 20_000

// Collect asks handler for everything public of the challenge with that slug.
// public is the site's address, under which handler answers. Words that led out
// of the copy stand in it without a link.
func Collect(ctx context.Context, handler http.Handler, slug, public string) (Copy, error) {
	c := collector{handler: handler, root: "/c/" + slug, public: public, got: map[string]fetched{}}
	queue := []string{c.root}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if _, seen := c.got[at]; seen {
			continue
		}
		if len(c.got) >= most {
			return Copy{}, fmt.Errorf("more than %d pages", most)
		}
		f, err := c.fetch(ctx, at)
		if err != nil {
			return Copy{}, err
		}
		c.got[at] = f
		queue = append(queue, c.links(f)...)
	}
	if c.got[c.root].status != http.StatusOK {
		return Copy{}, ErrNothing
	}
	return c.copy()
}

type collector struct {
	handler      http.Handler
	root, public string
	got          map[string]fetched
}

// A fetched is an answer: its kind, and the page where it is one.
type fetched struct {
	status int
	kind   string
	body   []byte
	page   *html.Node
}

func (c *collector) fetch(ctx context.Context, at string) (f fetched, err error) {
	r := httptest.NewRequestWithContext(ctx, http.MethodGet, at, http.NoBody)
	if u, err := url.Parse(c.public); err == nil && u.Host != "" {
		r.Host = u.Host
	}
	w := httptest.NewRecorder()
	c.handler.ServeHTTP(w, r)
	f = fetched{status: w.Code, kind: kindOf(w.Header().Get("Content-Type")), body: w.Body.Bytes()}
	if w.Code >= http.StatusInternalServerError {
		return f, fmt.Errorf("%s: status %d", at, w.Code)
	}
	if f.status == http.StatusOK && f.kind == "text/html" {
		f.page, err = html.Parse(strings.NewReader(w.Body.String()))
	}
	return f, err
}

func kindOf(contentType string) string {
	kind, _, _ := strings.Cut(contentType, ";")
	return strings.TrimSpace(kind)
}

// wanted says whether an address belongs to the copy. Forms that send
// something, and what they lead to, do not.
func (c *collector) wanted(u *url.URL) bool {
	if u.Host != "" || u.Scheme != "" || u.Path == "" || path.Clean(u.Path) != u.Path {
		return false
	}
	below, ours := strings.CutPrefix(u.Path, c.root)
	switch {
	case strings.HasPrefix(u.Path, "/static/"), strings.HasPrefix(u.Path, "/photo/"):
		return true
	case !ours || below != "" && below[0] != '/':
		return false
	}
	return below != "/enter" && below != "/link" && below != "/theme" && !strings.HasPrefix(below, "/ledger/proof")
}

// links are the addresses a page names that belong to the copy.
func (c *collector) links(f fetched) (found []string) {
	if f.page == nil {
		return nil
	}
	each(f.page, func(n *html.Node) {
		for i := range n.Attr {
			if u := c.link(n, &n.Attr[i]); u != nil && c.wanted(u) {
				u.Fragment = ""
				found = append(found, u.RequestURI())
			}
		}
	})
	if strings.HasSuffix(f.kind, "html") {
		found = append(found, c.root+"/card.png")
	}
	return found
}

// link is the address an attribute holds, nil where it holds none.
func (c *collector) link(n *html.Node, a *html.Attribute) *url.URL {
	if n.Type != html.ElementNode || a.Key != "href" && a.Key != "src" || a.Val == "" || strings.HasPrefix(a.Val, "#") {
		return nil
	}
	u, err := url.Parse(a.Val)
	if err != nil {
		return nil
	}
	return u
}

func each(n *html.Node, do func(*html.Node)) {
	do(n)
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		each(c, do)
	}
}

// suffixes by kind, for files whose address has none.
var suffixes = map[string]string{"text/html": ".html", "image/jpeg": ".jpg", "image/png": ".png", "image/webp": ".webp", "application/json": ".json"}

// name is the file that holds an address.
func (c *collector) name(at string) string {
	u, err := url.Parse(at)
	if err != nil {
		return ""
	}
	name := strings.Trim(u.Path, "/")
	if below, ours := strings.CutPrefix(u.Path, c.root); ours {
		name = strings.Trim(below, "/")
	}
	if name == "" {
		name = "index"
	}
	suffix := path.Ext(name)
	if suffix == "" {
		suffix = suffixes[c.got[at].kind]
	}
	return strings.TrimSuffix(name, path.Ext(name)) + queryName(u.Query()) + suffix
}

// queryName makes a page that differs by its query a file of its own.
func queryName(q url.Values) string {
	plain := func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}
	if len(q) == 0 {
		return ""
	}
	return "-" + strings.Map(plain, strings.ToLower(q.Encode()))
}

func (c *collector) copy() (Copy, error) {
	out := Copy{Files: map[string][]byte{}}
	for at, f := range c.got {
		if f.status != http.StatusOK {
			out.Left = append(out.Left, at)
			continue
		}
		b, err := c.rewritten(at, f)
		if err != nil {
			return out, err
		}
		name := c.name(at)
		if _, twice := out.Files[name]; twice {
			return out, fmt.Errorf("two pages would be %s", name)
		}
		out.Files[name] = b
	}
	slices.Sort(out.Left)
	return out, c.fonts(out.Files)
}
