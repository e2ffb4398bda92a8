package web_test

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestHostSetsHowLongDataAreKept(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1)
	own.hides("is erased by itself")
	page := host.get("/host/c/"+slug+"/keep").ok().says("Nothing by itself", "One entry with everything")
	require.Equal(t, "3", page.form("days").set("days", "3").send().is(http.StatusUnprocessableEntity).says("Give 7 to 3650 days").value("days"))
	page.form("days").set("days", "90").send().ok().says("Saved.", "On 1 March 2027 this is erased, for ever")
	l.person().get(own.url.Path).ok().says("is erased by itself 90 days after the results")
	l.person().get("/c/" + slug + "/enter").ok().says("is erased by itself 90 days after the results")
	cohost := l.invite(host, slug, "cohost", "Ada Quill")
	l.person().get(cohost + "/keep").is(http.StatusForbidden)
}

func TestPersonTakesEverythingAway(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1).url.Path
	file := l.person().get(own + "/data.json").ok()
	require.Equal(t, "no-store", file.header.Get("Cache-Control"))
	require.Contains(t, file.header.Get("Content-Disposition"), "attachment")
	for _, has := range []string{"entrant1@example.net", "Entrant1 Quince1", "vine leaves"} {
		require.Contains(t, file.body, has)
	}
	cohost := l.invite(host, slug, "cohost", "Ada Quill")
	l.person().post(cohost+"/entries/1/data.json", nil).is(http.StatusForbidden)
	require.Contains(t, host.post("/host/c/"+slug+"/entries/1/data.json", nil).ok().body, "entrant1@example.net")
	host.get("/host/account").ok().says("No. 1 – Stuffed leaves")
}
