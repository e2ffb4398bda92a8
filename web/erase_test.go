package web_test

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ledger"
)

func TestEntrantErasesTheirData(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1)
	l.enter(slug, 2)
	path := own.url.Path
	slip, err := ledger.ParseSlip([]byte(l.person().get(path + "/slip.json").ok().body))
	require.NoError(t, err)
	ask := l.person().get(path+"/erase").ok().says("Erasing cannot be undone", "The number 1")
	kept := ask.form("agree").set("agree", "yes").send().is(http.StatusUnprocessableEntity).says("Type the word “erase”")
	require.Equal(t, "yes", kept.value("agree"))
	l.person().get(path).ok().says("Your entry: No. 1")
	kept.form("agree").set("agree", "erase").send().ok().says("Erased. Nothing of it can be brought back.")
	l.person().get(path).is(http.StatusNotFound)
	host.get("/host/c/"+slug+"/entries").ok().hides("way 1", "entrant1")
	host.get("/host/c/"+slug+"/entries/1").ok().hides("vine leaves", "entrant1")
	host.post("/host/c/"+slug+"/entries/1/sender", nil).is(http.StatusNotFound)
	l.person().get("/c/"+slug+"/ledger").ok().says("Erased, at a person's wish", "Something was erased", "No. 2 was received").hides("No. 1 was")
	key, err := l.db.LedgerKey(t.Context())
	require.NoError(t, err)
	for _, claim := range slip.Verify(key) {
		require.True(t, claim.Holds, claim.Detail)
	}
}

func TestHostErasesAnEntry(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1).url.Path
	page := "/host/c/" + slug + "/entries/1"
	require.Contains(t, host.get(page).ok().body, page+"/erase")
	l.person().post(page+"/erase", nil).is(http.StatusForbidden)
	cohost := l.invite(host, slug, "cohost", "Ada Quill")
	l.person().get(cohost + "/entries/1/erase").is(http.StatusForbidden)
	host.get(page+"/erase").ok().form("agree").set("agree", "erase").send().ok().says("Erased.")
	l.person().get(own).is(http.StatusNotFound)
	host.get(page+"/erase").ok().form("agree").set("agree", "erase").send().is(http.StatusNotFound).says("nothing left")
}
