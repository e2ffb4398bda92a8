package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
)

// newFinished is a challenge whose final result stands: No. 4 first, the house
// dish second.
func newFinished(t *testing.T) *table {
	x := newVote(t)
	for range 2 {
		v := x.person()
		v.get(x.ballot()).ok().form("choice").set("choice", x.dish(false)).send().ok()
	}
	x.now = released.Add(72*time.Hour + time.Second)
	x.host.get(x.votes()).ok().button("Close the vote").send().ok()
	return x
}

func TestTheNextChallengeTakesSettingsAndPeopleAlong(t *testing.T) {
	x := newFinished(t)
	_, err := x.db.Invite(t.Context(), x.actor, x.loaded().ID, challenge.Judge, "Mail Judge", "mail.judge@example.org")
	require.NoError(t, err)
	g := x.host.get("/host/c/"+x.slug+"/next").ok().says("Ada Quill", "Judge Lind1", "Mail Judge")
	require.Equal(t, "2026-12-02T08:00", g.value("opens_at"), "a month later at the same hour")
	require.Equal(t, "2026-12-16T20:00", g.value("closes_at"))
	f := g.form("closes_at")
	f.set("title", "").send().is(http.StatusUnprocessableEntity).says("Give the challenge a title")
	judge := ""
	for name := range f.values {
		if strings.HasPrefix(name, "invite-") {
			judge = name // whoever comes last is not asked again
		}
	}
	next := f.set("title", "Roots and bulbs").set("brief", "Dig.").set("new_season", "Winter table").untick(judge).send().ok().says("draft")
	slug := strings.TrimPrefix(next.url.Path, "/host/c/")
	require.Equal(t, "roots-and-bulbs", slug)
	before := x.loaded()
	after, err := x.db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	require.Equal(t, before.Criteria, after.Criteria)
	require.Equal(t, before.Kitchen, after.Kitchen)
	require.Equal(t, before.Rules, after.Rules)
	require.Len(t, after.Rounds, len(before.Rounds))
	for i, r := range after.Rounds {
		require.Equal(t, challenge.Planned, r.State)
		require.Equal(t, before.Rounds[i].Params.JSON(), r.Params.JSON())
	}
	people, err := x.db.Participants(t.Context(), x.actor, after.ID)
	require.NoError(t, err)
	require.Len(t, people, 4, "five took part, and one was not asked again")
	waiting, err := x.db.Waiting(t.Context(), 50)
	require.NoError(t, err)
	invited := 0
	for _, m := range waiting {
		if m.Challenge == "Roots and bulbs" {
			invited++
		}
	}
	require.LessOrEqual(t, invited, 1, "only who has an address gets a message")
	x.person().get("/c/" + slug).is(http.StatusNotFound)
	x.person().get("/season/winter-table").ok().says("Winter table", "Stuffed leaves").hides("Roots and bulbs")
	x.host.get("/host/c/" + slug).ok().button("Open the challenge").send().ok()
	x.person().get("/season/winter-table").ok().says("Roots and bulbs")
}

func TestStandingsFollowRuleAndConsent(t *testing.T) {
	x := newFinished(t)
	x.host.get("/host").ok().form("title").set("title", "Winter table").send().ok().says("once it holds a challenge that is public")
	page := "/host/season/winter-table"
	x.person().get("/season/winter-table").is(http.StatusNotFound)
	c := x.loaded()
	f := x.host.get(page).ok().form("places")
	f.set("places", "6, 10").send().is(http.StatusUnprocessableEntity).says("cannot give more points")
	f.set("places", "ten").send().is(http.StatusUnprocessableEntity).says("such as 10, 6, 4, 2, 1")
	f.set("places", "10, 6, 4").set("finalist", "2").set("drawn", "3").set("published", "1").set(fmt.Sprintf("in-%d", c.ID), "1").send().ok().says("Saved.")
	// No. 4: 10 for the first place, 2 as a finalist, 3 as drawn, 1 published.
	x.person().get("/season/winter-table").ok().says("Entrant4 Q.", "16 points", "place 1: 10, finalist: 2, drawn: 3, published: 1", "Entrant2 Q.", "3 points", "one point").
		hides("quince", "@example", "hanne osei")
	dish, err := x.db.EntryByNumber(t.Context(), c.ID, 4)
	require.NoError(t, err)
	require.NoError(t, x.db.SetConsents(t.Context(), entrantActor(c.ID, dish), map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}, "Entrant4 Q.", ""))
	x.person().get("/season/winter-table").ok().says("No. 4 of “Stuffed leaves”", "15 points").hides("entrant4", "/recipe/4")
	x.person().get("/").ok().says("Winter table")
}

func TestNextThemeIsPutToTheVote(t *testing.T) {
	x := newFinished(t)
	page := "/host/c/" + x.slug + "/next"
	x.person().get("/c/" + x.slug + "/theme").is(http.StatusNotFound)
	f := x.host.get(page).ok().form("themes")
	f.set("themes", "Pickled").send().is(http.StatusUnprocessableEntity).says("at least two themes")
	f.set("themes", "Pickled\npickled\n").send().is(http.StatusUnprocessableEntity).says("stands there twice")
	f.set("themes", "Pickled: a week in brine\nFried once\nUnder a crust").set("method", "approval").set("hours", "48").send().ok().says("vote on the theme is open")
	for i := range 3 {
		v := x.person()
		g := v.get("/c/"+x.slug+"/theme").ok().says("Pickled", "a week in brine", "one ballot per browser")
		choice := map[string]string{}
		walk(g.doc, func(n *html.Node) {
			if attr(n, "name") == "choice" {
				choice[strings.Fields(inner(n.Parent))[0]] = attr(n, "value")
			}
		})
		require.Len(t, choice, 3)
		form := g.form("choice")
		form.send().is(http.StatusUnprocessableEntity).says("at least one theme")
		form.values["choice"] = []string{choice["Under"]}
		if i == 0 {
			form.values["choice"] = []string{choice["Under"], choice["Pickled"]}
		}
		form.send().ok().says("Your ballot is counted")
		form.send().is(http.StatusConflict).says("already")
		v.get("/c/" + x.slug + "/theme").ok().hides(`name="choice"`)
	}
	x.person().post("/c/"+x.slug+"/theme", url.Values{"choice": {"1"}}).is(http.StatusUnprocessableEntity).says("Allow cookies")
	x.host.get(page).ok().says("3 ballots have been cast").hides("100")
	x.restart()
	x.now = x.now.Add(48 * time.Hour)
	x.person().get("/c/"+x.slug+"/theme").ok().says("The vote has ended", "3 ballots")
	g := x.host.get(page).ok()
	require.Equal(t, "Under a crust", g.value("title"), "what was voted for is proposed")
	require.Equal(t, "Under a crust", g.form("closes_at").values.Get("title"))
}

func TestArchiveHoldsWhatIsReleased(t *testing.T) {
	x := newTable(t, 3, nil)
	_, err := x.db.RunJobs(t.Context())
	require.NoError(t, err)
	p := x.person()
	p.get("/archive").ok().says("Nothing has been released yet").hides("stuffed leaves")
	p.get("/archive?q=leaves").ok().says("No published recipe", "No released challenge").hides("Stuffed leaves", "way 4")
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.now = released.Add(-time.Millisecond)
	p.get("/archive?q=parcels").ok().hides("way 4")
	x.now = released
	p.get("/archive").ok().says("Stuffed leaves")
	p.get("/archive?q=parcels").ok().says("Leaf parcels, way 4", "No. 4, by Entrant4 Q.").hides("quince", "@example")
	p.get("/archive?q=stuff").ok().says("Stuffed leaves", "No published recipe")
	p.get("/archive?q=quince4").ok().hides("way 4") // names do not find recipes
	c := x.loaded()
	dish, err := x.db.EntryByNumber(t.Context(), c.ID, 4)
	require.NoError(t, err)
	require.NoError(t, x.db.SetConsents(t.Context(), entrantActor(c.ID, dish), map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}, "", ""))
	p.get("/archive?q=parcels").ok().says("Leaf parcels, way 2").hides("way 4")
	for _, odd := range []string{`"`, `a" OR b`, "*", "NEAR(", "%00", "%ff", strings.Repeat("x", 3000)} {
		p.get("/archive?q=" + url.QueryEscape(odd)).ok()
	}
}

func TestOwnEntriesAcrossChallenges(t *testing.T) {
	x := newFinished(t)
	next, err := x.db.StartNext(t.Context(), x.actor, x.loaded().ID, challenge.Next{Title: "Roots", OpensAt: x.now.Add(-time.Hour),
		ClosesAt: x.now.AddDate(0, 0, 9), Release: x.now.AddDate(0, 0, 20)})
	require.NoError(t, err)
	c, err := x.db.ChallengeBySlug(t.Context(), next)
	require.NoError(t, err)
	require.NoError(t, x.db.Announce(t.Context(), x.actor, c.ID))
	x.person().get("/c/"+next+"/enter").ok().form("text").set("text", "Beet soup\n\n3 beets").set("name", "Entrant4 Quince4").set("email", "ENTRANT4+soup@Example.net").
		set("consent-considered", "1").set("consent-of-age", "1").set("do", "send").send().ok()
	x.person().get("/mine").ok().form("email").set("email", "nobody@example.net").send().ok().says("on the way")
	x.person().get("/mine").ok().form("email").set("email", " Entrant4@example.net ").send().ok().says("on the way")
	token := x.mineToken()
	p := x.person()
	g := p.get("/mine/"+token).ok().says("Beet soup", "Leaf parcels, way 4", "Place 1 of the final result", "Stuffed leaves", "Roots").hides("way 2", "way 5", "quince2")
	g.button("Open this entry").send().ok().says("Your entry: No. 1")
	other, err := x.db.EntryByNumber(t.Context(), x.loaded().ID, 2)
	require.NoError(t, err)
	p.post(fmt.Sprintf("/mine/%s/%d", token, other), nil).is(http.StatusNotFound)
	x.person().get("/mine/AAAAAAAAAAAAAAAAAAAAAA").is(http.StatusNotFound)
	x.person().get("/entry/" + token).is(http.StatusNotFound)
	x.person().get(x.own[4]).ok().says("Place 1 of the final result", "See the results")
	x.person().get(x.own[2]).ok().says("Among the finalists")
	x.person().get(x.own[1]).ok().says("It took part. Thank you.")
	// From an entry's page the link goes to its address, not to whoever holds the page.
	x.now = x.now.Add(time.Hour)
	x.person().get(x.own[5]).ok().button("Send me that link").send().ok().says("on the way to it").hides("/mine/")
	require.NotEqual(t, token, x.mineToken())
	// Erasing takes the link and the page along.
	x.now = x.now.Add(time.Hour)
	x.person().get("/mine").ok().form("email").set("email", "entrant5@example.net").send().ok()
	token = x.mineToken()
	x.person().get("/mine/" + token).ok().says("way 5")
	dish, err := x.db.EntryByNumber(t.Context(), x.loaded().ID, 5)
	require.NoError(t, err)
	require.NoError(t, x.db.EraseOwn(t.Context(), entrantActor(x.loaded().ID, dish)))
	x.person().get("/mine/" + token).is(http.StatusNotFound)
}

// mineToken is the secret of the newest link to all entries of an address.
func (x *table) mineToken() (token string) {
	x.t.Helper()
	_, err := x.db.RunJobs(x.t.Context())
	require.NoError(x.t, err)
	waiting, err := x.db.Waiting(x.t.Context(), 200)
	require.NoError(x.t, err)
	for _, m := range waiting {
		if m.Kind == "own-entries" {
			token = m.Token
		}
	}
	require.NotEmpty(x.t, token)
	return token
}
