package web_test

import (
	"net/http"
	"net/url"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/draw"
)

// A tie is rolled on the same screen, among codes, and nothing public tells
// that there is one before the tasting is released.
func TestTieIsRolledAmongCodes(t *testing.T) {
	x := newTable(t, 4, nil)
	x.everyone([]string{"8", "6", "7", "7"}, []string{"6", "8", "7", "7"})
	tie, public := "/host/c/"+x.slug+"/tie/5", "/c/"+x.slug+"/draw/5"
	x.host.get(tie).is(http.StatusNotFound)
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	plate := "Plate " + itoa(min(x.code(true), x.code(false)))
	other := "Plate " + itoa(max(x.code(true), x.code(false)))
	g := x.host.get(tie).ok().says("A tie, settled by the die", plate, other, "1 to 10").hides("leaf parcels", "bay custard", "no. 4")
	require.False(t, g.offers("/void"), "a tie has to be settled")
	x.host.get("/host/c/"+x.slug+"/camera/5?titles=1&open=title").ok().says(plate).hides("leaf parcels", "bay custard", "<a ")
	x.host.post(tie+"/void", url.Values{"n": {"1"}, "reason": {"no"}, "agree": {"void"}}).is(http.StatusNotFound)
	require.Error(t, x.db.DrawEvent(t.Context(), x.actor, x.loaded().ID, x.tasting().ID, draw.Event{N: 1, Kind: draw.Voided, Reason: "no"}))

	g.form("die").set("die", "21").send().is(http.StatusUnprocessableEntity).says("cannot show 21")
	x.person().get(public).is(http.StatusNotFound)
	g.form("die").set("die", "1").send().ok().says(plate, "Every place among the tied plates is filled")
	x.restart()
	x.cohost.get(x.with + "/tie/5").ok().button("I saw it: it showed 1").send().ok().says("Confirmed by the co-host")
	x.host.get(tie).ok().button("Close the tasting and tally").send().ok()
	x.person().get(public).is(http.StatusNotFound).hides("tie")
	x.person().get(public + "/record.json").is(http.StatusNotFound)

	x.now = released
	x.person().get(public).ok().says(plate, "Place 1 among the tied", "Every roll")
	x.person().get(public+"/protocol").ok().says(plate, "Place 2 among the tied", "code under which a plate was served")
	x.person().get(public + "/check").ok().says("code under which a plate was served")
	report := draw.Verify([]byte(x.person().get(public+"/record.json").ok().body), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.Len(t, report.Record.Result, 2)
}

func TestThereIsNoDrawWhereNoneWas(t *testing.T) {
	d := newDrawing(t, nil)
	for _, at := range []string{"1", "2", "4", "5", "6", "0", "99", "x"} {
		d.person().get("/c/" + d.slug + "/draw/" + at).is(http.StatusNotFound)
		d.person().get("/c/" + d.slug + "/draw/" + at + "/record.json").is(http.StatusNotFound)
		d.host.get("/host/c/" + d.slug + "/draw/" + at).is(http.StatusNotFound)
		d.host.get("/host/c/" + d.slug + "/tie/" + at).is(http.StatusNotFound)
		d.host.get("/host/c/" + d.slug + "/camera/" + at).is(http.StatusNotFound)
	}
	d.host.get("/host/c/" + d.slug + "/tie/3").is(http.StatusNotFound)
}

// The check page works in a browser under the site's own policy, with nothing
// but what it carries.
func TestBrowserOpensTheCheckPage(t *testing.T) {
	browser := chromium(t)
	d := newDrawing(t, nil)
	d.rolls("9").ok()
	d.rolls("2").ok()
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	d.now = time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC)
	d.person().get(d.public() + "/check").ok()
	out, err := exec.CommandContext(t.Context(), browser, "--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
		"--user-data-dir="+t.TempDir(), "--virtual-time-budget=20000", "--dump-dom", d.server.URL+d.public()+"/check").Output()
	require.NoError(t, err)
	require.Contains(t, string(out), "Everything that can be checked here holds.")
	require.Contains(t, string(out), "ticket 2 of 3: No. 4")
	require.NotContains(t, string(out), "Does not hold")
}
