package web_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

const houseText = "Bay custard tart\n\n250 g flour\n4 eggs\n300 ml cream\n2 bay leaves\n\nWarm the cream with the bay. Bake at 170 C for 40 minutes."

// A table is a challenge whose tasting is open: No. 4 was drawn and stands
// beside the house dish "Bay custard tart".
type table struct {
	*drawing
	judges []*person
	links  []string // their addresses
}

// newTable seats judges, after plan has changed the tasting's round.
func newTable(t *testing.T, judges int, plan func(*challenge.Round)) *table {
	return newTableWith(t, judges, plan)
}

// newTableWith also serves further house dishes.
func newTableWith(t *testing.T, judges int, plan func(*challenge.Round), more ...string) *table {
	x := newCooked(t, more...)
	if plan != nil {
		r := x.tasting()
		plan(&r)
		require.NoError(t, x.db.EditRound(t.Context(), x.actor, r.Challenge, r))
	}
	x.seat(judges)
	return x
}

// seat invites judges and opens the tasting.
func (x *table) seat(judges int) {
	x.t.Helper()
	for i := range judges {
		x.links = append(x.links, x.invite(x.host, x.slug, "judge", fmt.Sprintf("Judge Lind%d", i+1)))
		x.judges = append(x.judges, x.person())
	}
	x.host.get(x.desk()).ok().says("What opening does", "locked").button("Open “Tasting”").send().ok().says("The round is open")
}

// newCooked goes as far as two plates with their cooks, or more with further
// house dishes.
func newCooked(t *testing.T, more ...string) *table {
	x := &table{drawing: newDrawing(t, nil)}
	x.releaseAt(released)
	for _, face := range []string{"8", "5"} {
		x.rolls(face).ok()
	}
	ctx, c := t.Context(), x.loaded()
	closed, err := x.db.CloseRound(ctx, x.actor, c.ID, x.round().ID)
	require.NoError(t, err)
	require.True(t, closed)
	for _, text := range append([]string{houseText}, more...) {
		_, err = x.db.SaveHouseDish(ctx, x.actor, c.ID, 0, "Hanne Osei", text)
		require.NoError(t, err)
	}
	cook := c.Of(challenge.Cook)[0]
	require.NoError(t, x.db.OpenRound(ctx, x.actor, c.ID, cook.ID))
	plates, err := x.db.Plates(ctx, c.ID)
	require.NoError(t, err)
	require.Len(t, plates, 2+len(more))
	for _, p := range plates {
		p.Cook, p.Kitchen, p.CookedOn = "Hanne Osei", "library kitchen", "2026-11-18"
		require.NoError(t, x.db.SavePlate(ctx, x.actor, c.ID, p))
	}
	_, err = x.db.CloseRound(ctx, x.actor, c.ID, cook.ID)
	require.NoError(t, err)
	return x
}

// releaseAt changes when outcomes are public.
func (x *table) releaseAt(at time.Time) {
	x.t.Helper()
	c := x.loaded()
	settings := c.Settings()
	settings.Release, settings.Reason = at, "the film is ready then"
	require.NoError(x.t, x.db.ChangeSettings(x.t.Context(), x.actor, c.ID, c.SettingsVersion, settings))
}

func (x *table) tasting() challenge.Round { return x.loaded().Of(challenge.Tasting)[0] }
func (x *table) desk() string             { return "/host/c/" + x.slug + "/tasting/5" }

// code is the blind code of the drawn entry's plate, or of the house dish's.
func (x *table) code(house bool) int {
	plates, err := x.db.TastingPlates(context.Background(), x.tasting().ID)
	require.NoError(x.t, err)
	for _, p := range plates {
		if (p.Dish.Kind == "house") == house {
			return p.Code
		}
	}
	x.t.Fatal("no such plate")
	return 0
}

// sheet opens a judge's sheet for a plate.
func (x *table) sheet(judge int, code int) *page {
	return x.judges[judge].get(x.links[judge] + "/score/5/" + itoa(code)).ok()
}

// scored fills every criterion with a score and presses a button.
func scored(g *page, score string, button string) *page {
	f := g.button(button)
	for _, c := range challenge.DefaultCriteria() {
		f.set("score-"+c.Key, score)
	}
	return f.send()
}

// everyone seals: each judge gives the drawn entry and the house dish a score.
func (x *table) everyone(drawn, house []string) {
	for i := range x.judges {
		scored(x.sheet(i, x.code(false)), drawn[i], "Seal this sheet").ok()
		scored(x.sheet(i, x.code(true)), house[i], "Seal this sheet").ok()
	}
}

func (x *table) sheets() int {
	counts, err := x.db.Table(context.Background(), x.actor, x.tasting().Challenge, x.tasting().ID)
	require.NoError(x.t, err)
	n := 0
	for _, p := range counts.Plates {
		n += p.Sheets
	}
	return n
}

func TestTastingFromSheetToVerdict(t *testing.T) {
	x := newTable(t, 5, nil)
	x.judges[0].get(x.links[0]).ok().says("Your plates", itoa(x.code(false)), itoa(x.code(true)), "not begun", "Start here").
		hides("leaf parcels", "bay custard", "No. 4", "quince", "lind2", "hanne")
	g := scored(x.sheet(0, x.code(false)), "7.5", "Save draft").ok().says("Saved.", "Draft saved")
	require.Equal(t, "7.5", g.value("score-taste"), "a draft comes back as it was")
	x.restart()
	x.judges[0].get(x.links[0]).ok().says("draft, not sealed yet")
	f := x.sheet(0, x.code(false)).hides("leaf parcels", "bay custard", "quince", "lind2").button("Seal this sheet")
	f.set("comment-taste", "Bright, and a little salty").set("quote-taste", "1").set("comment-idea", "for the host alone").send().ok().says("Sealed")
	x.sheet(0, x.code(false)).says("Nobody else sees it until the tasting is closed", "Amend this sheet", "7.5", "Bright, and a little salty")
	scored(x.sheet(0, x.code(true)), "6", "Seal this sheet").ok().says("All your sheets are sealed")
	for i := 1; i < 5; i++ {
		scored(x.sheet(i, x.code(false)), "8", "Seal this sheet").ok()
		scored(x.sheet(i, x.code(true)), "7", "Seal this sheet").ok()
	}
	x.restart()
	x.host.get(x.desk()).ok().says("all 2 sealed").button("Close the tasting").send().ok().
		says("“Leaf parcels, way 4” (No. 4) came first", "All five judges put", "7.90", "6.80", "Bright, and a little salty", "for the host alone", "Judge Lind1", "may be quoted")
	// (7.5 + 4 x 8) / 5 = 7.9 and (6 + 4 x 7) / 5 = 6.8, by hand.
	x.judges[0].get(x.links[0]).ok().says("This tasting is closed")
	x.host.get("/host/c/"+x.slug+"/results/scores.csv").ok().says("No. 4", "tasting,code,dish,judge,criterion")
	file := x.host.get("/host/c/"+x.slug+"/results/scores.json").ok().hides("lind1", "quince")
	require.Contains(t, file.body, `"score": 7.9`)
}

// What a judge seals is nowhere in anything the host can load before the
// closing.
func TestSealedSheetsAreInvisibleToTheHost(t *testing.T) {
	x := newTable(t, 3, func(r *challenge.Round) { r.Params.HostScores = true })
	f := x.sheet(0, x.code(false)).button("Seal this sheet")
	for _, c := range challenge.DefaultCriteria() {
		f.set("score-"+c.Key, "3.5").set("comment-"+c.Key, "Verbena comes through")
	}
	f.send().ok()
	base := "/host/c/" + x.slug
	for _, path := range []string{x.desk(), x.desk() + "/kitchen", x.desk() + "/table", base, base + "/results", base + "/people", base + "/score/5", base + "/score/5/" + itoa(x.code(false))} {
		g := x.host.get(path).ok()
		g.hides("verbena")
		require.NotContains(t, g.text(), "7.00", path)
	}
	for _, path := range []string{"/results/scores.json", "/results/scores.csv"} {
		x.host.get(base+path).is(http.StatusConflict).says("sealed until the tasting is closed").hides("verbena", "3.5")
	}
	public := x.person().get("/c/" + x.slug + "/ledger")
	public.hides("verbena", `"scores"`)
	x.host.get(base+"/ledger").hides("verbena", `"scores"`)
	require.NotContains(t, x.sheet(1, x.code(false)).body, "Verbena", "nor do judges see each other's")
	_, err := x.db.TastingResult(t.Context(), x.actor, x.tasting().Challenge, x.tasting().ID)
	require.Error(t, err)
}

func TestHostScoresOnlyWhereTheRulesSaySo(t *testing.T) {
	x := newTable(t, 1, nil)
	x.host.get("/host/c/" + x.slug + "/score/5").is(http.StatusForbidden)
	x.host.get("/host/c/" + x.slug + "/score/5/" + itoa(x.code(true))).is(http.StatusForbidden)
	x.host.post("/host/c/"+x.slug+"/score/5/"+itoa(x.code(true)), url.Values{"score-taste": {"9"}, "revision": {"0"}}).is(http.StatusForbidden)
	y := newTable(t, 1, func(r *challenge.Round) { r.Params.HostScores = true })
	scored(y.host.get("/host/c/"+y.slug+"/score/5/"+itoa(y.code(true))).ok(), "9", "Seal this sheet").ok()
	require.Equal(t, 1, y.sheets())
}

func TestSheetSentTwiceCountsOnce(t *testing.T) {
	x := newTable(t, 1, nil)
	f := x.sheet(0, x.code(false)).button("Seal this sheet")
	for _, c := range challenge.DefaultCriteria() {
		f.set("score-"+c.Key, "6.5")
	}
	f.send().ok()
	f.send().ok().says("1 of 2 sheets sealed")
	require.Equal(t, 1, x.sheets())
	f.set("score-taste", "9").send().is(http.StatusConflict).says("This sheet is sealed")
	x.sheet(0, x.code(false)).says("6.5").hides("9</b>")
}

func TestBadSheets(t *testing.T) {
	x := newTable(t, 1, nil)
	code := x.code(false)
	for _, score := range []string{"11", "-1", "7.25", "seven", "1e3", strings.Repeat("9", 40)} {
		g := scored(x.sheet(0, code), score, "Seal this sheet").is(http.StatusUnprocessableEntity).says("This was not saved yet")
		require.Contains(t, g.body, "score-taste")
	}
	g := x.sheet(0, code).button("Seal this sheet").set("score-taste", "8").set("comment-taste", "crisp").send().
		is(http.StatusUnprocessableEntity).says("Give a score here before you seal the sheet")
	require.Equal(t, "8", g.value("score-taste"), "nothing typed is lost")
	require.Equal(t, "crisp", g.value("comment-taste"))
	x.sheet(0, code).button("Save draft").set("score-beauty", "8").send().is(http.StatusUnprocessableEntity).says("not asked")
	x.sheet(0, code).button("Save draft").set("comment-taste", strings.Repeat("long ", 500)).send().is(http.StatusUnprocessableEntity).says("too long")
	for _, path := range []string{"/score/5/111", "/score/5/x", "/score/4/" + itoa(code), "/score/9/" + itoa(code)} {
		x.judges[0].get(x.links[0] + path).is(http.StatusNotFound)
		x.judges[0].post(x.links[0]+path, url.Values{"score-taste": {"8"}, "revision": {"0"}, "do": {"draft"}}).is(http.StatusNotFound)
	}
	x.person().get("/with/judge/AAAAAAAAAAAAAAAAAAAAAA/score/5/" + itoa(code)).is(http.StatusNotFound)
	require.Zero(t, x.sheets())
}

func TestTwoTabsOfOneSheet(t *testing.T) {
	x := newTable(t, 1, nil)
	first, second := x.sheet(0, x.code(false)), x.sheet(0, x.code(false))
	scored(first, "4", "Save draft").ok()
	g := scored(second, "9", "Save draft").is(http.StatusConflict).says("saved in another tab", "The server keeps 4 here")
	require.Equal(t, "9", g.value("score-taste"), "what was typed is still there")
	require.Equal(t, "4", x.sheet(0, x.code(false)).value("score-taste"), "nothing was overwritten")
	g.button("Save draft").send().ok()
	require.Equal(t, "9", x.sheet(0, x.code(false)).value("score-taste"))
}

func TestLateSheet(t *testing.T) {
	x := newTable(t, 3, nil)
	late := x.sheet(2, x.code(true))
	x.judges, x.links = x.judges[:2], x.links[:2]
	x.everyone([]string{"8", "8"}, []string{"5", "5"})
	x.host.get(x.desk()).ok().says("Handed in so far: 2 judges", "The smallest panel is 3").button("Close the tasting").send().ok().
		says("Two judges handed in, and the rules ask for at least three, so the judges give no verdict").hides("came first")
	g := scored(late, "9.5", "Seal this sheet").is(http.StatusConflict).says("is not open", "The tasting is closed")
	require.Contains(t, g.body, "9.5", "what was typed can still be read")
}

func TestPlateTakenOutInTheMiddle(t *testing.T) {
	x := newTable(t, 3, nil)
	for i := range x.judges {
		scored(x.sheet(i, x.code(false)), "9", "Seal this sheet").ok()
	}
	scored(x.sheet(0, x.code(true)), "5", "Seal this sheet").ok()
	out := x.code(true)
	begun := x.sheet(1, out)
	form := x.host.get(x.desk()).ok().button("Take plate " + itoa(out) + " out")
	form.set("reason", "  ").send().is(http.StatusUnprocessableEntity).says("why the plate is taken out")
	form.set("reason", "It slid off the tray").send().ok().says("taken out")
	form.send().is(http.StatusNotFound)
	scored(begun, "5", "Seal this sheet").is(http.StatusNotFound)
	x.judges[1].get(x.links[1]).ok().says("All your sheets are sealed").hides(itoa(out))
	x.sheet(1, out).says("was taken out of the tasting")
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("9.00").hides("bay custard")
}

func TestTieIsDrawnThenClosed(t *testing.T) {
	x := newTable(t, 4, nil)
	x.everyone([]string{"8", "6", "7", "7"}, []string{"6", "8", "7", "7"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().
		says("The scores leave a tie that the rule settles by a draw", "Go to the draw").hides("7.00")
	x.judges[0].get(x.links[0]).ok().says("A tie is being settled")
	x.host.get(x.desk()).ok().button("Close the tasting").send().is(http.StatusConflict).says("The tie is not settled yet")
	x.host.get(x.desk() + "/kitchen").ok()
	r := x.tasting()
	state, err := x.db.DrawState(t.Context(), r.ID)
	require.NoError(t, err)
	require.NoError(t, x.db.DrawEvent(t.Context(), x.actor, r.Challenge, r.ID, draw.Event{N: state.State.Next, Kind: draw.Rolled, Place: state.State.Place, Dice: []int{11}}))
	closed, err := x.db.CloseRound(t.Context(), x.actor, r.Challenge, r.ID)
	require.NoError(t, err)
	require.True(t, closed)
	x.host.get(x.desk()).ok().says("same score; parted by a recorded draw", "The draw that settled the tie", "recorded draw put it there")
}

func TestTwoPrintedLists(t *testing.T) {
	x := newTable(t, 2, nil)
	x.host.get(x.desk()+"/kitchen").ok().says("Leaf parcels, way 4", "Bay custard tart", itoa(x.code(true)))
	g := x.host.get(x.desk()+"/table").ok().says("Judge Lind1", "Judge Lind2", itoa(x.code(true))).hides("leaf parcels", "bay custard", "No. 4")
	var orders []string
	walk(g.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && attr(n, "class") == "order" {
			orders = append(orders, inner(n))
		}
	})
	require.Len(t, orders, 2)
	require.NotEqual(t, orders[0], orders[1], "two judges begin with different plates")
	x.judges[0].get(x.links[0] + "/tasting/5/kitchen").is(http.StatusForbidden)
	x.judges[0].get(x.links[0] + "/tasting/5/table").is(http.StatusForbidden)
}

// The serving order that a judge sees is the one on the printed list, and a
// judge who leaves changes nobody else's.
func TestServingOrderIsTheSameEverywhere(t *testing.T) {
	x := newTable(t, 3, nil)
	r := x.tasting()
	check := func() [][]int {
		table, err := x.db.Table(t.Context(), x.actor, r.Challenge, r.ID)
		require.NoError(t, err)
		var orders [][]int
		for _, s := range table.Seats {
			served, err := x.db.Served(t.Context(), challenge.Actor{Role: challenge.Judge, ID: s.Judge, Challenge: r.Challenge}, r.Challenge, r.ID)
			require.NoError(t, err)
			var codes []int
			for _, p := range served {
				codes = append(codes, p.Code)
			}
			require.Equal(t, s.Codes, codes)
			orders = append(orders, codes)
		}
		return orders
	}
	before := check()
	judges, err := x.db.Judges(t.Context(), r.Challenge)
	require.NoError(t, err)
	require.NoError(t, x.db.Remove(t.Context(), x.actor, r.Challenge, judges[0].ID))
	require.Equal(t, before[1:], check())
	x.judges[0].get(x.links[0]).is(http.StatusGone)
}

// The page's script sends the same form and is told no score.
func TestSheetForTheScript(t *testing.T) {
	x := newTable(t, 1, nil)
	path := x.links[0] + "/score/5/" + itoa(x.code(false))
	send := func(values url.Values) *page {
		req, err := http.NewRequest(http.MethodPost, x.server.URL+path, strings.NewReader(values.Encode()))
		require.NoError(t, err)
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		req.Header.Set("Accept", "application/json")
		return x.judges[0].doRequest(req)
	}
	require.JSONEq(t, `{"revision":1,"sealed":false,"next":"`+path+`?said=saved"}`, send(url.Values{"revision": {"0"}, "score-taste": {"7"}, "do": {"draft"}}).ok().body)
	require.JSONEq(t, `{"revision":1,"sealed":false,"next":"`+path+`?said=saved"}`, send(url.Values{"revision": {"0"}, "score-taste": {"7"}, "do": {"draft"}}).ok().body, "sent again: the same sheet")
	g := send(url.Values{"revision": {"0"}, "score-taste": {"8"}, "do": {"draft"}}).is(http.StatusConflict)
	require.Contains(t, g.body, "saved in another tab")
	g = send(url.Values{"revision": {"1"}, "score-taste": {"8"}, "do": {"seal"}}).is(http.StatusUnprocessableEntity)
	require.Contains(t, g.body, `"sealed":false`)
}

// doRequest sends a request as it is.
func (p *person) doRequest(req *http.Request) *page {
	res, err := p.client.Do(req)
	require.NoError(p.live.t, err)
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	require.NoError(p.live.t, err)
	return &page{person: p, status: res.StatusCode, url: res.Request.URL, header: res.Header, body: string(b), doc: &html.Node{}}
}
