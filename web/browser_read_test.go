package web_test

import (
	"fmt"
	"net/url"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// lookOver is the host's list, a search in it, and one entry with its sender.
func (w *browserWalk) lookOver() {
	h := w.host.open("/host").look("home-closed")
	h.open(w.desk).look("desk-closed")
	h.open(w.desk+"/entries").says("Chard parcels", "Leaf parcels, way 7").hides(names...).look("entries")
	h.until("the search index", `fetch(location.pathname + "?q=lentils").then((r) => r.text()).then((s) => window.indexed = s.includes("Chard parcels")) && !!window.indexed`)
	h.write("q", "lentils").follow("Search").says("Chard parcels").look("entries-found")
	h.write("q", "zzz").follow("Search").says("No entry holds these words").look("entries-none")
	h.open(w.desk + "/entries/1").hides(names...).look("entry")
	h.follow("Show who sent it").says("Marisol Quince", "marisol@example.net", "That you looked is recorded").look("entry-sender")
}

// inviteCohost makes the private link and opens it in the co-host's browser.
func (w *browserWalk) inviteCohost() {
	h := w.host.open(w.desk + "/people").look("people-empty")
	h.write("name", "Lior Adeyemi").write("email", "lior@example.org").follow("Make the link").says("shown only this once").look("people-invited")
	w.cohost = w.visitor(390).open(w.newLink()).says("Welcome, Lior Adeyemi", "Nothing waits for you").look("cohost-waiting")
	h.open("/host/outbox").look("outbox")
}

func (w *browserWalk) newLink() string {
	u, err := url.Parse(evaluated[string](w.host, byID("new-link")+".textContent"))
	require.NoError(w.t, err)
	return u.Path
}

// readByKeyboard marks every entry without touching the mouse.
func (w *browserWalk) readByKeyboard() {
	h := w.host.open(w.desk)
	h.follow("Open “Reading”").says("The round is open")
	h.open(w.desk + "/reading/1").hides(names...).look("reading-start")
	h.follow("Start reading").hides(names...).look("reading-desk")
	noted := ""
	for step := 0; h.at("/reading/1/"); step++ {
		require.Less(w.t, step, 2*entriesInWalk, "the desk does not come to an end")
		n := evaluated[int](h, `parseInt(location.pathname.split("/").pop(), 10)`)
		h.hides(names...)
		if step == 1 {
			h.shortcut("/")
			h.keys("Sauce sounds thin, rolls sound right")
			h.keys(kb.Escape)
			noted = h.path()
		}
		h.leaves(func() { h.shortcut(markInWalk(n)) })
	}
	h.open(w.desk + "/reading/1").says("You have marked all of them").look("reading-done")
	require.Equal(w.t, "Sauce sounds thin, rolls sound right", h.open(noted).value("note"))
	h.look("reading-marked")
}

func markInWalk(entry int) string {
	switch {
	case entry <= 4:
		return "k"
	case entry <= 7:
		return "m"
	}
	return "o"
}

// cut moves one entry over the line by hand, at first without a reason.
func (w *browserWalk) cut() {
	h := w.host.open(w.desk + "/reading/1/cut").hides(names...).look("cut")
	last := w.dishID(12)
	h.clickOn(fmt.Sprintf("document.querySelector(%q)", "[name=on-"+last+"]"), "No. 12").follow("Save what I moved by hand").says("This was not saved yet").look("cut-refused")
	h.eval(fmt.Sprintf("document.querySelector(%q).id = 'why'", "[name=reason-"+last+"]"))
	h.write("why", "Nobody else used beet greens.").follow("Save what I moved by hand").says("On the shortlist: 5").look("cut-moved")
	h.follow("Close the reading and fix the shortlist").says("closed").look("desk-reading-closed")
}

// dishID is an entry's inner number, by which forms name it.
func (w *browserWalk) dishID(number int) string {
	c, err := w.db.ChallengeBySlug(w.t.Context(), w.slug)
	require.NoError(w.t, err)
	id, err := w.db.EntryByNumber(w.t.Context(), c.ID, number)
	require.NoError(w.t, err)
	return fmt.Sprint(id)
}

// pickOnPhone is the co-host's: chosen with reasons, sealed from the host, and
// opened by the host.
func (w *browserWalk) pickOnPhone() {
	w.host.open(w.desk).follow("Open “Pick of the finalists”").open(w.desk + "/pick/2").says("has not been sealed yet").look("pick-host-waiting")
	c := w.cohost.open(w.cohost.path()).says("Pick of the finalists").look("cohost-pick")
	c.follow("Pick of the finalists").hides(names...).look("pick")
	c.follow("Chard parcels with lentils").hides(names...).look("pick-entry")
	c.follow("Finalist").look("pick-entry-next")
	for _, n := range []int{1, 4} {
		c.open(c.pickBase()+fmt.Sprint("/", n)).hides(names...).write("reason", fmt.Sprintf("I would cook No. %d tonight.", n)).follow("Finalist")
	}
	w.finalists = []int{1, 4}
	c.open(c.pickBase()).says("Chosen: 2 of 2").look("pick-chosen").follow("Seal my pick").says("Sealed").look("pick-sealed")
	h := w.host.open(w.desk + "/pick/2").says("Sealed").hides("tonight").look("pick-host-sealed")
	h.follow("Open the sealed pick").says("I would cook No. 4 tonight.").look("pick-opened")
}

// pickBase is the address of the pick at the co-host's desk.
func (v *visitor) pickBase() string {
	return evaluated[string](v, `location.pathname.replace(/(\/with\/[^/]+\/[^/]+).*/, "$1/pick/2")`)
}
