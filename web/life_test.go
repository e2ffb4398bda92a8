package web_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge/draw"
)

// TestWholeLife drives a challenge from an empty folder to the published
// result, over HTTP against the real server, with a restart in the middle of
// every stage. Before the release no public answer may give anything away.
func TestWholeLife(t *testing.T) {
	l := newLive(t)
	h := &lifetime{live: l}
	h.host = l.setUp()
	h.slug = l.challenge(h.host)
	h.desk = "/host/c/" + h.slug
	h.collect()
	h.read()
	h.pick()
	h.draw()
	h.cook()
	h.taste()
	h.release()
	h.vote()
	h.verifyOffline()
}

// A lifetime is a challenge on its way, and what the test knows of it that
// others must not.
type lifetime struct {
	*live
	host       *person
	slug       string
	desk       string
	entrants   []string // private paths, No. 1 first
	finalists  []int
	drawn      int
	record     string
	cohostPath string
}

const entriesInLife = 30

func (h *lifetime) collect() {
	for i := 1; i <= entriesInLife; i++ {
		h.entrants = append(h.entrants, h.enter(h.slug, i).url.Path)
		if i == entriesInLife/2 {
			h.restart()
		}
	}
	_, err := h.db.RunJobs(h.t.Context())
	require.NoError(h.t, err)
	h.host.get(h.desk+"/entries?q=leaf+minutes").ok().says("Leaf parcels, way 7").hides("Quince", "example.net")
	h.now = time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
}

// names are what blind pages must not hold.
var names = []string{"Quince", "example.net"}

func (h *lifetime) read() {
	cohost := h.invite(h.host, h.slug, "cohost", "Lior Adeyemi")
	reader := h.invite(h.host, h.slug, "reader", "Mo Reader")
	h.host.get(h.desk).ok().button("Open “Reading”").send().ok()
	for who, base := range map[*person]string{h.host: h.desk, h.person(): cohost, h.person(): reader} {
		g := who.get(who.get(base + "/reading/1").ok().link("Start reading")).ok()
		for i := 1; strings.HasPrefix(g.url.Path, base+"/reading/1/"); i++ {
			g.hides(names...)
			mark := "out"
			if number(g) <= 12 {
				mark = "keep"
			}
			g = g.form("mark").set("mark", mark).set("note", "read by a test").untick("flag").send().ok()
			if i == 15 {
				h.restart()
			}
			require.Less(h.t, i, 2*entriesInLife)
		}
		g.says("You have marked all of them")
	}
	cut := h.host.get(h.desk + "/reading/1/cut").ok().hides(names...).form("on-" + h.dishID(11))
	for i := 1; i <= 11; i++ {
		cut.set("on-"+h.dishID(i), "1").set("reason-"+h.dishID(i), "Level with the others.")
	}
	cut.set("reason-"+h.dishID(11), "").send().is(http.StatusUnprocessableEntity).says("Give a reason")
	cut.set("reason-"+h.dishID(11), "Closest to the theme.").send().ok()
	h.host.get(h.desk + "/reading/1/cut").ok().says("On the shortlist: 11; places: 10.")
	h.restart()
	h.host.get(h.desk + "/reading/1/cut").ok().button("Close the reading and fix the shortlist").send().ok().says("closed")
	h.nothingIsPublic()
	h.cohostPath = cohost
}

// number is the entry number in the path of a page.
func number(g *page) int {
	n, err := strconv.Atoi(path.Base(g.url.Path))
	require.NoError(g.person.live.t, err)
	return n
}

func (h *lifetime) dishID(number int) string {
	c, err := h.db.ChallengeBySlug(h.t.Context(), h.slug)
	require.NoError(h.t, err)
	id, err := h.db.EntryByNumber(h.t.Context(), c.ID, number)
	require.NoError(h.t, err)
	return fmt.Sprint(id)
}

func (h *lifetime) pick() {
	h.host.get(h.desk).ok().button("Open “Pick of the finalists”").send().ok().says("has not been sealed yet")
	cohost := h.person()
	h.finalists = []int{4, 9}
	for _, n := range h.finalists {
		cohost.get(fmt.Sprintf("%s/pick/2/%d", h.cohostPath, n)).ok().hides(names...).form("reason").
			set("reason", fmt.Sprintf("Picked for reason %d.", n)).set("do", "choose").send().ok()
		h.restart()
	}
	cohost.get(h.cohostPath + "/pick/2").ok().says("Chosen: 2 of 2").button("Seal my pick").send().ok().says("Sealed")
	cohost.get(h.cohostPath + "/pick/2/5").ok().hides("name=\"reason\"")
	sealed := h.host.get(h.desk+"/pick/2").ok().says("Sealed", "Open the sealed pick")
	sealed.hides("Picked for reason", ">finalist<", "held back")
	h.host.get(h.desk+"/pick/2/4").ok().hides("Picked for reason", `aria-pressed="true"`)
	h.restart()
	sealed.button("Open the sealed pick").send().ok().says("Picked for reason 4.", "Picked for reason 9.")
	h.nothingIsPublic()
}

func (h *lifetime) draw() {
	h.host.get(h.desk).ok().button("Open “Draw”").send().ok()
	public := "/c/" + h.slug + "/draw/3"
	h.person().get(public).ok().says("1 to 10", "11 to 20")
	h.restart()
	h.host.get(h.desk+"/draw/3").ok().form("die").set("die", "21").send().is(http.StatusUnprocessableEntity).says("cannot show 21")
	stale := h.host.get(h.desk+"/draw/3").ok().form("die").set("die", "14")
	stale.send().ok()
	stale.send().ok() // a double click is one roll
	stale.set("die", "3").send().is(http.StatusConflict)
	h.restart()
	h.host.get(h.desk + "/draw/3").ok().button("Close the draw and write its record").send().ok()
	h.drawn = h.finalists[1]
	h.person().get(public+"/record.json").hides("\"result\"", "\"dice\":[14]")
	h.nothingIsPublic()
}

func (h *lifetime) cook() {
	h.host.get(h.desk+"/dishes/new").ok().form("text").set("cook", "Hanne Osei").
		set("text", "House dolma of the library\n\n30 cabbage leaves\n250 g bulgur\n1 onion\n\nSimmer the bulgur 15 minutes. Roll. Bake at 190 C for 40 minutes.").
		set("do", "send").send().ok().says("House dolma of the library")
	h.host.get(h.desk).ok().button("Open “Cooking”").send().ok().says("House dolma of the library", fmt.Sprintf("No. %d", h.drawn))
	h.restart()
	plate := h.host.get(h.desk + "/cook/4").ok()
	forms := 0
	walk(plate.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "form" {
			f := plate.fill(n)
			if f.values.Get("plate") != "" {
				forms++
				f.set("cook", "Hanne Osei").set("kitchen", "Library kitchen").set("cooked_on", "2026-11-18").set("notes", "More lemon.").send().ok()
			}
		}
	})
	require.Equal(h.t, 2, forms)
	h.host.get(h.desk + "/cook/4").ok().button("Close the cooking").send().ok()
	h.nothingIsPublic()
}

var plateCode = regexp.MustCompile(`/score/5/(\d{3})"`)

func (h *lifetime) taste() {
	var judges []string
	for i := 1; i <= 5; i++ {
		judges = append(judges, h.invite(h.host, h.slug, "judge", fmt.Sprintf("Judge%d Sorrel", i)))
	}
	h.host.get(h.desk).ok().button("Open “Tasting”").send().ok()
	codes := map[string]bool{}
	for j, base := range judges {
		judge := h.person()
		desk := judge.get(base).ok().hides(append(names, "House dolma", "Leaf parcels", "Sorrel2")...)
		for _, m := range plateCode.FindAllStringSubmatch(desk.body, -1) {
			codes[m[1]] = true
		}
		require.Len(h.t, codes, 2)
		for code := range codes {
			h.scorePlate(judge, base, code, j)
		}
		if j == 2 {
			h.restart()
		}
	}
	h.restart()
	h.host.get(h.desk + "/tasting/5").ok().hides("said by judge")
	closed := h.host.get(h.desk + "/tasting/5").ok().button("Close the tasting and tally the sheets").send().ok()
	closed.says("said by judge 1", "House dolma")
	h.nothingIsPublic()
}

// scorePlate fills a sheet with the same score everywhere, off the scale
// first, and seals it twice.
func (h *lifetime) scorePlate(judge *person, base, code string, j int) {
	sheet := judge.get(base + "/score/5/" + code).ok().hides(names...)
	f := sheet.form("do")
	score := h.scoreOf(code, j)
	for name := range sheetFields(sheet) {
		f.set(name, score)
	}
	f.set("comment-taste", fmt.Sprintf("said by judge %d", j+1)).set("do", "seal")
	first := ""
	for name := range sheetFields(sheet) {
		if first == "" || name < first {
			first = name
		}
	}
	f.set(first, "11").send().is(http.StatusUnprocessableEntity).says("is not on this scale")
	f.set(first, score).send().ok()
	f.send().ok()
}

// scoreOf lets the drawn dish win by a little.
func (h *lifetime) scoreOf(code string, j int) string {
	c, err := h.db.ChallengeBySlug(h.t.Context(), h.slug)
	require.NoError(h.t, err)
	plates, err := h.db.TastingPlates(h.t.Context(), c.Rounds[4].ID)
	require.NoError(h.t, err)
	for _, p := range plates {
		if itoa(p.Code) == code && p.Dish.Kind == "entry" {
			return []string{"8", "7.5", "9", "6.5", "8"}[j]
		}
	}
	return []string{"7", "8", "6.5", "6", "7.5"}[j]
}

func sheetFields(g *page) map[string]bool {
	fields := map[string]bool{}
	walk(g.doc, func(n *html.Node) {
		if name := attr(n, "name"); n.Type == html.ElementNode && strings.HasPrefix(name, "score-") {
			fields[name] = true
		}
	})
	return fields
}

func (h *lifetime) release() {
	h.now = time.Date(2026, 12, 1, 17, 59, 59, 0, time.UTC)
	h.nothingIsPublic()
	h.now = time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC)
	visitor := h.person()
	results := visitor.get("/c/" + h.slug + "/results").ok()
	results.says(fmt.Sprintf("way %d", h.drawn), "House dolma", fmt.Sprintf("Entrant%d Q.", h.drawn)).hides("example.net", "Judge1 Sorrel")
	visitor.get(fmt.Sprintf("/c/%s/recipe/%d", h.slug, h.drawn)).ok().says("vine leaves", fmt.Sprintf("Entrant%d Q.", h.drawn)).hides("example.net")
	h.record = visitor.get("/c/" + h.slug + "/draw/3/record.json").ok().body
	visitor.get("/c/" + h.slug + "/draw/3").ok().says("14").hides("example.net")
	visitor.get("/c/"+h.slug+"/ledger").ok().hides("example.net", "Quince")
	h.restart()
}

func (h *lifetime) vote() {
	h.host.get(h.desk).ok().button("Open “Audience vote”").send().ok()
	for range 7 {
		g := h.person().get("/c/" + h.slug + "/vote/6").ok()
		ballot := g.form("choice")
		walk(g.doc, func(n *html.Node) {
			if attr(n, "name") == "choice" && ballot.values.Get("choice") == "" {
				ballot.set("choice", attr(n, "value"))
			}
		})
		ballot.send().ok()
		ballot.set("slip", "AAAAAAAAAAAAAAAAAAAAAA").send().is(http.StatusConflict).says("The first one counts")
	}
	h.restart()
	h.now = h.now.Add(73 * time.Hour)
	h.host.get(h.desk + "/vote/6").ok().says("7").button("Close the vote and count the ballots").send().ok()
	h.person().get("/c/" + h.slug).ok().says("Finished")
	h.person().get("/c/" + h.slug + "/results").ok().says("7")
	h.host.get(h.desk).ok().says("Everything is done and published")
}

// verifyOffline checks the downloaded record and an entrant's slip with the
// program alone.
func (h *lifetime) verifyOffline() {
	dir := h.t.TempDir()
	slip := h.person().get(h.entrants[h.drawn-1] + "/slip.json").ok().body
	record, slipFile := filepath.Join(dir, "record.json"), filepath.Join(dir, "slip.json")
	require.NoError(h.t, os.WriteFile(record, []byte(h.record), 0o600))
	require.NoError(h.t, os.WriteFile(slipFile, []byte(slip), 0o600))
	out, err := exec.Command("go", "run", "../cmd/fairladle", "verify", record, slipFile).CombinedOutput()
	require.NoError(h.t, err, string(out))
	require.NotContains(h.t, string(out), "DOES NOT HOLD")

	report := draw.Verify([]byte(h.record), draw.Options{})
	require.True(h.t, report.Holds(), report.First())
	require.Equal(h.t, h.drawn, report.Record.Result[0])
	require.False(h.t, draw.Verify([]byte(strings.Replace(h.record, `"dice":[14]`, `"dice":[15]`, 1)), draw.Options{}).Holds())

	var s struct{ Body string }
	require.NoError(h.t, json.Unmarshal([]byte(slip), &s))
	require.Contains(h.t, s.Body, fmt.Sprintf(`"entry":%d`, h.drawn))
}

// nothingIsPublic walks every public address of the challenge and looks for
// what would give an outcome away.
func (h *lifetime) nothingIsPublic() {
	h.t.Helper()
	visitor := h.person()
	for _, path := range []string{"", "/results", "/ledger", "/ledger.json", "/draw/3", "/draw/3/record.json", "/draw/3/check", "/draw/3/protocol",
		"/vote/6", "/recipe/4", "/recipe/9", "/link"} {
		g := visitor.get("/c/" + h.slug + path)
		require.Less(h.t, g.status, 500, path)
		g.hides("Leaf parcels, way", "House dolma", "Picked for reason", "said by judge", "Quince", "example.net", "Closest to the theme",
			`"dice"`, `"result"`, `"through"`, "read by a test")
	}
	visitor.get("/").ok().hides("Leaf parcels", "House dolma")
	for i, path := range h.entrants {
		if i%10 == 0 {
			h.person().get(path).ok().hides("Picked for reason", "said by judge", "is a finalist", "was drawn")
		}
	}
}
