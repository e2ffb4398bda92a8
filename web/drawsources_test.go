package web_test

import (
	"context"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// roundForm is the form of the draw on the page of all rounds.
func (l *live) roundForm(host *person, slug string, position int) *filled {
	return host.get("/host/c/" + slug + "/rounds").ok().button("Save “" + l.titleOf(slug, position) + "”")
}

func (l *live) titleOf(slug string, position int) string {
	c, err := l.db.ChallengeBySlug(context.Background(), slug)
	require.NoError(l.t, err)
	return c.Rounds[position-1].Title
}

// verifyElsewhere lets the independent verifier judge a record.
func verifyElsewhere(t *testing.T, record string) {
	python, err := exec.LookPath("python3")
	if err != nil {
		t.Log("python3 is not here: the second verifier was not asked")
		return
	}
	file := filepath.Join(t.TempDir(), "record.json")
	require.NoError(t, os.WriteFile(file, []byte(record), 0o600))
	out, err := exec.Command(python, "../challenge/draw/testdata/verify.py", file).CombinedOutput()
	require.NoError(t, err, string(out))
}

func lotteryForm(f *filled, i string, at string) *filled {
	return f.set("source-"+i+"-name", "Saturday lottery").set("source-"+i+"-at", at).set("source-"+i+"-how", "The six numbers on its page").
		set("source-"+i+"-form", "whole").set("source-"+i+"-count", "6").set("source-"+i+"-low", "1").set("source-"+i+"-high", "49").set("source-"+i+"-distinct", "1")
}

func TestPublicSourcesFromTheFormToTheRecord(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	l.roundForm(host, slug, 3).set("method", "public").send().is(http.StatusUnprocessableEntity).says("Describe at least one public source")
	f := lotteryForm(l.roundForm(host, slug, 3).set("method", "public").set("places", "2"), "1", "2026-11-28T20:00")
	kept := f.send().is(http.StatusUnprocessableEntity).says("Anyone can work out this draw as soon as the public values appear")
	require.Equal(t, "Saturday lottery", kept.value("source-1-name"))
	kept.button("Save “Draw”").set("source-1-at", "2026-12-05T20:00").set("source-1-how", "").send().is(http.StatusUnprocessableEntity).says("where it is read")
	saved := kept.button("Save “Draw”").set("source-1-at", "2026-12-05T20:00").send().ok().says("counted with 23 bits together", "take 1 bits")
	again := saved.button("Save “Draw”")
	require.Equal(t, "23", again.values.Get("source-1-bits"))
	require.Empty(t, again.values.Get("source-2-name"), "there is room for one more")
	again.set("source-2-name", "The index at noon").set("source-2-at", "2026-12-04T12:00").set("source-2-how", "Its closing figure").
		set("source-2-form", "decimal").set("source-2-count", "1").set("source-2-bits", "6").send().ok().says("29 bits together")
	c, err := l.db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	require.Len(t, c.Rounds[2].Params.Sources, 2)
	l.person().get("/c/" + slug + "/ledger").ok().says("The plan of the rounds was changed")
}

func TestPublicSourcesDecide(t *testing.T) {
	at := time.Date(2026, 12, 5, 20, 0, 0, 0, time.UTC)
	d := newDrawing(t, func(r *challenge.Round) {
		r.Params.Method, r.Params.Places = "public", 2
		r.Params.Sources = []draw.Source{draw.Lottery("Saturday lottery", draw.At(at), "The six numbers on its page", 6, 1, 49),
			{Name: "The index", At: draw.At(at.Add(time.Hour)), How: "Its closing figure, with both decimals", Form: draw.Decimal, Count: 1, Bits: 6}}
	})
	g := d.person().get(d.public()).ok().says("The list is fixed", "anyone can work out the outcome", "2 4 5", "Saturday lottery", "6 numbers from 1 to 49",
		"2 places among 3 entries take 3 bits of surprise; the sources are counted with 29", "cannot be kept for a later release")
	g.hides("typed:")
	desk := d.host.get(d.desk()).ok().says("Each public value is typed below")
	require.False(t, desk.offers("/source"), "nothing has appeared yet")
	post := map[string][]string{"n": {"1"}, "source": {"1"}, "form": {"whole"}, "values": {"9 18 26 34 41 45"}}
	d.host.post(d.desk()+"/source", post).is(http.StatusConflict).says("appears at")
	d.cohost.post(d.with+"/draw/3/source", post).is(http.StatusForbidden)

	d.now = at.Add(2 * time.Hour)
	d.host.get(d.camera()).ok().says("Published values decide now")
	both := d.host.get(d.desk()).ok()
	refused := both.form("values").set("values", "9 18 26 34 41 50").send().is(http.StatusUnprocessableEntity).says("gives numbers from 1 to 49, not 50")
	require.Equal(t, "9 18 26 34 41 50", refused.value("values"))
	refused.form("values").set("values", "9 18 26 34 41").send().is(http.StatusUnprocessableEntity).says("gives 6 values, not 5")
	first := both.form("values").set("values", "45, 9, 18, 26, 34, 41")
	first.send().ok().says("45, 9, 18, 26, 34, 41")
	first.send().ok() // sent twice it is one event
	d.restart()
	require.Empty(t, d.state().State.Result)
	d.host.post(d.desk()+"/source", map[string][]string{"n": {"2"}, "source": {"1"}, "form": {"whole"}, "values": {"1 2 3 4 5 6"}}).is(http.StatusConflict)
	d.host.post(d.desk()+"/source", map[string][]string{"n": {"2"}, "source": {"3"}, "form": {"whole"}, "values": {"1"}}).is(http.StatusConflict)
	d.host.post(d.desk()+"/source", map[string][]string{"n": {"2"}, "source": {"2"}, "form": {"decimal"}, "values": {"12,50"}}).is(http.StatusUnprocessableEntity).says("one point")
	d.host.get(d.desk()).ok().form("values").set("values", "12.50").send().ok().says("Every place is filled")
	d.restart()
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	d.person().get(d.public()).ok().says("What was drawn", "Typed: 45, 9, 18, 26, 34, 41", "9.18.26.34.41.45./12.5/")
	record := d.person().get(d.public() + "/record.json").ok().body
	report := draw.Verify([]byte(record), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.Len(t, report.Record.Result, 2)
	verifyElsewhere(t, record)
	d.person().get(d.public() + "/protocol").ok().says("Public sources (RFC 3797)")
}

// What the sources hold must be enough for the places, and it is said before
// anything is announced.
func TestTooLittleSurpriseIsRefusedAtTheOpening(t *testing.T) {
	d := newDrawing(t, nil)
	c := d.loaded()
	next := c.Rounds[2]
	next.Params.Method, next.Params.Places, next.Params.Faces = "public", 3, nil
	next.Params.Sources = []draw.Source{{Name: "A coin", At: draw.At(time.Date(2026, 12, 5, 20, 0, 0, 0, time.UTC)), How: "Heads is 1", Form: draw.Whole, Count: 1, High: 1, Bits: 1}}
	require.NoError(t, d.db.AddRound(t.Context(), d.actor, c.ID, challenge.Draw))
	c = d.loaded()
	last := c.Rounds[len(c.Rounds)-1]
	last.Params = next.Params
	require.NoError(t, d.db.EditRound(t.Context(), d.actor, c.ID, last))
	for range 3 {
		require.NoError(t, d.db.MoveRound(t.Context(), d.actor, c.ID, last.ID))
	}
	d.host.get(d.desk()).ok().form("agree").set("reason", "Once more, by other means.").set("agree", "void").send().ok()
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	err := d.db.OpenRound(t.Context(), d.actor, c.ID, last.ID)
	require.ErrorContains(t, err, "3 places among 3 entries need 3 bits of surprise; the sources have 1")
}

func TestSealedSeedsWithALaterValue(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	f := l.roundForm(host, slug, 3).set("method", "seeds").set("parties", "host, co-host, server").set("missing", "value").set("minutes", "30")
	f.send().is(http.StatusUnprocessableEntity).says("Name each public source")
	f.set("source-0-name", "A die").set("source-0-at", "2026-11-18T20:00").set("source-0-how", "Thrown in the square").set("source-0-form", "whole").
		set("source-0-count", "1").set("source-0-low", "1").set("source-0-high", "6").send().is(http.StatusUnprocessableEntity).says("at least 20 bits")
	lotteryForm(f, "0", "2026-11-18T20:00").set("source-0-bits", "").send().ok()
	l.roundForm(host, slug, 3).set("missing", "dice").set("faces", "6, 6").send().ok()
	c, err := l.db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	require.Nil(t, c.Rounds[2].Params.Later)
	require.Equal(t, []int{6, 6}, c.Rounds[2].Params.FallbackDice())
}

func TestLaterValueDecidesEvenWhereASecretIsMissing(t *testing.T) {
	later := draw.Lottery("Saturday lottery", draw.At(time.Date(2026, 11, 18, 20, 0, 0, 0, time.UTC)), "The six numbers on its page", 6, 1, 49)
	d := newDrawing(t, func(r *challenge.Round) {
		r.Params.Method, r.Params.Places, r.Params.Minutes, r.Params.Later = "seeds", 3, 30, &later
		r.Params.Parties = []string{"host", "co-host", "server"}
	})
	d.person().get(d.public()).ok().says("A secret that is never opened is left out", "Nobody can foresee the outcome before “Saturday lottery” appears")
	hostNonce, _ := d.sealBoth()
	d.host.get(d.desk()).ok().button("Fix the list").send().ok()
	d.host.get(d.desk()).ok().partyForm("/reveal", "host").set("secret", hostSecret).set("nonce", hostNonce).send().ok()
	d.now = d.now.Add(61 * time.Minute)
	d.host.post(d.desk()+"/server", nil).is(http.StatusConflict).says("had to be opened by")
	require.False(t, d.host.get(d.desk()).ok().offers("/source"), "the value has not appeared")
	d.now = time.Date(2026, 11, 18, 20, 5, 0, 0, time.UTC)
	d.restart()
	d.host.get(d.desk()).ok().form("values").set("values", "1 2 3 4 5 6").send().ok().says("Every place is filled")
	d.person().get(d.public()).ok().hides("typed: 1, 2", hostSecret)
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	d.now = time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC)
	record := d.person().get(d.public() + "/record.json").ok().body
	report := draw.Verify([]byte(record), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.Len(t, report.Record.Result, 3)
	verifyElsewhere(t, record)
}
