package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

func newSeedDraw(t *testing.T) *drawing {
	return newDrawing(t, func(r *challenge.Round) {
		r.Params.Method, r.Params.Places = "seeds", 3
		r.Params.Parties, r.Params.Minutes = []string{"host", "co-host", "server"}, 30
	})
}

// partyForm is the form of one party on a page.
func (g *page) partyForm(action, party string) *filled {
	g.person.live.t.Helper()
	var found *filled
	walk(g.doc, func(n *html.Node) {
		if n.Type != html.ElementNode || n.Data != "form" || !strings.HasSuffix(attr(n, "action"), action) {
			return
		}
		if f := g.fill(n); f.values.Get("party") == party {
			found = f
		}
	})
	require.NotNil(g.person.live.t, found, "no form of %q: %s", party, g.text())
	return found
}

func (g *page) offers(action string) bool {
	found := false
	walk(g.doc, func(n *html.Node) {
		found = found || n.Type == html.ElementNode && n.Data == "form" && strings.HasSuffix(attr(n, "action"), action)
	})
	return found
}

const hostSecret, cohostSecret = "the third ladle on the left", "seven onions & <one> leek"

// sealBoth seals the host's and the co-host's secrets and returns their
// numbers.
func (d *drawing) sealBoth() (host, cohost string) {
	f := d.host.get(d.desk()).ok().partyForm("/seal", "host").set("secret", hostSecret)
	host = f.values.Get("nonce")
	f.send().ok().says(hostSecret, host, "Keep the card")
	d.restart()
	f = d.cohost.get(d.with+"/draw/3").ok().partyForm("/seal", "co-host").set("secret", cohostSecret)
	cohost = f.values.Get("nonce")
	f.send().ok().says(cohostSecret, cohost)
	d.restart()
	require.NotEqual(d.t, host, cohost)
	return host, cohost
}

func TestSealedSeedsFromSealingToRelease(t *testing.T) {
	d := newSeedDraw(t)
	d.person().get(d.public()).ok().says("its list is not fixed yet", "Sealed so far: 1 of 3")
	g := d.host.get(d.desk()).ok().says("Each party seals a secret", "passes through this server")
	require.False(t, g.offers("/freeze"), "not before all have sealed")
	d.host.post(d.desk()+"/freeze", nil).is(http.StatusConflict).says("Not every party has sealed")
	hostNonce, cohostNonce := d.sealBoth()
	d.person().get(d.public()).ok().says("Sealed so far: 3 of 3").hides(hostSecret, "seven onions", hostNonce, cohostNonce)

	g = d.host.get(d.desk()).ok().hides(hostSecret, "seven onions")
	require.False(t, g.offers("/reveal"), "not before the list is fixed")
	g.button("Fix the list").send().ok().says("The list is fixed")
	d.restart()
	d.host.post(d.desk()+"/freeze", nil).is(http.StatusConflict)

	wrong := d.host.get(d.desk()).ok().partyForm("/reveal", "host").set("nonce", hostNonce).set("secret", hostSecret+" ").
		send().is(http.StatusUnprocessableEntity).says("This is not the secret that host sealed")
	require.Equal(t, hostNonce, wrong.partyForm("/reveal", "host").values.Get("nonce"))
	wrong.partyForm("/reveal", "host").set("secret", hostSecret).set("nonce", cohostNonce).send().is(http.StatusUnprocessableEntity)
	wrong.partyForm("/reveal", "host").set("secret", hostSecret).set("nonce", "12").send().is(http.StatusUnprocessableEntity).says("32 digits")
	require.Empty(t, d.state().State.Result)

	// Opened from two desks at once, from pages loaded before either.
	hostForm := wrong.partyForm("/reveal", "host").set("secret", hostSecret).set("nonce", strings.ToUpper(hostNonce))
	cohostForm := d.cohost.get(d.with+"/draw/3").ok().partyForm("/reveal", "co-host").set("secret", cohostSecret).set("nonce", cohostNonce)
	hostForm.send().ok().says("opened")
	cohostForm.send().ok()
	require.Empty(t, d.state().State.Result, "one secret is still closed")
	server := d.host.get(d.desk()).ok().button("Open the server's secret")
	server.send().ok().says("Every place is filled", "Alternate 2")
	server.send().ok()
	d.restart()
	result := d.state().State.Result
	require.ElementsMatch(t, []int{2, 4, 5}, result)
	d.person().get(d.public()).ok().hides(hostSecret, "seven onions", "alternate 2", hostNonce)
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	d.person().get(d.public()).ok().hides(hostSecret, "seven onions", "alternate 2", hostNonce)

	d.now = time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC)
	d.person().get(d.public()).ok().says(hostSecret, cohostSecret, "What was drawn")
	report := draw.Verify([]byte(d.person().get(d.public()+"/record.json").ok().body), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.Equal(t, result, report.Record.Result)
	d.person().get(d.public() + "/check").ok().hides("<one>").says("Your browser now does the draw again")
}

func TestSealAgainIsRefusedAndReloadShowsTheCardAgain(t *testing.T) {
	d := newSeedDraw(t)
	f := d.host.get(d.desk()).ok().partyForm("/seal", "host").set("secret", hostSecret)
	f.send().ok().says(hostSecret)
	f.send().ok().says(hostSecret)
	require.Len(t, d.state().Events, 2, "the server's and one of the host")
	f.set("secret", "another secret entirely").send().is(http.StatusConflict)
	require.Len(t, d.state().Events, 2)
	f = d.cohost.get(d.with+"/draw/3").ok().partyForm("/seal", "co-host")
	for secret, words := range map[string]string{"": "at least 8 characters", "short": "at least 8 characters", " leading blank": "begins or ends with a blank", "two\nlines of text": "one line",
		strings.Repeat("x", 201): "one line"} {
		kept := f.set("secret", secret).send().is(http.StatusUnprocessableEntity).says(words)
		require.Equal(t, f.values.Get("nonce"), kept.partyForm("/seal", "co-host").values.Get("nonce"))
	}
	f.set("secret", cohostSecret).set("nonce", "abc").send().is(http.StatusUnprocessableEntity).says("32 digits")
}

// The secret of a party that sealed on a device of its own never passes the
// server before it is opened.
func TestSealedElsewhere(t *testing.T) {
	d := newSeedDraw(t)
	nonce := ledger.Salt{1, 2, 3}
	content := draw.SeedCommitment(d.state().State.Plan.Draw, "co-host", nonce, cohostSecret)
	f := d.cohost.get(d.with+"/draw/3").ok().partyForm("/seal", "co-host")
	f.set("sealed", "1234").send().is(http.StatusUnprocessableEntity).says("64 digits")
	f.set("sealed", content.String()).set("secret", cohostSecret).send().is(http.StatusUnprocessableEntity).says("not both")
	f.set("secret", "").send().ok().says("never came here")
	d.host.get(d.desk()).ok().partyForm("/seal", "host").set("secret", hostSecret).send().ok()
	d.host.get(d.desk()).ok().button("Fix the list").send().ok()
	d.cohost.get(d.with+"/draw/3").ok().partyForm("/reveal", "co-host").set("secret", cohostSecret).set("nonce", nonce.String()).send().ok().says("opened")
}

func TestPartiesSpeakForThemselves(t *testing.T) {
	d := newSeedDraw(t)
	g := d.cohost.get(d.with + "/draw/3").ok()
	require.Equal(t, 1, strings.Count(g.body, "/seal\""), "the co-host seals for the co-host only")
	seal := url.Values{"n": {"2"}, "party": {"host"}, "secret": {hostSecret}, "nonce": {strings.Repeat("a", 32)}}
	d.cohost.post(d.with+"/draw/3/seal", seal).is(http.StatusForbidden)
	seal.Set("party", "co-host")
	d.host.post(d.desk()+"/seal", seal).is(http.StatusForbidden).says("own link")
	require.Equal(t, 1, strings.Count(d.host.get(d.desk()).ok().says("through the co-host's own link").body, "/seal\""), "nor does the host seal for the co-host")
	seal.Set("party", "server")
	d.host.post(d.desk()+"/seal", seal).is(http.StatusForbidden)
	seal.Set("party", "nobody")
	d.host.post(d.desk()+"/seal", seal).is(http.StatusUnprocessableEntity)
	require.Len(t, d.state().Events, 1)
}

// A secret that is never opened leaves the choice to the dice named
// beforehand.
func TestMissingSecretFallsBackToDice(t *testing.T) {
	d := newSeedDraw(t)
	hostNonce, _ := d.sealBoth()
	d.host.get(d.desk()).ok().button("Fix the list").send().ok()
	d.host.get(d.desk()).ok().partyForm("/reveal", "host").set("secret", hostSecret).set("nonce", hostNonce).send().ok()
	d.host.get(d.desk()).ok().button("Open the server's secret").send().ok()
	d.now = d.now.Add(61 * time.Minute)
	late := d.host.get(d.desk()).ok().says("A secret is missing, and the time for it is over")
	require.False(t, late.offers("/reveal"))
	d.restart()
	late.form("agree").set("reason", "The co-host lost the card.").set("agree", "void").send().ok().says("1 to 6", "roll again")
	d.restart()
	d.rolls("1").ok()
	d.rolls("20").ok()
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	d.now = time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC)
	report := draw.Verify([]byte(d.person().get(d.public()+"/record.json").ok().body), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.Equal(t, []int{2, 5, 4}, report.Record.Result)
}

// When too few seal in time the draw goes to the dice before its list is
// fixed; declared void there as well, it decides nothing and stops nobody.
func TestTooFewSecretsAndGivenUp(t *testing.T) {
	d := newSeedDraw(t)
	d.now = d.now.Add(31 * time.Minute)
	d.host.get(d.desk()).ok().form("agree").set("reason", "Nobody came.").set("agree", "void").send().ok().button("Fix the list")
	d.host.get(d.desk()).ok().form("agree").set("reason", "And no die was there.").set("agree", "void").send().ok()
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	out, err := d.db.Outcome(t.Context(), d.round().ID)
	require.NoError(t, err)
	require.Len(t, challenge.Through(out), 3)
	d.person().get(d.public()).ok()
	d.now = time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC)
	d.person().get(d.public()).ok().says("declared void", "And no die was there.")
	d.person().get(d.public() + "/record.json").is(http.StatusNotFound).says("given up before its list was fixed")
	d.person().get(d.public() + "/check").is(http.StatusNotFound)
	d.person().get("/c/" + d.slug + "/ledger").ok()
}

func TestEntryWithdrawnBeforeTheListIsFixed(t *testing.T) {
	d := newSeedDraw(t)
	d.sealBoth()
	d.person().get(d.own[4]).ok().form("number").set("number", "4").send().ok()
	d.host.get(d.desk()).ok().button("Fix the list").send().ok()
	state := d.state()
	require.Len(t, state.Roster, 2)
	require.Equal(t, 2, state.State.Plan.Places)
	d.person().get(d.own[4]).ok().says("No. 4 is not in the list")
}
