package web_test

import (
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// newPrize is a challenge with a prize whose draw, No. 4 then No. 2, is not
// released yet.
func newPrize(t *testing.T) *table {
	x := newTable(t, 3, nil)
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.host.get("/host/c/" + x.slug + "/prize").ok().says("no prize")
	x.host.get("/host/c/"+x.slug+"/settings").ok().form("title").set("prize", "1").send().ok()
	return x
}

func (x *table) offer() *page {
	x.t.Helper()
	return x.host.get("/host/c/"+x.slug+"/prize").ok().form("what").set("what", "A bread knife, engraved").set("days", "7").send()
}

// told is what a mail server, or a host who passes messages on, would do.
func (x *table) told() {
	x.t.Helper()
	waiting, err := x.db.Waiting(x.t.Context(), 200)
	require.NoError(x.t, err)
	for _, m := range waiting {
		if m.Kind == "prize-offer" {
			require.NoError(x.t, x.db.Sent(x.t.Context(), m.ID))
		}
	}
}

func TestPrizeIsAcceptedAndItsAddressForgotten(t *testing.T) {
	x := newPrize(t)
	x.now = released.Add(-time.Millisecond)
	x.offer().is(http.StatusConflict).says("not released yet")
	x.person().get(x.own[4]).ok().hides("<strong>Drawn", "Among the finalists", "See the results")
	x.now = released
	x.host.get("/host/c/"+x.slug+"/prize").ok().form("what").set("what", "").send().is(http.StatusUnprocessableEntity).says("Say what the prize is")
	x.offer().ok().says("No. 4", "not answered yet", "waits in the outbox", "regulated in many places").hides("quince", "entrant4")
	x.told()
	x.person().get(x.own[2]).ok().hides("bread knife")
	p := x.person()
	g := p.get(x.own[4]).ok().says("A prize for you", "A bread knife, engraved", "Please accept it by").hides(`name="address"`)
	p.post(x.own[4]+"/prize", map[string][]string{"do": {"address"}, "address": {"Kay Quince, 1 Mill Lane, Lisbon"}}).is(http.StatusConflict).says("Accept the prize first")
	g = g.button("Accept the prize").send().ok().says("You have accepted it", "Where it is sent to")
	g.form("address").set("address", "here").send().is(http.StatusUnprocessableEntity).says("whole address")
	g.form("address").set("address", "Zebulon Thrumble\n1 Gorbelseed Lane\nLisbon").send().ok().says("Saved.")
	page := x.host.get("/host/c/"+x.slug+"/prize").ok().says("accepted", "Show the address").hides("gorbelseed")
	page.button("Show the address").send().ok().says("1 Gorbelseed Lane", "kept with your account")
	page.button("It is sent").send().ok().says("the address deleted").hides("gorbelseed")
	p.get(x.own[4]).ok().says("your address has been deleted").hides("gorbelseed")
	require.Empty(t, x.inFile("Gorbelseed"), "nothing of the address is left in the file")
	x.host.post("/host/c/"+x.slug+"/prize/sent", nil).is(http.StatusConflict)
	x.person().get("/c/"+x.slug+"/results").ok().hides("bread knife", "prize")
}

func TestPrizeGoesToTheNextAlternate(t *testing.T) {
	x := newPrize(t)
	x.now = released
	x.offer().ok()
	x.now = released.AddDate(0, 0, 8)
	require.NoError(t, x.db.PassOnPrizes(t.Context()))
	x.person().get(x.own[4]).ok().says("Accept the prize") // nobody told them yet, so the date does not count
	x.told()
	x.now = x.now.AddDate(0, 0, 3)
	require.NoError(t, x.db.PassOnPrizes(t.Context()))
	require.NoError(t, x.db.PassOnPrizes(t.Context()))
	x.restart()
	g := x.person().get(x.own[4]).ok().says("it goes to somebody else").hides("Accept the prize")
	g.person.post(x.own[4]+"/prize", map[string][]string{"do": {"accept"}}).is(http.StatusConflict)
	alternate := x.alternate()
	x.person().get(x.own[alternate]).ok().says("A bread knife").button("No, thank you").send().ok().says("You have declined it")
	x.host.get("/host/c/"+x.slug+"/prize").ok().says("not answered in time", "declined", "Nobody is left in this order")
	report, err := x.db.CheckLedger(t.Context(), x.loaded().ID)
	require.NoError(t, err)
	require.NotEmpty(t, report)
	x.person().get("/c/" + x.slug + "/ledger").ok().hides("The prize was offered")
}

// Erasing an entry takes the address of its prize along.
func TestErasingForgetsThePrize(t *testing.T) {
	x := newPrize(t)
	x.now = released
	x.offer().ok()
	p := x.person()
	g := p.get(x.own[4]).ok().button("Accept the prize").send().ok()
	g.form("address").set("address", "Zebulon Thrumble\n1 Gorbelseed Lane\nLisbon").send().ok()
	require.NotEmpty(t, x.inFile("Gorbelseed"))
	c := x.loaded()
	require.NoError(t, x.db.Erase(t.Context(), x.actor, c.ID, 4))
	require.Empty(t, x.inFile("Gorbelseed"))
	x.host.get("/host/c/" + x.slug + "/prize").ok().says(fmt.Sprintf("Next in turn: No. %d", x.alternate()))
}

// alternate is the number of the entry drawn second.
func (x *table) alternate() int {
	out, err := x.db.Outcome(x.t.Context(), x.round().ID)
	require.NoError(x.t, err)
	require.Greater(x.t, len(out), 1)
	for n := range 7 {
		if dish, err := x.db.EntryByNumber(x.t.Context(), x.loaded().ID, n); err == nil && dish == out[1].Dish {
			return n
		}
	}
	x.t.Fatal("no alternate")
	return 0
}

// inFile says where the database's files hold a word.
func (x *table) inFile(word string) (found []string) {
	for _, suffix := range []string{"", "-wal"} {
		b, err := os.ReadFile(x.file + suffix)
		if os.IsNotExist(err) {
			continue
		}
		require.NoError(x.t, err)
		if strings.Contains(string(b), word) {
			found = append(found, suffix)
		}
	}
	return found
}
