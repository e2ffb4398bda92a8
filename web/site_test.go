package web_test

import (
	"archive/zip"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/web/site"
)

func (x *table) copied() site.Copy {
	x.t.Helper()
	c, err := site.Collect(x.t.Context(), x.site, x.slug, x.server.URL)
	require.NoError(x.t, err)
	return c
}

// Every link leads to a file of the copy, but for those that the host typed.
func TestStaticSiteHoldsTogether(t *testing.T) {
	x := newVote(t)
	x.hostWords("See [the drawn one](/c/" + x.slug + "/recipe/4) and [elsewhere](https://example.org/).")
	c := x.copied()
	for _, name := range []string{"index.html", "results.html", "recipe/4.html", "recipe/2.html", "draw/3.html", "draw/3/check.html", "draw/3/record.json",
		"draw/3/protocol.html", "ledger.html", "ledger.json", "calendar.ics", "card.png", "results/entries.csv", "results/scores.json"} {
		require.Contains(t, c.Files, name)
	}
	for name, b := range c.Files {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		doc, err := html.Parse(strings.NewReader(string(b)))
		require.NoError(t, err)
		walk(doc, func(n *html.Node) {
			require.NotEqual(t, "form", n.Data, name)
			for _, a := range n.Attr {
				if a.Key != "href" && a.Key != "src" || a.Val == "" {
					continue
				}
				u, err := url.Parse(a.Val)
				require.NoError(t, err)
				if u.Host != "" {
					require.Equal(t, "https://example.org/", a.Val, name)
				}
				if u.Host == "" && u.Path != "" {
					require.False(t, strings.HasPrefix(u.Path, "/"), "%s: %s", name, a.Val)
					require.Contains(t, c.Files, path.Join(path.Dir(name), u.Path), "%s: %s", name, a.Val)
				}
			}
		})
		require.NotContains(t, string(b), "@example", name)
		require.NotContains(t, string(b), "og:image", name)
	}
	require.Contains(t, string(c.Files["results.html"]), `href="recipe/4.html"`)
	for name, b := range c.Files {
		if strings.HasSuffix(name, ".css") {
			require.NotContains(t, string(b), "url(/static")
			require.Contains(t, string(b), "url(")
		}
	}
}

func TestStaticSiteObeysTheRelease(t *testing.T) {
	x := newTable(t, 3, nil)
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.now = released.Add(-time.Millisecond)
	for name, b := range x.copied().Files {
		for _, secret := range []string{"Leaf parcels", "came first", "Quince", "Bay custard"} {
			require.NotContains(t, string(b), secret, name)
		}
	}
	_, err := site.Collect(t.Context(), x.site, "no-such", "")
	require.ErrorIs(t, err, site.ErrNothing)
}

func unpacked(t *testing.T, c site.Copy) string {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "copy.zip")
	at := time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC)
	require.NoError(t, c.SaveZip(file, at))
	require.ErrorContains(t, c.SaveZip(file, at), "there already")
	z, err := zip.OpenReader(file)
	require.NoError(t, err)
	defer z.Close()
	require.Len(t, z.File, len(c.Files))
	require.NoError(t, os.CopyFS(filepath.Join(dir, "site"), z))
	_, err = os.Stat(file + ".part")
	require.ErrorIs(t, err, os.ErrNotExist)
	return filepath.Join(dir, "site")
}

// The draw is checked in a browser from the bare files, and from a plain file
// server.
func TestBrowserChecksTheStaticSite(t *testing.T) {
	browser := chromium(t)
	x := newVote(t)
	dir := unpacked(t, x.copied())
	plain := httptest.NewServer(http.FileServer(http.Dir(dir)))
	defer plain.Close()
	tab, do := openTab(t, browser)
	for _, base := range []string{"file://" + dir, plain.URL} {
		require.NoError(t, chromedp.Do(tab, chromedp.Navigate(base+"/draw/3/check.html")))
		require.Eventually(t, func() bool {
			return strings.Contains(do(`return document.getElementById("check-steps").textContent`), "Everything that can be checked here holds")
		}, 10*time.Second, 50*time.Millisecond, base)
	}
	walkCopy(t, tab, do, plain.URL)
	res, err := http.Get(plain.URL + "/")
	require.NoError(t, err)
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.Contains(t, string(b), "Stuffed leaves")
}

// walkCopy follows every link of the copy from its first page, in the browser:
// each leads to a page or file, and nothing is asked of anybody else.
func walkCopy(t *testing.T, tab context.Context, do func(string) string, base string) {
	t.Helper()
	seen := map[string]bool{base + "/": true}
	for queue := []string{base + "/"}; len(queue) > 0; queue = queue[1:] {
		require.NoError(t, chromedp.Do(tab, chromedp.Navigate(queue[0])))
		for _, to := range strings.Fields(do(`return [...performance.getEntriesByType("resource")].map((r) => r.name).join(" ")`)) {
			require.True(t, strings.HasPrefix(to, base+"/"), "%s asks for %s", queue[0], to)
		}
		for _, to := range strings.Fields(do(`return [...document.querySelectorAll("a[href]")].map((a) => a.href.split("#")[0]).join(" ")`)) {
			if seen[to] || to == "" {
				continue
			}
			seen[to] = true
			res, err := http.Get(to)
			require.NoError(t, err, "%s on %s", to, queue[0])
			require.NoError(t, res.Body.Close())
			require.Equal(t, http.StatusOK, res.StatusCode, "%s on %s", to, queue[0])
			if strings.HasSuffix(to, ".html") {
				queue = append(queue, to)
			}
		}
	}
	require.Greater(t, len(seen), 20)
}

// A public page says in one sentence what it is, for search engines.
func TestPublicPagesSayWhatTheyAre(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	for path, about := range map[string]string{
		"/login": "Sign in to host", "/mine": "Find all recipes", "/c/" + slug + "/enter": "Send a recipe to “Stuffed leaves”",
		"/c/" + slug + "/link": "private link to your entry", "/c/" + slug + "/ledger": "recorded of “Stuffed leaves”",
	} {
		require.Regexp(t, `<meta name="description" content="[^"]*`+about, l.person().get(path).ok().body)
	}
}
