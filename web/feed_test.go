package web_test

import (
	"encoding/xml"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

type readFeed struct {
	XMLName xml.Name `xml:"http://www.w3.org/2005/Atom feed"`
	ID      string   `xml:"id"`
	Title   string   `xml:"title"`
	Updated string   `xml:"updated"`
	Author  string   `xml:"author>name"`
	Entries []struct {
		ID      string `xml:"id"`
		Title   string `xml:"title"`
		Updated string `xml:"updated"`
		Summary string `xml:"summary"`
		Link    struct {
			Href string `xml:"href,attr"`
		} `xml:"link"`
		Content struct {
			Type string `xml:"type,attr"`
			Body string `xml:",chardata"`
		} `xml:"content"`
	} `xml:"entry"`
}

func (l *live) feed() (f readFeed) {
	l.t.Helper()
	require.NoError(l.t, xml.Unmarshal([]byte(l.person().get("/feed.atom").ok().body), &f))
	return f
}

// What RFC 4287, 4.1.1 and 4.1.2, asks of a feed and of its entries, and that
// the release decides what is in it.
func TestFeedTellsAnnouncementsAndReleases(t *testing.T) {
	x := newTable(t, 3, nil)
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.now = released.Add(-time.Millisecond)
	f := x.feed()
	require.Len(t, f.Entries, 1)
	require.Equal(t, "Millrace Library", f.Title)
	require.Equal(t, "Millrace Library", f.Author)
	require.Equal(t, "Stuffed leaves", f.Entries[0].Title)
	require.Equal(t, "html", f.Entries[0].Content.Type)
	require.Contains(t, f.Entries[0].Content.Body, "<em>green</em>")
	require.Equal(t, "2026-11-02T09:00:00Z", f.Entries[0].Updated)
	early := f.Entries[0].ID

	x.now = released
	f = x.feed()
	require.Len(t, f.Entries, 2)
	require.Equal(t, "Results: Stuffed leaves", f.Entries[0].Title)
	require.Equal(t, "Public by now: Reading, Pick of the finalists, Draw, Tasting", f.Entries[0].Summary)
	require.Equal(t, f.Updated, f.Entries[0].Updated)
	require.Equal(t, x.server.URL+"/c/"+x.slug+"/results", f.Entries[0].Link.Href)
	require.Equal(t, early, f.Entries[1].ID)
	ids := regexp.MustCompile(`^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)
	for _, id := range []string{f.ID, f.Entries[0].ID, f.Entries[1].ID} {
		require.Regexp(t, ids, id)
	}
}

func TestDraftIsInNoFeedAndHasNoCard(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	host.get("/host/new").ok().form("title").set("title", "Secret plans").set("zone", "UTC").set("opens_at", "2026-11-02T08:00").
		set("closes_at", "2026-11-16T20:00").set("release_at", "2026-12-01T18:00").send().ok()
	require.Empty(t, l.feed().Entries)
	for _, path := range []string{"/c/secret-plans/card.png", "/c/secret-plans/calendar.ics", "/c/secret-plans"} {
		l.person().get(path).is(http.StatusNotFound)
	}
	host.get("/c/secret-plans").ok().hides("og:image")
}

// The parts RFC 5545 asks of an event (3.6.1), at UTC times.
func TestCalendarOfDates(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	g := l.person().get("/c/" + slug + "/calendar.ics").ok()
	require.Equal(t, "text/calendar; charset=utf-8", g.header.Get("Content-Type"))
	cal := strings.ReplaceAll(g.body, "\r\n ", "")
	require.True(t, strings.HasPrefix(cal, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:"))
	require.True(t, strings.HasSuffix(cal, "END:VEVENT\r\nEND:VCALENDAR\r\n"))
	require.Equal(t, 3, strings.Count(cal, "\r\nUID:"))
	require.Equal(t, 3, strings.Count(cal, "\r\nDTSTAMP:20261102T090000Z\r\n"))
	for _, line := range []string{"DTSTART:20261116T200000Z", "SUMMARY:Entries close: Stuffed leaves", "DTSTART:20261201T180000Z", "SUMMARY:Results: Stuffed leaves"} {
		require.Contains(t, cal, "\r\n"+line+"\r\n")
	}
}

// A page that has not changed is answered with 304, one that a release or a
// consent has changed is not.
func TestPublicPagesHaveValidators(t *testing.T) {
	x := newVote(t)
	ask := func(path, tag string) *page {
		req, err := http.NewRequest(http.MethodGet, x.server.URL+path, http.NoBody)
		require.NoError(t, err)
		req.Header.Set("If-None-Match", tag)
		return x.person().doRequest(req)
	}
	for _, path := range []string{"/", "/c/" + x.slug, "/c/" + x.slug + "/results", "/c/" + x.slug + "/recipe/4", "/c/" + x.slug + "/ledger", "/feed.atom",
		"/c/" + x.slug + "/card.png", "/c/" + x.slug + "/recipe/4/card.png", "/c/" + x.slug + "/draw/3"} {
		g := x.person().get(path).ok()
		require.Equal(t, "no-cache", g.header.Get("Cache-Control"), path)
		tag := g.header.Get("ETag")
		require.NotEmpty(t, tag, path)
		require.Empty(t, g.header.Get("Set-Cookie"), path)
		again := ask(path, tag).is(http.StatusNotModified)
		require.Empty(t, again.body)
		ask(path, `"other"`).ok()
	}
	path := "/c/" + x.slug + "/results"
	tag := x.person().get(path).ok().header.Get("ETag")
	x.hostWords("Something new.")
	require.Contains(t, ask(path, tag).ok().body, "Something new.")
	require.Equal(t, "private, no-cache", x.host.get(path).ok().header.Get("Cache-Control"))
}

func TestSharedPagesSayWhatTheyAre(t *testing.T) {
	x := newVote(t)
	x.now = released.Add(-time.Millisecond)
	x.person().get("/c/" + x.slug + "/recipe/4/card.png").is(http.StatusNotFound)
	before := x.person().get("/c/" + x.slug + "/card.png").ok()
	x.now = released
	require.NotEqual(t, before.body, x.person().get("/c/"+x.slug+"/card.png").ok().body, "knots of the thread are filled at the release")
	for path, title := range map[string]string{"": "Stuffed leaves", "/results": "Results: Stuffed leaves", "/recipe/4": "Leaf parcels, way 4"} {
		g := x.person().get("/c/" + x.slug + path).ok()
		said := map[string]string{}
		walk(g.doc, func(n *html.Node) {
			if n.Data == "meta" {
				said[attr(n, "property")+attr(n, "name")] = attr(n, "content")
			}
		})
		require.Equal(t, title, said["og:title"])
		require.Equal(t, x.server.URL+"/c/"+x.slug+path, said["og:url"])
		require.NotEmpty(t, said["description"])
		picture := x.person().get(said["og:image"]).ok()
		require.Equal(t, "image/png", picture.header.Get("Content-Type"))
		require.Equal(t, "cross-origin", picture.header.Get("Cross-Origin-Resource-Policy"))
	}
}
