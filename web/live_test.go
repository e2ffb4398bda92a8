package web_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
	"fairladle/store"
	"fairladle/web"
)

// A live is the real server on a temporary folder, with a clock the test
// moves. restart closes the database in the middle and opens it again.
type live struct {
	t      *testing.T
	file   string
	now    time.Time
	config web.Config
	db     *store.DB
	site   *web.Server
	server *httptest.Server
}

var testStart = time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)

func newLive(t *testing.T) *live {
	l := &live{t: t, file: filepath.Join(t.TempDir(), "fairladle.db"), now: testStart,
		config: web.Config{EntriesPerMinute: 100_000}}
	l.open()
	l.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { l.site.ServeHTTP(w, r) }))
	t.Cleanup(func() {
		l.server.Close()
		require.NoError(t, l.db.Close())
	})
	return l
}

// logTo writes the server's log where a test can look for what must not be in
// it.
func (l *live) logTo(w io.Writer) {
	l.config.Log = slog.New(slog.NewTextHandler(w, nil))
	l.site = web.New(l.db, l.config)
}

func (l *live) open() {
	db, err := store.Open(context.Background(), l.file, store.Options{Now: func() time.Time { return l.now }, Random: rand.Reader, Told: watched.Told})
	require.NoError(l.t, err)
	l.db, l.site = db, web.New(db, l.config)
}

// restart is what a crash or an upgrade between two requests looks like.
func (l *live) restart() {
	require.NoError(l.t, l.db.Close())
	l.open()
}

// A person is a browser of their own.
type person struct {
	live    *live
	client  *http.Client
	network string // what a proxy says the request comes from, "" for none
}

// via is the same browser on another network, as a proxy tells.
func (p *person) via(network string) *person {
	return &person{p.live, p.client, network}
}

// loopback is where the proxies of a test are.
func loopback() []netip.Prefix { return []netip.Prefix{netip.MustParsePrefix("127.0.0.0/8")} }

func (l *live) person() *person {
	jar, err := cookiejar.New(nil)
	require.NoError(l.t, err)
	return &person{live: l, client: &http.Client{Jar: jar, Timeout: time.Minute}}
}

// A page is an answer that was read.
type page struct {
	person *person
	status int
	url    *url.URL
	header http.Header
	body   string
	doc    *html.Node
}

func (p *person) get(path string) *page {
	return p.do(http.MethodGet, path, "", nil)
}

func (p *person) do(method, path, contentType string, body io.Reader) *page {
	p.live.t.Helper()
	if !strings.HasPrefix(path, "http") {
		path = p.live.server.URL + path
	}
	req, err := http.NewRequest(method, path, body)
	require.NoError(p.live.t, err)
	if contentType != "" {
		req.Header.Set("Content-Type", contentType)
	}
	if p.network != "" {
		req.Header.Set("X-Forwarded-For", p.network)
	}
	res, err := p.client.Do(req)
	require.NoError(p.live.t, err)
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	require.NoError(p.live.t, err)
	doc, err := html.Parse(bytes.NewReader(b))
	require.NoError(p.live.t, err)
	return &page{p, res.StatusCode, res.Request.URL, res.Header, string(b), doc}
}

// post sends a form to a path as a browser would, without a page before it.
func (p *person) post(path string, form url.Values) *page {
	return p.do(http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
}

// ok asserts status 200.
func (g *page) ok() *page {
	g.person.live.t.Helper()
	require.Equal(g.person.live.t, http.StatusOK, g.status, "%s: %s", g.url.Path, g.text())
	return g
}

// is asserts a status.
func (g *page) is(status int) *page {
	g.person.live.t.Helper()
	require.Equal(g.person.live.t, status, g.status, "%s: %s", g.url.Path, g.text())
	return g
}

// says asserts that a visitor reads something.
func (g *page) says(words ...string) *page {
	g.person.live.t.Helper()
	for _, w := range words {
		require.Contains(g.person.live.t, g.text(), w)
	}
	return g
}

// hides asserts that something stands nowhere in the page's source.
func (g *page) hides(words ...string) *page {
	g.person.live.t.Helper()
	for _, w := range words {
		require.NotContains(g.person.live.t, strings.ToLower(g.body), strings.ToLower(w))
	}
	return g
}

var blanks = regexp.MustCompile(`\s+`)

func (g *page) text() string {
	var b strings.Builder
	walk(g.doc, func(n *html.Node) {
		if n.Type == html.TextNode && n.Parent != nil && n.Parent.Data != "style" && n.Parent.Data != "script" {
			b.WriteString(n.Data)
			b.WriteByte(' ')
		}
	})
	return strings.TrimSpace(blanks.ReplaceAllString(b.String(), " "))
}

func walk(n *html.Node, f func(*html.Node)) {
	f(n)
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		walk(c, f)
	}
}

func attr(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func has(n *html.Node, name string) bool {
	for _, a := range n.Attr {
		if a.Key == name {
			return true
		}
	}
	return false
}

// form finds the form that holds a control of that name.
func (g *page) form(control string) *filled {
	g.person.live.t.Helper()
	var found *html.Node
	walk(g.doc, func(n *html.Node) {
		if found != nil || n.Type != html.ElementNode || n.Data != "form" {
			return
		}
		walk(n, func(c *html.Node) {
			if c.Type == html.ElementNode && attr(c, "name") == control {
				found = n
			}
		})
	})
	require.NotNil(g.person.live.t, found, "no form with %q on %s: %s", control, g.url.Path, g.text())
	return g.fill(found)
}

// button finds the form of the button with that text.
func (g *page) button(words string) *filled {
	g.person.live.t.Helper()
	var found, pressed *html.Node
	walk(g.doc, func(n *html.Node) {
		if n.Type != html.ElementNode || n.Data != "form" || found != nil {
			return
		}
		walk(n, func(c *html.Node) {
			if c.Type == html.ElementNode && c.Data == "button" && strings.Contains(inner(c), words) && pressed == nil {
				found, pressed = n, c
			}
		})
	})
	require.NotNil(g.person.live.t, found, "no button %q on %s: %s", words, g.url.Path, g.text())
	f := g.fill(found)
	if name := attr(pressed, "name"); name != "" {
		f.values.Set(name, attr(pressed, "value"))
	}
	if to := attr(pressed, "formaction"); to != "" {
		f.action = to
	}
	return f
}

// link is where the link with those words leads.
func (g *page) link(words string) (to string) {
	g.person.live.t.Helper()
	walk(g.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "a" && strings.Contains(inner(n), words) && to == "" {
			to = attr(n, "href")
		}
	})
	require.NotEmpty(g.person.live.t, to, "no link %q on %s: %s", words, g.url.Path, g.text())
	return to
}

func inner(n *html.Node) string {
	var b strings.Builder
	walk(n, func(c *html.Node) {
		if c.Type == html.TextNode {
			b.WriteString(c.Data)
		}
	})
	return blanks.ReplaceAllString(b.String(), " ")
}

// A filled is a form with the values a browser would send.
type filled struct {
	page      *page
	action    string
	multipart bool
	values    url.Values
	file      []byte
	fileField string
}

func (g *page) fill(form *html.Node) *filled {
	f := &filled{page: g, action: g.url.String(), multipart: attr(form, "enctype") == "multipart/form-data", values: url.Values{}}
	if a := attr(form, "action"); a != "" {
		f.action = a
	}
	walk(form, func(n *html.Node) {
		name := ""
		if n.Type == html.ElementNode {
			name = attr(n, "name")
		}
		if name == "" || has(n, "disabled") {
			return
		}
		switch {
		case n.Data == "textarea":
			f.values.Add(name, strings.TrimPrefix(innerRaw(n), "\n"))
		case n.Data == "select":
			f.values.Add(name, chosen(n))
		case n.Data == "input" && (attr(n, "type") == "checkbox" || attr(n, "type") == "radio"):
			if has(n, "checked") {
				f.values.Add(name, attr(n, "value"))
			}
		case n.Data == "input" && attr(n, "type") != "file":
			f.values.Add(name, attr(n, "value"))
		}
	})
	return f
}

func innerRaw(n *html.Node) string {
	var b strings.Builder
	walk(n, func(c *html.Node) {
		if c.Type == html.TextNode {
			b.WriteString(c.Data)
		}
	})
	return b.String()
}

func chosen(n *html.Node) (value string) {
	first := true
	walk(n, func(o *html.Node) {
		if o.Type == html.ElementNode && o.Data == "option" {
			if first || has(o, "selected") {
				value = attr(o, "value")
			}
			first = false
		}
	})
	return value
}

// set types into a field; an empty value for a tick takes it away.
func (f *filled) set(name, value string) *filled {
	f.values.Set(name, value)
	return f
}

func (f *filled) untick(name string) *filled {
	f.values.Del(name)
	return f
}

func (f *filled) attach(field string, file []byte) *filled {
	f.fileField, f.file = field, file
	return f
}

// send posts the form and follows where it leads.
func (f *filled) send() *page {
	f.page.person.live.t.Helper()
	if !f.multipart {
		return f.page.person.post(f.action, f.values)
	}
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for name, vs := range f.values {
		for _, v := range vs {
			require.NoError(f.page.person.live.t, w.WriteField(name, v))
		}
	}
	if f.file != nil {
		part, err := w.CreateFormFile(f.fileField, "photo.jpg")
		require.NoError(f.page.person.live.t, err)
		_, err = part.Write(f.file)
		require.NoError(f.page.person.live.t, err)
	}
	require.NoError(f.page.person.live.t, w.Close())
	return f.page.person.do(http.MethodPost, f.action, w.FormDataContentType(), &b)
}

// value is what a field of the page holds.
func (g *page) value(name string) string { return g.form(name).values.Get(name) }

const testPassword = "twelve ladles of soup"

// setUp sets the server up and returns its host, signed in.
func (l *live) setUp() *person {
	token, err := l.db.SetUpLink(context.Background())
	require.NoError(l.t, err)
	host := l.person()
	host.get("/setup/"+token).ok().form("site").set("site", "Millrace Library").set("name", "Hanne Osei").
		set("email", "hanne@example.org").set("password", testPassword).set("address", l.server.URL).set("trial", "1").send().ok()
	return host
}

// challenge makes and opens a challenge called "Stuffed leaves"; entries are
// taken for two weeks.
func (l *live) challenge(host *person) string {
	desk := host.get("/host/new").ok().form("title").set("title", "Stuffed leaves").set("brief", "Roll something *green*.").
		set("zone", "Europe/Lisbon").set("opens_at", "2026-11-02T08:00").set("closes_at", "2026-11-16T20:00").
		set("release_at", "2026-12-01T18:00").send().ok()
	desk.button("Open the challenge").send().ok().says("The challenge is public now")
	return strings.TrimPrefix(desk.url.Path, "/host/c/")
}

// recipeText is an entry's text, told apart by its number.
func recipeText(i int) string {
	return fmt.Sprintf("Leaf parcels, way %d\n\n%d vine leaves\n1 1/2 cups rice\n2 tbsp olive oil\n1 lemon\nsalt\n\n"+
		"Boil the rice for 12 minutes. Roll it into the leaves with the oil. Bake at 180 C for %d minutes and serve with the lemon.", i, 20+i, 25+i)
}

// enter sends an entry and returns the page behind its private link.
func (l *live) enter(slug string, i int) *page {
	e := l.person()
	return e.get("/c/"+slug+"/enter").ok().form("text").set("text", recipeText(i)).set("name", fmt.Sprintf("Entrant%d Quince%d", i, i)).
		set("email", fmt.Sprintf("entrant%d@example.net", i)).set("credit", fmt.Sprintf("Entrant%d Q.", i)).
		set("consent-considered", "1").set("consent-of-age", "1").set("consent-published", "1").set("consent-credited", "1").
		set("do", "send").send().ok()
}

// invite makes a participant and returns the path of the private link.
func (l *live) invite(host *person, slug, role, name string) string {
	g := host.get("/host/c/"+slug+"/people").ok().form("role").set("role", role).set("name", name).send().ok()
	var link string
	walk(g.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && attr(n, "id") == "new-link" {
			link = inner(n)
		}
	})
	require.NotEmpty(l.t, link)
	u, err := url.Parse(link)
	require.NoError(l.t, err)
	return u.Path
}

func itoa(n int) string { return strconv.Itoa(n) }

func entrantActor(challengeID, dish int64) challenge.Actor {
	return challenge.Actor{Role: challenge.Entrant, ID: dish, Challenge: challengeID}
}
