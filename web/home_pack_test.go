package web_test

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"
)

// A judge who lives far away gets the recipes without names, for two, with a
// shopping list and a plan; scores under the code, and says what was changed.
func TestHomeTastingPack(t *testing.T) {
	x := newCooked(t)
	x.links, x.judges = append(x.links, x.invite(x.host, x.slug, "judge", "Far Away")), append(x.judges, x.person())
	people := "/host/c/" + x.slug + "/people"
	x.host.post(people+"/"+x.judgeID(0)+"/home", url.Values{"home": {"51"}}).is(http.StatusUnprocessableEntity)
	x.host.get(people).ok().form("home").set("home", "2").send().ok().says("Cooks at home, 2 portions")
	x.seat(3)
	g := x.judges[0].get(x.links[0]).ok()
	pack := g.link("Your home-tasting pack")
	x.judges[0].get(pack).ok().says("2 portions of each dish", "To buy", "eggs", "A plan", "Bake at 170 C", "Contains", itoa(x.code(true))).
		hides("Osei", "house dish", "No. 4", "Sender 4")
	x.judges[1].get(x.links[1] + "/home/5").is(http.StatusNotFound).says("You taste at the table")
	x.host.get(x.desk() + "/table").ok().says("cooks at home")

	code := itoa(x.code(true))
	x.judges[0].post(pack+"/"+code, url.Values{"on": {"some day"}, "changed": {"less sugar"}}).is(http.StatusUnprocessableEntity).says("on which day", "less sugar")
	x.judges[0].post(pack+"/"+code, url.Values{"on": {"2026-11-17"}, "changed": {"Duck eggs in it"}}).ok().says("Saved.", "Duck eggs in it")
	x.judges[0].post(pack+"/999", url.Values{"on": {"2026-11-17"}}).is(http.StatusNotFound)
	x.everyone([]string{"8", "8", "7", "8"}, []string{"6", "7", "6", "6"})
	x.host.post(people+"/"+x.judgeID(0)+"/home", url.Values{"home": {"0"}}).is(http.StatusConflict).says("has begun to score")
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("One judge cooked at home", "Duck eggs in it")
	x.now = released
	x.person().get("/c/" + x.slug + "/results").ok().says("One judge cooked at home").hides("Far Away")
	x.judges[0].post(pack+"/"+code, url.Values{"on": {"2026-11-17"}}).is(http.StatusConflict)
}

// A judge says of whom the host should know, without knowing a dish; the host
// keeps them apart, and takes it back.
func TestDeclaredConnections(t *testing.T) {
	x := newTable(t, 3, nil)
	x.judges[0].get(x.links[0]).ok().form("connection").set("connection", "").send().is(http.StatusUnprocessableEntity).says("Say in a sentence with whom")
	x.judges[0].get(x.links[0]).ok().form("connection").set("connection", "My sister may have sent one in").send().ok().says("My sister may have")
	x.judges[1].get(x.links[1]).ok().form("connection").set("connection", "A slip of the pen").send().ok().button("Take it back").send().ok().hides("slip of the pen")
	x.judges[1].get(x.links[1]).ok().hides("sister")
	x.host.get(x.desk()).ok().says("Judge Lind1 says: “My sister may have sent one in”").hides("slip of the pen").button("I have looked at it").send().ok().hides("My sister")
	x.judges[0].get(x.links[0]).ok().says("the host has looked at it")
	x.host.get(x.desk()).ok().form("conflict").set("judge", x.judgeID(0)).set("dish", x.dishOf(false)).set("conflict", "Sister").send().ok()
	x.judges[0].get(x.links[0]).ok().hides(itoa(x.code(false)))
	x.host.get(x.desk()).ok().form("again").set("again", "").send().is(http.StatusUnprocessableEntity)
	x.host.get(x.desk()).ok().form("again").set("again", "Another sister").send().ok()
	x.judges[0].get(x.links[0]).ok().says(itoa(x.code(false)))
	x.everyone([]string{"8", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("3 judges, 6 sheets")
	x.now = released
	x.person().get("/c/" + x.slug + "/ledger").ok().says("A judge is no longer kept from a dish").hides("sister")
	kept, err := x.db.Connections(t.Context(), x.actor, x.tasting().Challenge)
	require.NoError(t, err)
	require.Empty(t, kept, "deleted when the tasting closes")
}
