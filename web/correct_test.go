package web_test

import (
	"net/http"
	"testing"
	"time"
)

func TestUndoUntilTheNextRoundThenCorrectWithAReason(t *testing.T) {
	x := newReading(t, 4)
	cohost := x.invite(x.host, x.slug, "cohost", "Lior Adeyemi")
	correct := x.desk + "/rounds/1/correct"
	x.host.get(correct).is(http.StatusConflict)
	x.host.get(x.desk+"/rounds").ok().form("per_entry").set("keep", "3").send().ok()
	x.open()
	x.host.get(correct).ok().says("Set for").hides("Undo the closing")
	for n, mark := range map[string]string{"1": "keep", "2": "keep", "3": "keep", "4": "out"} {
		x.host.get(x.desk+"/reading/1/"+n).ok().form("mark").set("mark", mark).send().ok()
	}
	x.host.get(x.desk + "/reading/1/cut").ok().button("Close the reading and fix the shortlist").send().ok()
	x.host.get(x.host.get(x.desk).ok().link("Undo, correct")).ok().form("reopen_reason").send().is(http.StatusUnprocessableEntity).says("why it is opened again")
	x.host.get(correct).ok().form("reopen_reason").set("reopen_reason", "A reader was late.").send().ok().says("Opened again: A reader was late.")
	x.host.get(x.desk + "/reading/1/cut").ok().says("A reader was late.").button("Close the reading and fix the shortlist").send().ok()
	x.host.get(x.desk).ok().button("Open “Pick of the finalists”").send().ok()

	page := x.host.get(correct).ok().says("has begun since then").hides("Undo the closing")
	form := page.form("number").set("number", "4").set("move", "in")
	form.send().is(http.StatusUnprocessableEntity).says("Say in a sentence what is corrected")
	form.set("reason", "The mark was meant for another.").send().ok().says("No. 4 goes on after all: The mark was meant for another.")
	x.person().get(cohost + "/pick/2/4").ok().hides(names...)
	x.host.get(correct).ok().form("release_reason").set("release_at", "2026-11-01T10:00").set("release_reason", "Sooner.").send().
		is(http.StatusUnprocessableEntity).says("in the future")
	x.host.get(correct).ok().form("release_reason").set("release_at", "2026-12-24T10:00").set("release_reason", "The video is late.").send().
		ok().says("Set for Thu 24 Dec 2026, 10:00")
	x.person().get("/c/"+x.slug+"/ledger").ok().says("The time of a release was changed", "The video is late").hides("meant for another", "A reader was late")
	x.person().get(cohost + "/rounds/1/correct").is(http.StatusForbidden)
	x.person().get("/c/"+x.slug+"/results").ok().hides("meant for another", "A reader was late")
	x.now = time.Date(2026, 12, 24, 10, 1, 0, 0, time.UTC)
	x.person().get("/c/"+x.slug+"/results").ok().says("Corrected", "No. 4 goes on after all: The mark was meant for another.", "Opened again: A reader was late.").hides(names...)
}
