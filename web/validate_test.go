package web_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
)

// A shelf is a folder of what the site answered, for other people's programs.
type shelf struct {
	*table
	dir string
}

// keep puts an answer into the folder.
func (s shelf) keep(name string, g *page) {
	s.t.Helper()
	require.NoError(s.t, os.WriteFile(filepath.Join(s.dir, name), []byte(g.body), 0o644))
	if !strings.HasSuffix(name, ".html") {
		return
	}
	walk(g.doc, func(n *html.Node) {
		if n.Data == "script" && attr(n, "type") == "application/ld+json" {
			require.NoError(s.t, os.WriteFile(filepath.Join(s.dir, strings.TrimSuffix(name, ".html")+".jsonld"), []byte(innerRaw(n)), 0o644))
		}
	})
}

// pages keeps everything that a visitor without a link finds, and what a host,
// a judge and an entrant have before them.
func (s shelf) pages(stage string) {
	s.t.Helper()
	s.keep(stage+"-feed.atom", s.person().get("/feed.atom").ok())
	s.keep(stage+"-dates.ics", s.person().get("/c/"+s.slug+"/calendar.ics").ok())
	s.desk(stage)
	if stage == "voting" {
		return // its public pages are those of the end, but for the ballots
	}
	for i, path := range publicPaths(s.person(), s.slug) {
		if g := s.person().get(path); strings.HasPrefix(g.header.Get("Content-Type"), "text/html") {
			s.keep(stage+"-public-"+itoa(i)+".html", g)
		}
	}
}

// desk keeps what those have before them who run the challenge or take part.
func (s shelf) desk(stage string) {
	s.t.Helper()
	host := "/host/c/" + s.slug
	for i, path := range []string{"/host", host, host + "/settings", host + "/rounds", host + "/people", host + "/entries", host + "/entries/4", host + "/results",
		host + "/announcements", host + "/announcements?ahead=1", host + "/next", host + "/prize", host + "/dishes", host + "/import", host + "/draw/3", host + "/tasting/5",
		host + "/reading/1", host + "/pick/2", host + "/cook/4", host + "/cook/4/shopping", "/host/outbox", "/host/season/winter-table"} {
		if g := s.host.get(path); g.status == 200 {
			s.keep(stage+"-host-"+itoa(i)+".html", g)
		}
	}
	s.keep(stage+"-own.html", s.person().get(s.own[4]).ok())
	s.keep(stage+"-judge.html", s.judges[0].get(s.links[0]).ok())
}

// What is published is read by other people's programs: pages by html-validate,
// the feed by feedsmith, calendars by ical.js, recipes by jsonld and the types
// of schema.org.
func TestBrowserOthersReadWhatIsPublished(t *testing.T) {
	if os.Getenv("FAIRLADLE_BROWSER") == "" {
		t.Skip("FAIRLADLE_BROWSER is not set: nothing is read by npm's programs")
	}
	script, err := filepath.Abs("../.ci/validate.mjs")
	require.NoError(t, err)
	if _, err := os.Stat(filepath.Join(filepath.Dir(script), "node_modules", "html-validate")); err != nil {
		require.NotEqual(t, "required", os.Getenv("FAIRLADLE_BROWSER"), "npm ci --prefix .ci first")
		t.Skip("no html-validate: npm ci --prefix .ci installs it")
	}
	x := newPrize(t)
	s := shelf{x, t.TempDir()}
	_, err = x.db.NewSeason(t.Context(), x.actor, "Winter table", []int64{x.loaded().ID})
	require.NoError(t, err)
	s.pages("withheld")
	x.now = released
	x.published(map[string]string{"words": "What a *month*.", "video_url": "https://video.example/", "sponsor": "Mill & Sons", "sponsor_url": "https://mill.example/?a=1&b=2"}).ok()
	require.NoError(t, x.db.PutThemes(t.Context(), x.actor, x.loaded().ID, challenge.ParseThemes("Pickled: in brine\nFried"), "approval", 24))
	x.offer().ok()
	x.host.get(x.votes()).ok().button("Open “Audience vote”").send().ok()
	v := x.person()
	s.keep("ballot.html", v.get(x.ballot()).ok())
	s.keep("theme.html", v.get("/c/"+x.slug+"/theme").ok())
	v.get(x.ballot()).form("choice").set("choice", x.dish(false)).send().ok()
	s.pages("voting")
	x.now = released.Add(72*time.Hour + time.Second)
	x.host.get(x.votes()).ok().button("Close the vote").send().ok()
	s.keep("season.html", x.person().get("/season/winter-table").ok())
	s.keep("archive.html", x.person().get("/archive?q=parcels").ok())
	s.pages("final")
	out, err := exec.CommandContext(t.Context(), "node", script, s.dir).CombinedOutput()
	require.NoError(t, err, "%s", out)
	t.Logf("%s", out)
}
