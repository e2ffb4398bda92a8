package web_test

import (
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// mostBytes is what a page may weigh with all that it loads but photos.
const mostBytes = 150_000

// TestPagesAreLight adds up, as they are served to a browser that takes
// compressed answers, a page and the styles, scripts and fonts it loads.
func TestPagesAreLight(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1)
	for who, paths := range map[*person][]string{l.person(): {"/", "/c/" + slug, "/c/" + slug + "/enter", "/c/" + slug + "/ledger", "/login"},
		own.person: {own.url.Path}, host: {"/host", "/host/c/" + slug, "/host/c/" + slug + "/settings", "/host/c/" + slug + "/messages"}} {
		for _, path := range paths {
			weight := who.weigh(path)
			require.Less(t, weight, mostBytes, path)
			require.Greater(t, weight, 5_000, "%s: its parts were not found", path)
			t.Logf("%7d bytes  %s", weight, path)
		}
	}
}

// weigh is the size of a page with its parts, photos left out.
func (p *person) weigh(path string) int {
	g := p.get(path).ok()
	total := p.size(path)
	seen := map[string]bool{}
	add := func(part string) {
		if part != "" && !seen[part] && !strings.HasPrefix(part, "/photo/") && !strings.HasPrefix(part, "data:") {
			seen[part] = true
			total += p.size(part)
		}
	}
	walk(g.doc, func(n *html.Node) {
		switch {
		case n.Type != html.ElementNode:
		case n.Data == "script", n.Data == "img":
			add(attr(n, "src"))
		case n.Data == "link" && (attr(n, "rel") == "stylesheet" || attr(n, "rel") == "preload" || attr(n, "rel") == "icon"):
			add(attr(n, "href"))
			if attr(n, "rel") == "stylesheet" {
				for _, font := range strings.Split(p.get(attr(n, "href")).body, "url(")[1:] {
					to, _, _ := strings.Cut(strings.Trim(font, `"'`), ")")
					base, err := url.Parse(attr(n, "href"))
					require.NoError(p.live.t, err)
					whole, err := base.Parse(strings.Trim(to, `"'`))
					require.NoError(p.live.t, err)
					add(whole.Path)
				}
			}
		}
	})
	return total
}

// size is how many bytes an answer takes on the wire, to a client that takes
// compressed answers.
func (p *person) size(path string) int {
	req, err := http.NewRequest(http.MethodGet, p.live.server.URL+path, nil)
	require.NoError(p.live.t, err)
	req.Header.Set("Accept-Encoding", "gzip")
	res, err := p.client.Do(req)
	require.NoError(p.live.t, err)
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	require.NoError(p.live.t, err)
	require.Equal(p.live.t, http.StatusOK, res.StatusCode, path)
	return len(b)
}
