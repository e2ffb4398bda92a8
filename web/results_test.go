package web_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
)

// publicPaths are the addresses of a challenge that need no link and no
// password, and everything they link to on this server.
func publicPaths(p *person, slug string) []string {
	seen := map[string]bool{}
	queue := []string{"/", "/c/" + slug, "/c/" + slug + "/enter", "/c/" + slug + "/link", "/c/" + slug + "/results", "/c/" + slug + "/ledger",
		"/feed.atom", "/c/" + slug + "/calendar.ics", "/c/" + slug + "/card.png"}
	for _, n := range []string{"1", "2", "3", "4", "5", "6"} {
		queue = append(queue, "/c/"+slug+"/vote/"+n, "/c/"+slug+"/draw/"+n, "/c/"+slug+"/draw/"+n+"/record.json", "/c/"+slug+"/recipe/"+n)
	}
	var paths []string
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if seen[at] || strings.HasPrefix(at, "/static/") {
			continue
		}
		seen[at] = true
		paths = append(paths, at)
		walk(p.get(at).doc, func(n *html.Node) {
			to := attr(n, "href")
			if to == "" {
				to = attr(n, "src")
			}
			if u, err := url.Parse(to); err == nil && u.Host == "" && strings.HasPrefix(u.Path, "/") {
				queue = append(queue, u.RequestURI())
			}
		})
	}
	return paths
}

// discreet asserts that no public page tells who was chosen, drawn or liked.
// The ledger names every number that was received, and a draw's page the list
// it draws from, so numbers are looked for elsewhere only.
func (x *table) discreet(stage string) {
	x.t.Helper()
	p := x.person()
	for _, path := range publicPaths(p, x.slug) {
		g := p.get(path)
		body := strings.ToLower(g.body)
		for _, secret := range []string{"leaf parcels", "way 4", "quince", "bay custard", "saffron", "7.90", "came first", "has the most", "what was drawn", "final result", "@example"} {
			require.NotContains(x.t, body, secret, "%s: %s", stage, path)
		}
		if !strings.Contains(path, "/ledger") && !strings.Contains(path, "/draw/") {
			require.NotRegexp(x.t, `No\. ?[245]\b`, g.text(), "%s: %s", stage, path)
		}
	}
}

func (x *table) hostWords(words string) {
	x.t.Helper()
	x.host.get("/host/c/"+x.slug+"/results").ok().form("words").set("words", words).send().ok().says("Saved.")
}

func TestNothingPublicGivesTheOutcomeAway(t *testing.T) {
	x := &table{drawing: &drawing{live: newLive(t)}}
	x.host = x.setUp()
	x.slug = x.challenge(x.host)
	host, err := x.db.HostByEmail(t.Context(), "hanne@example.org")
	require.NoError(t, err)
	x.actor.Role, x.actor.ID = "host", host.ID
	for i := range 6 {
		x.enter(x.slug, i+1)
	}
	x.discreet("entries are in")

	x = newTable(t, 3, nil) // reading, pick, draw and cooking are behind it
	x.hostWords("The *saffron* one surprised us.")
	x.discreet("tasting is open")
	scored(x.sheet(0, x.code(false)), "8", "Save draft").ok()
	x.everyone([]string{"8", "8", "7.5"}, []string{"6", "6.5", "6"})
	x.discreet("sheets are sealed")
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("came first")
	x.discreet("tasting is closed")
	x.restart()
	x.now = released.Add(-time.Millisecond)
	x.discreet("one millisecond before the release")
	preview := x.host.get("/host/c/"+x.slug+"/results").ok().says("This is how the page will look", "came first", "saffron", "Entrant4 Q.")
	preview.hides("entrant4@", "quince")

	x.now = released
	results := x.person().get("/c/" + x.slug + "/results").ok()
	results.says("Leaf parcels, way 4", "No. 4, by Entrant4 Q.", "came first", "Bay custard tart", "house dish by Hanne Osei", "saffron", "Finalists",
		"Leaf parcels, way 2", "Leaf parcels, way 5", "Recipes", "By everyone who agreed").hides("Final result", "winner", "lind1", "quince", "@example")
	require.Contains(t, results.body, "<em>saffron</em>")
	x.person().get("/c/"+x.slug+"/recipe/4").ok().says("Leaf parcels, way 4", "by Entrant4 Q.").hides("quince4", "@example")
	require.Contains(t, results.body, "/c/"+x.slug+"/draw/3")
	x.person().get("/c/" + x.slug + "/draw/3").ok().says("No. 4")
}

// A round released before the others says only what it decided: names and
// recipes wait until nobody judges blind any more.
func TestEarlyReleaseOfTheDrawNamesNobody(t *testing.T) {
	x := newCooked(t)
	x.links = append(x.links, x.invite(x.host, x.slug, "judge", "Judge Lind1"))
	x.judges = append(x.judges, x.person())
	c := x.loaded()
	x.releaseAt(x.now.Add(-time.Hour))
	r := x.tasting()
	r.ReleaseAt = x.now.Add(48 * time.Hour)
	require.NoError(t, x.db.EditRound(t.Context(), x.actor, c.ID, r))
	require.NoError(t, x.db.OpenRound(t.Context(), x.actor, c.ID, r.ID))
	x.person().get("/c/"+x.slug+"/results").ok().says("Drawn", "Leaf parcels, way 4").hides("entrant4", "came first", `id="recipes"`)
	x.person().get("/c/" + x.slug + "/recipe/4").is(http.StatusNotFound)
	scored(x.sheet(0, x.code(false)), "8", "Seal this sheet").ok()
	_, err := x.db.CloseRound(t.Context(), x.actor, c.ID, r.ID)
	require.NoError(t, err)
	x.person().get("/c/" + x.slug + "/recipe/4").is(http.StatusNotFound)
	x.now = x.now.Add(48 * time.Hour)
	x.person().get("/c/" + x.slug + "/recipe/4").ok().says("Entrant4 Q.")
}

// Each consent decides by itself, and may be taken back after the release.
func TestPublicPagesFollowTheConsents(t *testing.T) {
	x := newVote(t)
	c := x.loaded()
	set := func(number int, answers map[challenge.ConsentKind]bool, credit string) {
		dish, err := x.db.EntryByNumber(t.Context(), c.ID, number)
		require.NoError(t, err)
		answers[challenge.Considered], answers[challenge.OfAge] = true, true
		require.NoError(t, x.db.SetConsents(t.Context(), entrantActor(c.ID, dish), answers, credit, ""))
	}
	set(4, map[challenge.ConsentKind]bool{challenge.Published: true}, "Entrant4 Q.")
	set(2, map[challenge.ConsentKind]bool{challenge.Credited: true}, "The cook of No. 2")
	set(5, map[challenge.ConsentKind]bool{challenge.Published: true, challenge.Credited: true}, "Write to me: e5@example.net")
	x.person().get("/c/"+x.slug+"/recipe/4").ok().hides("entrant4", `"author"`)
	x.person().get("/c/" + x.slug + "/recipe/2").is(http.StatusNotFound)
	x.person().get("/c/"+x.slug+"/recipe/5").ok().hides("@example", "e5@").says("[address]")
	x.person().get("/c/"+x.slug+"/results").ok().says("The cook of No. 2").hides("entrant4 q", "@example", "/recipe/2\"")
	dish, err := x.db.EntryByNumber(t.Context(), c.ID, 4)
	require.NoError(t, err)
	require.NoError(t, x.db.Withdraw(t.Context(), entrantActor(c.ID, dish)))
	x.person().get("/c/" + x.slug + "/recipe/4").is(http.StatusNotFound)
	x.person().get("/c/" + x.slug + "/results").ok().says("No. 4, withdrawn").hides("way 4")
	for _, n := range []string{"99", "x", "-1", "0"} {
		x.person().get("/c/" + x.slug + "/recipe/" + n).is(http.StatusNotFound)
	}
}

func TestRecipePageHoldsStructuredData(t *testing.T) {
	x := newVote(t)
	g := x.person().get("/c/"+x.slug+"/recipe/4").ok().says("vine leaves", "Contains")
	var data struct {
		Context      string                  `json:"@context"`
		Type         string                  `json:"@type"`
		Name         string                  `json:"name"`
		Author       map[string]string       `json:"author"`
		Ingredients  []string                `json:"recipeIngredient"`
		Instructions []struct{ Text string } `json:"recipeInstructions"`
	}
	walk(g.doc, func(n *html.Node) {
		if n.Data == "script" && attr(n, "type") == "application/ld+json" {
			require.NoError(t, json.Unmarshal([]byte(innerRaw(n)), &data))
		}
	})
	require.Equal(t, "https://schema.org", data.Context)
	require.Equal(t, "Recipe", data.Type)
	require.Equal(t, "Leaf parcels, way 4", data.Name)
	require.Equal(t, "Entrant4 Q.", data.Author["name"])
	require.Contains(t, data.Ingredients, "24 vine leaves")
	require.NotEmpty(t, data.Instructions)
}

func TestHostWordsAreMadeHarmless(t *testing.T) {
	x := newVote(t)
	x.hostWords("# Well\n\n<script>alert(1)</script>\n\n[a](javascript:alert(1)) ![x](https://elsewhere.example/p.png) **fine**")
	x.person().get("/c/"+x.slug+"/results").ok().says("fine").hides("<script>alert", "javascript:", "<img src=\"https://elsewhere")
	x.host.get("/host/c/"+x.slug+"/results").ok().form("words").set("words", strings.Repeat("long ", 5000)).send().is(http.StatusUnprocessableEntity)
}
