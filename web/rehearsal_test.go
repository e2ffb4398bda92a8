package web_test

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

func TestRehearsalThroughThePages(t *testing.T) {
	d := newDrawing(t, func(r *challenge.Round) { r.Params.Places = 2 })
	base := d.desk() + "/rehearsals"
	require.Contains(t, d.host.get(d.desk()).ok().body, base)
	d.cohost.get(d.with + "/draw/3/rehearsals").is(http.StatusForbidden)
	d.host.get(base + "/1").is(http.StatusNotFound)
	g := d.host.get(base).ok().says("counted in the ledger").button("Begin a rehearsal").send().ok().
		says("Rehearsal: it decides nothing", "3 made-up entries", "1 to 6", "roll again").hides("leaf parcels")
	refused := g.form("die").set("die", "21").send().is(http.StatusUnprocessableEntity).says("it cannot show 21", "Rehearsal: it decides nothing")
	require.Equal(t, "21", refused.value("die"))
	refused.form("die").set("die", "7").send().ok().says("Made-up No. 2")
	d.restart()
	d.person().get("/c/" + d.slug + "/rehearsals/1/record.json").is(http.StatusNotFound)
	d.person().get(d.public()).ok().says("One rehearsal was held", "not finished")
	d.host.get(base+"/1").ok().form("die").set("die", "20").send().ok().says("This rehearsal is finished")
	require.Empty(t, d.state().Events, "the real draw has not begun")
	record := d.person().get("/c/" + d.slug + "/rehearsals/1/record.json").ok().body
	report := draw.Verify([]byte(record), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.True(t, report.Record.Plan.Rehearsal)
	verifyElsewhere(t, record)
	d.person().get("/c/"+d.slug+"/ledger").ok().says("A rehearsal began", "It decides nothing", "typed the roll 7")
	d.person().get(d.public()).ok().says("One rehearsal was held", "its record").hides("alternate 1")
}

func TestTicketsThroughThePages(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	l.enter(slug, 1)
	path := "/host/c/" + slug + "/draw/3/tickets"
	require.Contains(t, host.get("/host/c/"+slug+"/rounds").ok().body, path)
	kept := host.get(path).ok().form("tickets").set("number", "1").set("tickets", "3").set("reason", "").send().is(http.StatusUnprocessableEntity).says("Say in a sentence why")
	require.Equal(t, "3", kept.value("tickets"))
	kept.form("tickets").set("number", "7").set("reason", "helped at the market").send().is(http.StatusUnprocessableEntity).says("no entry of this number")
	kept.form("tickets").set("reason", "helped at the market").send().ok().says("Recorded.", "3 tickets", "helped at the market")
	l.person().get("/c/" + slug + "/ledger").ok().hides("market")
	l.person().get(path).ok().says("Sign in")
}

// The list shows how many tickets each has, and that everyone had one chance.
func TestTicketsAndOneChanceInPublic(t *testing.T) {
	d := newDrawing(t, func(r *challenge.Round) { r.Params.OneEach = true })
	d.person().get(d.public()).ok().says("Everyone has one chance", "2 4 5")
	c := d.loaded()
	require.NoError(t, d.db.AddRound(t.Context(), d.actor, c.ID, challenge.Draw))
	d.host.get(d.desk()).ok().form("agree").set("reason", "Once more.").set("agree", "void").send().ok()
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	c = d.loaded()
	last := c.Rounds[len(c.Rounds)-1]
	for range 3 {
		require.NoError(t, d.db.MoveRound(t.Context(), d.actor, c.ID, last.ID))
	}
	require.NoError(t, d.db.SetTickets(t.Context(), d.actor, c.ID, last.ID, 4, 3, "brought the pot"))
	require.NoError(t, d.db.OpenRound(t.Context(), d.actor, c.ID, last.ID))
	d.person().get("/c/"+d.slug+"/draw/4").ok().says("4 3 tickets", "1 to 4", "5 to 16").hides("brought the pot")
	d.host.get("/host/c/" + d.slug + "/draw/4").ok().says("3 tickets")
	d.person().get(d.own[4]).ok().says("It has 3 tickets there")
}
