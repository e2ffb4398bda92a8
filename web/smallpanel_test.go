package web_test

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
)

// below plans what happens when fewer than three judges hand in.
func below(b string) func(*challenge.Round) {
	return func(r *challenge.Round) { r.Params.Rule.Below = tasting.Below(b) }
}

// Too few handed in and the rules say: another day. The tasting cannot be
// closed, sealed sheets stay, and who comes later makes the verdict.
func TestATooSmallPanelIsPostponed(t *testing.T) {
	x := newTable(t, 3, below("postpone"))
	for i := range 2 {
		scored(x.sheet(i, x.code(false)), "8", "Seal this sheet").ok()
	}
	x.host.get(x.desk()).ok().says("Handed in so far: 2 judges", "smallest panel is 3")
	x.host.post("/host/c/"+x.slug+"/rounds/5/close", nil).is(http.StatusConflict).says("Put it off to another day")
	x.host.get(x.desk()).ok().form("until").set("until", "2020-01-01").set("postpone", "Two are ill").send().is(http.StatusUnprocessableEntity).says("from today on").kept("postpone", "Two are ill").kept("until", "2020-01-01")
	until := x.now.AddDate(0, 0, 3)
	x.host.get(x.desk()).ok().form("until").set("until", until.Format(time.DateOnly)).set("postpone", "Two are ill").send().ok().says("put off until " + until.Format(time.DateOnly))
	x.judges[2].get(x.links[2]).ok().says("put off until", "Two are ill")
	x.host.post("/host/c/"+x.slug+"/rounds/5/close", nil).is(http.StatusConflict).says("is put off until")
	scored(x.sheet(2, x.code(false)), "7", "Seal this sheet").ok()
	x.host.get(x.desk()).ok().hides("smallest panel is 3 ").button("Close the tasting").send().ok().says("came first")

	y := newTable(t, 2, below("postpone"))
	scored(y.sheet(0, y.code(false)), "8", "Seal this sheet").ok()
	y.host.get(y.desk()).ok().form("until").set("until", y.now.Format(time.DateOnly)).set("postpone", "Once more").send().ok()
	y.host.get(y.desk()).ok().button("Close the tasting").send().ok().says("put off to another day, and still too few handed in").hides("8.00")
	z := newTable(t, 1, nil)
	z.host.post(z.desk()+"/postpone", url.Values{"until": {z.now.Format(time.DateOnly)}, "postpone": {"why"}}).is(http.StatusConflict).says("do not have it put off")
}

// Too few handed in and the rules leave it to the audience: every dish goes on
// level, and the audience's order is the final result whatever the rule of the
// vote says.
func TestATooSmallPanelLeavesItToTheAudience(t *testing.T) {
	x := newTable(t, 2, below("audience"))
	x.everyone([]string{"9", "9"}, []string{"3", "3"})
	x.host.get("/host/c/"+x.slug+"/rounds").ok().form("vote_hours").set("final", "judges").send().ok()
	x.host.get(x.desk()).ok().says("every dish goes on to the audience vote").button("Close the tasting").send().ok().says("the audience decides alone")
	x.now = released
	x.host.get(x.votes()).ok().button("Open “Audience vote”").send().ok()
	for range 3 {
		x.person().get(x.ballot()).ok().form("choice").set("choice", x.dish(true)).send().ok()
	}
	x.counted()
	results, err := x.db.Results(t.Context(), x.loaded())
	require.NoError(t, err)
	require.Equal(t, "Bay custard tart", results.Final[0][0].Title)
	x.person().get("/c/" + x.slug + "/results").ok().says("The order is the audience's").hides("9.00")

	y := newCooked(t)
	y.host.post("/host/c/"+y.slug+"/rounds/6/remove", nil).ok()
	y.host.get("/host/c/"+y.slug+"/rounds").ok().form("below").set("below", "audience").send().is(http.StatusUnprocessableEntity).says("No audience vote follows")
}

// Too few handed in and the rules say notes only: what may be quoted is
// published, with the host's own words as the host's, and nothing is ranked.
func TestATooSmallPanelGivesNotesOnly(t *testing.T) {
	x := newTable(t, 1, below("notes"))
	f := x.sheet(0, x.code(false)).button("Seal this sheet")
	for _, c := range challenge.DefaultCriteria() {
		f.set("score-"+c.Key, "8.5")
	}
	f.set("comment-taste", "Smoky and bright").set("quote-taste", "1").send().ok()
	notes := x.host.get(x.desk()).ok().says("no dish gets a place").link("Your own notes")
	code := itoa(x.code(true))
	x.host.get(notes).ok().form("note-"+code).set("note-"+code, "Set better this time").set("public-"+code, "1").send().ok().says("Saved.", "Set better this time")
	x.judges[0].get(x.links[0] + "/tasting/5/notes").is(http.StatusForbidden)
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("published without a verdict", "Set better this time")
	x.host.get(notes).is(http.StatusNotFound)
	x.now = released
	x.person().get("/c/"+x.slug+"/results").ok().says("Smoky and bright", "Set better this time", "the host").hides("8.50", "came first")
}

// kept asserts what stands in a field of a form that came back.
func (g *page) kept(name, value string) *page {
	g.person.live.t.Helper()
	require.Equal(g.person.live.t, value, g.value(name))
	return g
}
