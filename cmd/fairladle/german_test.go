package main

import (
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"golang.org/x/text/language"

	"fairladle/cmd/fairladle/demo"
	"fairladle/web/text"
)

// speaksGerman walks the demonstration in German, host and private links
// alike, and fails for every sentence that had to be said in English.
func speaksGerman(t *testing.T, links []string) {
	missing := &lacking{said: map[string]string{}}
	note := func(_ language.Tag, sentence string) { missing.add(sentence) }
	text.Missing.Store(&note)
	t.Cleanup(func() { text.Missing.Store(nil) })
	story, err := demo.Load()
	require.NoError(t, err)
	w := walker{t: t, missing: missing, seen: map[string]int{}, client: &http.Client{Timeout: time.Minute}}
	w.client.Jar, err = cookiejar.New(nil)
	require.NoError(t, err)
	base := strings.TrimSuffix(links[0], "/")
	w.post(base+"/login", url.Values{"email": {story.Host.Email}, "password": {demoPassword}})
	w.post(base+"/host/community", url.Values{"site": {story.Name}, "language": {"de"}})
	w.walk(append([]string{base + "/host"}, links...))
	require.Greater(t, w.pages, 150)
	require.Empty(t, missing.list(), "these sentences have no German, or are built from pieces")
}

// kitchenWords are names of equipment that the demonstration's host typed.
var kitchenWords = []string{"work table"}

// lacking collects sentences with the page on which each was said.
type lacking struct {
	mu   sync.Mutex
	page string
	said map[string]string
}

func (l *lacking) add(sentence string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.page != "" && strings.Trim(sentence, "%v: ()") != "" && !slices.Contains(kitchenWords, sentence) {
		l.said[sentence] = l.page
	}
}

func (l *lacking) on(page string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.page = page
}

func (l *lacking) list() (out []string) {
	for s, page := range l.said {
		out = append(out, fmt.Sprintf("%s: %q", page, s))
	}
	slices.Sort(out)
	return out
}

type walker struct {
	t       *testing.T
	missing *lacking
	client  *http.Client
	seen    map[string]int // by address, and by sort of address
	pages   int
}

// ofASort is how many pages that differ by a number only are looked at.
const ofASort = 4

var digits = regexp.MustCompile(`[0-9]+`)

func (w *walker) post(address string, form url.Values) {
	res, err := w.client.PostForm(address, form)
	require.NoError(w.t, err)
	defer res.Body.Close()
	require.Equal(w.t, http.StatusOK, res.StatusCode, address)
}

// walk follows links, breadth first, on one site.
func (w *walker) walk(queue []string) {
	for len(queue) > 0 {
		u, err := url.Parse(queue[0])
		require.NoError(w.t, err)
		queue = queue[1:]
		u.Fragment = ""
		sort := "like " + digits.ReplaceAllString(u.Path, "0")
		if w.seen[u.String()]++; w.seen[u.String()] > 1 {
			continue
		}
		if w.seen[sort]++; w.seen[sort] > ofASort {
			continue
		}
		w.pages++
		queue = append(queue, w.page(u)...)
	}
}

func (w *walker) page(u *url.URL) (links []string) {
	w.missing.on(u.Path)
	res, err := w.client.Get(u.String())
	require.NoError(w.t, err)
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	require.NoError(w.t, err)
	require.Less(w.t, res.StatusCode, http.StatusInternalServerError, "%s", u)
	if !strings.HasPrefix(res.Header.Get("Content-Type"), "text/html") {
		return nil
	}
	doc, err := html.Parse(strings.NewReader(string(body)))
	require.NoError(w.t, err)
	for n := range doc.Descendants() {
		if n.Type != html.ElementNode || n.Data != "a" {
			continue
		}
		for _, a := range n.Attr {
			if to, err := u.Parse(a.Val); a.Key == "href" && err == nil && to.Host == u.Host {
				links = append(links, to.String())
			}
		}
	}
	return links
}
