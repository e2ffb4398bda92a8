package web_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"image"
	"image/png"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/store"
)

const dumplingText = `Leek dumplings with brown butter

Serves 4

For the dough:
250 g flour
1 tsp salt
120 ml hot water

For the filling:
2 leeks, sliced
1 onion, diced
30 g butter
100 g feta

Method
Mix flour, salt and water and knead for 8 minutes.
Rest the dough for 30 minutes.
Meanwhile fry leeks and onion in the butter over medium heat for 10 minutes, then crumble in the feta.
Roll out the dough, cut circles and fill them.
Boil the dumplings for 6 minutes and serve at once.

Greetings from Perpetua Quince`

const gratinText = `House gratin of the library

Serves 4

800 g potatoes, sliced
1 onion, diced
300 ml cream
2 tbsp butter

Butter a dish and layer the potatoes with the onion.
Pour over the cream.
Bake at 190 C for 50 minutes.`

// A galley is a challenge whose cooking round is open, with one entry and one
// house dish.
type galley struct {
	*live
	host  *person
	slug  string
	actor challenge.Actor
	id    int64
	round challenge.Round
	page  string
}

func newGalley(t *testing.T) *galley {
	l := newLive(t)
	return galleyOn(l, func(now time.Time) { l.now = now }, dumplingText, gratinText)
}

// galleyOn makes the galley on a server, whose clock moveTo sets.
func galleyOn(l *live, moveTo func(time.Time), entry, house string) *galley {
	t := l.t
	g := &galley{live: l, host: l.setUp(), actor: challenge.Actor{Role: challenge.Host, ID: 1}}
	g.slug = l.challenge(g.host)
	ctx := t.Context()
	c, err := l.db.ChallengeBySlug(ctx, g.slug)
	require.NoError(t, err)
	g.id = c.ID
	_, _, err = l.db.Submit(ctx, c.ID, "", challenge.Submission{Name: "Perpetua Quince", Email: "perpetua@example.net", Text: entry, Origin: challenge.OriginOwn,
		Consents: map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}}, "", nil)
	require.NoError(t, err)
	for _, r := range c.Rounds[:3] {
		require.NoError(t, l.db.RemoveRound(ctx, g.actor, c.ID, r.ID))
	}
	_, err = l.db.SaveHouseDish(ctx, g.actor, c.ID, 0, "Hanne Osei", house)
	require.NoError(t, err)
	moveTo(time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC))
	c, err = l.db.Challenge(ctx, c.ID)
	require.NoError(t, err)
	g.round = c.Rounds[0]
	require.Equal(t, challenge.Cook, g.round.Kind)
	require.NoError(t, l.db.OpenRound(ctx, g.actor, c.ID, g.round.ID))
	g.page = "/host/c/" + g.slug + "/cook/1"
	return g
}

// plan fills the form of the service as a host would.
func (g *galley) plan() *page {
	g.t.Helper()
	return g.host.get(g.page).ok().form("serve").set("serve", "2026-11-21T18:00").set("cooks", "Ana\n").set("portions", "6").send().ok()
}

// cooking is the service as it is kept. Whatever a page made of it, its sheet
// must stand before the checker, which shares nothing with the planner.
func (g *galley) cooking() store.Cooking {
	x, err := g.db.Cooking(context.Background(), g.actor, g.id, g.round.ID)
	require.NoError(g.t, err)
	if len(x.Sheet.Rows) > 0 && len(x.Sheet.Blocks) == 0 && !x.Begun() {
		require.Empty(g.t, kitchen.Check(x.Plan(), x.Sheet, time.Time{}))
	}
	return x
}

func TestServiceIsPlannedFromTheForm(t *testing.T) {
	g := newGalley(t)
	first := g.host.get(g.page).ok().says("Plates on the table", "Leek dumplings", "House gratin").hides("quince", "perpetua")
	require.Equal(t, "6", first.value("portions"))
	first.form("serve").set("serve", "2026-11-10T18:00").set("cooks", "Ana").send().is(http.StatusUnprocessableEntity).
		says("This serving time has passed.")
	wrong := first.form("serve").set("serve", "2026-11-21T18:00").set("cooks", "Ana\nAna").set("tasters", "Seat 2: moonlight").send().is(http.StatusUnprocessableEntity)
	wrong.says("“moonlight” is not among the allergens")
	require.Equal(t, "Ana\nAna", wrong.value("cooks"))
	require.Equal(t, "2026-11-21T18:00", wrong.value("serve"))

	g.plan().says("Saved, and planned again.", "On the table Sat 21 Nov 2026, 18:00")
	x := g.cooking()
	require.Zero(t, x.Sheet.Late)
	require.NotEmpty(t, x.Sheet.Rows)
	require.Equal(t, "2026-11-21T18:00:00Z", x.Sheet.Serve.UTC().Format(time.RFC3339))
	first.form("serve").set("serve", "2026-11-22T18:00").set("cooks", "Ana").send().is(http.StatusConflict).says("changed elsewhere")

	sheet := g.host.get(g.page+"/sheet").ok().says("Run sheet", "Ana:", "time guessed", "Local food-safety rules come first", "How the plan was made")
	sheet.hides("quince", "perpetua")
	require.Contains(t, sheet.body, "<svg")
	rows := 0
	walk(sheet.doc, func(n *html.Node) {
		if n.Data == "tr" && n.Parent.Data == "tbody" {
			rows++
		}
	})
	require.Equal(t, len(x.Sheet.Rows), rows, "the table says all that the chart shows")
	g.host.get(g.page+"/prep").ok().says("onion, diced", "Cut", "Pre-heat", "190 °C", "What is held where", "small containers").hides("quince")
}

func TestShoppingListIsMergedAndSent(t *testing.T) {
	g := newGalley(t)
	g.plan()
	list := g.host.get(g.page+"/shopping").ok().says("onion", "House gratin of the library: ", "flour").hides("quince")
	rows, err := csv.NewReader(strings.NewReader(g.host.get(g.page + "/shopping.csv").ok().body)).ReadAll()
	require.NoError(t, err)
	onions := 0
	for _, r := range rows {
		if r[1] == "onion" {
			onions++
			require.Equal(t, "3", r[3], "1.5 of each dish, whole onions in all")
		}
	}
	require.Equal(t, 1, onions, "both dishes' onions are one line")
	f := list.form("have-0")
	at := lineOf(f, "flour")
	f.set("have-"+at, "1")
	cream := lineOf(f, "cream")
	f.set("currency", "EUR").set("price-"+cream, "2,40").set("arrive-"+cream, "2").send().ok().says("2.40 EUR", "In all: 2.40 EUR", "cream: order by")
	require.Contains(t, g.host.get(g.page+"/service.ics").ok().body, "SUMMARY:Order: cream")
	text := g.host.get(g.page + "/shopping.txt").ok()
	require.Contains(t, text.header.Get("Content-Type"), "text/plain")
	require.NotContains(t, text.body, "flour")
	require.Contains(t, text.body, "cream (3 × 200 ml), 2.40 EUR")
	require.Contains(t, text.body, "In all: 2.40 EUR.")
	require.Contains(t, g.host.get(g.page+"/shopping.csv").ok().body, ",2.40,EUR\n")
	g.host.get(g.page+"/shopping").ok().form("have-0").set("have-"+cream, "1").send().ok().hides("cream: order by")
}

func lineOf(f *filled, name string) string {
	for key, v := range f.values {
		if strings.HasPrefix(key, "name-") && v[0] == name {
			return strings.TrimPrefix(key, "name-")
		}
	}
	return ""
}

// dish is the identifier of the dish with that in its name.
func (g *galley) dish(name string) int64 {
	for _, w := range g.cooking().Recipes {
		if strings.Contains(w.Name, name) {
			return w.Dish
		}
	}
	g.t.Fatalf("no dish %s", name)
	return 0
}

// taskForm is the table of one dish.
func (g *galley) taskForm(dish int64) *filled {
	g.t.Helper()
	page := g.host.get(g.page + "/tasks").ok()
	var found *filled
	walk(page.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && n.Data == "form" {
			if f := page.fill(n); f.values.Get("dish") == fmt.Sprint(dish) {
				found = f
			}
		}
	})
	require.NotNil(g.t, found)
	return found
}

func TestTasksAreCorrectedInATable(t *testing.T) {
	g := newGalley(t)
	g.plan()
	dish := g.dish("gratin")
	f := g.taskForm(dish)
	tasks := f.values["task"]
	require.GreaterOrEqual(t, len(tasks), 4)
	require.Nil(t, g.cooking().Service.Dishes[1].Tasks)
	f.set("do", "save").send().ok()
	require.Nil(t, g.cooking().Service.Dishes[1].Tasks, "saving the table as it is corrects nothing")

	bake := ""
	for _, id := range tasks {
		if f.values.Get("machine-"+id) == "oven" {
			bake = id
		}
	}
	require.NotEmpty(t, bake)
	before := g.cooking()
	g.taskForm(dish).set("minutes-"+bake, "80").set("film-"+bake, "1").set("do", "save").send().ok().says("Saved, and planned again.")
	after := g.cooking()
	require.Equal(t, minutesOn(before, "1:"+bake)+30, minutesOn(after, "1:"+bake))
	require.Zero(t, after.Sheet.Late)
	g.host.get(g.page + "/sheet").ok().says("Film this").hides("Wash up: ")

	g.taskForm(dish).set("wash-"+tasks[0], "1").set("do", "save").send().ok()
	washed := g.cooking().Sheet
	g.host.get(g.page + "/sheet").ok().says("Wash up: ")
	wash := rowByID(washed, "x:wash 1:"+tasks[0])
	require.Equal(t, 5, wash.Minutes)
	require.False(t, wash.Start.Before(rowByID(washed, "1:"+tasks[0]).End()), "after what it washes up")
	require.False(t, wash.End().After(washed.Serve))
	require.NotEmpty(t, wash.Who, "it takes a cook's hands")
	unticked := g.taskForm(dish)
	unticked.values.Del("wash-" + tasks[0])
	unticked.set("do", "save").send().ok()
	g.host.get(g.page + "/sheet").ok().hides("Wash up: ")

	count := len(tasks)
	for _, step := range []struct {
		do   string
		more int
	}{{"split:" + bake, 1}, {"join:" + bake, -1}, {"add:" + bake, 1}, {"remove:h1", -1}, {"earlier:" + tasks[1], 0}} {
		g.taskForm(dish).set("do", step.do).send().ok()
		count += step.more
		require.Len(t, g.taskForm(dish).values["task"], count, step.do)
		require.Empty(t, g.cooking().Sheet.Blocks, step.do)
	}
	require.Equal(t, tasks[1], g.taskForm(dish).values["task"][0])

	bad := g.taskForm(dish).set("after-"+bake, "99").set("minutes-"+bake, "x").set("do", "save").send().is(http.StatusUnprocessableEntity)
	bad.says("Write the numbers of the tasks that come first", "Say how many minutes it takes")
	circle := g.taskForm(dish).values["task"]
	g.taskForm(dish).set("after-"+circle[0], itoa(len(circle))).set("do", "save").send().ok().says("in a circle", "There is no plan for this yet.")
	g.taskForm(dish).set("do", "derive").send().ok()
	require.Nil(t, g.cooking().Service.Dishes[1].Tasks)
	require.NotEmpty(t, g.cooking().Sheet.Rows)
}

func minutesOn(x store.Cooking, id string) int {
	for _, r := range x.Sheet.Rows {
		if r.ID == id {
			return r.Minutes
		}
	}
	return -1
}

func TestAComponentIsBought(t *testing.T) {
	g := newGalley(t)
	g.plan()
	dish := g.dish("dumplings")
	g.host.get(g.page).ok().form("serve").set(fmt.Sprintf("bought-%d-0", dish), "1").send().ok()
	g.host.get(g.page + "/shopping").ok().says("(ready-made)").hides("hot water")
	for _, r := range g.cooking().Sheet.Rows {
		require.False(t, strings.HasPrefix(r.ID, "0:c0."), "no task of the bought dough: %s", r.What)
	}
}

// What the planner says itself is said in the site's language; the recipes' words
// and what the host typed stay as they are.
func TestThePlanSpeaksTheSitesLanguage(t *testing.T) {
	g := newGalley(t)
	g.plan()
	speak := func(language string) {
		g.host.get("/host/community").ok().form("site").set("language", language).send().ok()
	}
	speak("de")
	g.host.get(g.page+"/sheet").ok().says("Abwiegen und schneiden", "Ofen auf 190 °C stellen", "Ofen, 190 °C", "Herdplatte", "anrichten").hides("weigh and cut", "turn the oven")
	dish := g.dish("gratin")
	f := g.taskForm(dish)
	tasks := f.values["task"]
	require.Equal(t, "Abwiegen und schneiden", f.values.Get("name-"+tasks[0]))
	g.host.get(g.page + "/tasks").ok().says("das Rezept").hides("the recipe")
	f.set("minutes-"+tasks[0], "21").set("name-"+tasks[1], "Buttern und schichten").set("do", "save").send().ok()
	require.Contains(t, g.host.get(g.page+"/service.ics").ok().body, "SUMMARY:Kochen und servieren")
	require.Contains(t, g.host.get(g.page+"/shopping.txt").ok().body, "Einkauf für 6 Portionen")
	require.True(t, strings.HasPrefix(g.host.get(g.page+"/shopping.csv").ok().body, "Abteilung,Name,"))
	speak("en")
	f = g.taskForm(dish)
	require.Equal(t, "Weigh and cut", f.values.Get("name-"+tasks[0]))
	require.Equal(t, "Buttern und schichten", f.values.Get("name-"+tasks[1]))
	g.host.get(g.page + "/sheet").ok().says("Turn the oven to 190 °C")
}

func TestWhatStandsInTheWay(t *testing.T) {
	g := newGalley(t)
	g.host.get(g.page).ok().form("serve").set("serve", "2026-11-18T09:40").set("cooks", "Ana").send().ok().
		says("later than wanted", "What stands in the way", "What would help")
}

func TestAllergensAgainstTasters(t *testing.T) {
	g := newGalley(t)
	g.host.get(g.page).ok().form("serve").set("serve", "2026-11-21T18:00").set("cooks", "Ana").set("tasters", "Seat 2: cream, hazelnuts").send().ok()
	require.Equal(t, []string{"milk", "treenut"}, g.cooking().Service.Tasters[0].Allergens)
	g.host.get(g.page+"/sheet").ok().says("Seat 2 declared milk", "Source:")
}

func TestCalendarFile(t *testing.T) {
	g := newGalley(t)
	g.plan()
	file := g.host.get(g.page + "/service.ics").ok()
	require.Contains(t, file.header.Get("Content-Type"), "text/calendar")
	require.True(t, strings.HasPrefix(file.body, "BEGIN:VCALENDAR\r\n"))
	require.Contains(t, file.body, "DTEND:20261121T180000Z")
	require.NotContains(t, strings.ToLower(file.body), "quince")
}

var timer = regexp.MustCompile(`data-until="(\d+)"`)

func TestCookingAtTheCounter(t *testing.T) {
	g := newGalley(t)
	g.plan()
	x := g.cooking()
	first := x.Sheet.Rows[0]
	for _, r := range x.Sheet.Rows {
		if r.ID != "" {
			first = r
			break
		}
	}
	g.now = first.Start
	now := g.host.get(g.page+"/now").ok().says("Next", first.What.String(), "18:00").hides("quince")
	require.NotContains(t, now.body, "data-until")
	start := now.button("Started")
	require.Equal(t, first.ID, start.values.Get("task"))
	running := start.send().ok().says("Under way")
	until := timer.FindStringSubmatch(running.body)
	require.Equal(t, fmt.Sprint(first.Start.Add(time.Duration(first.Minutes)*time.Minute).UnixMilli()), until[1])
	start.send().ok()
	require.Len(t, g.cooking().Log, 1, "pressed twice is noted once")

	g.restart()
	again := g.host.get(g.page + "/now").ok()
	require.Equal(t, until[1], timer.FindStringSubmatch(again.body)[1], "a timer survives a reload and a restart")

	slack := g.cooking().Sheet.Slack
	late := again.button("Running late").set("minutes", itoa(slack+45))
	began := time.Now()
	late.send().ok().says("the plates are on the table at", "later than planned")
	require.Less(t, time.Since(began), 3*time.Second, "a second on a quiet machine")
	require.True(t, g.cooking().Sheet.Serve.After(x.Sheet.Serve))
	again.button("Running late").set("minutes", "0").send().is(http.StatusUnprocessableEntity).says("Say how many minutes longer")

	g.now = g.now.Add(time.Duration(first.Minutes) * time.Minute)
	g.host.get(g.page + "/now").ok().button("Make again").send().ok().says("(again)")
	require.Equal(t, 1, lastOf(g.cooking(), first.ID).Again)
	g.host.get(g.page + "/now").ok().button("Skip").send().ok().says("skipped")

	log := g.host.get(g.page+"/log").ok().says("What was planned beside what happened", "made again")
	f := log.form("word")
	f.set("word", "The pan was too hot.").set("swapped", "lard for butter").set("do", "word").send().ok().
		says("The pan was too hot.", "Instead: lard for butter")
	var picture bytes.Buffer
	require.NoError(t, png.Encode(&picture, image.NewRGBA(image.Rect(0, 0, 40, 30))))
	pictured := g.host.get(g.page+"/log").ok().form("word").attach("upload", picture.Bytes()).set("do", "word").send().ok()
	shown := regexp.MustCompile(`class="dish-photo" src="(/photo/[0-9a-f]+)"`).FindStringSubmatch(pictured.body)
	require.NotNil(t, shown, "the photo stands beside the task")
	require.Equal(t, "image/jpeg", g.host.get(shown[1]).ok().header.Get("Content-Type"), "and was made harmless")
	g.host.get(g.page + "/now").ok().button("Take that back").send().ok()
	require.Zero(t, lastOf(g.cooking(), first.ID).Again)
	g.host.get(g.page+"/log").ok().form("serve").set("serve", "2026-11-28T18:00").set("do", "again").send().ok().says("Sat 28 Nov 2026")
	require.Empty(t, g.cooking().Log)
	require.Equal(t, 2, g.cooking().Run)
}

func lastOf(x store.Cooking, task string) (n struct{ Again int }) {
	if e, ok := challenge.LastNotes(x.Log)[task]; ok {
		n.Again = e.Again
	}
	return n
}

func TestAClosedRoundKeepsItsPlan(t *testing.T) {
	g := newGalley(t)
	g.plan()
	plates, err := g.db.Plates(t.Context(), g.id)
	require.NoError(t, err)
	for _, p := range plates {
		p.Cook = "Hanne Osei"
		require.NoError(t, g.db.SavePlate(t.Context(), g.actor, g.id, p))
	}
	stale := g.host.get(g.page + "/now").ok().button("Started")
	tasks := g.taskForm(g.dish("gratin"))
	_, err = g.db.CloseRound(t.Context(), g.actor, g.id, g.round.ID)
	require.NoError(t, err)
	stale.send().is(http.StatusConflict).says("is not open")
	tasks.set("do", "save").send().is(http.StatusConflict)
	g.host.get(g.page + "/sheet").ok().says("Run sheet")
	require.NotContains(t, g.host.get(g.page+"/now").ok().body, ">Started<")
	g.person().get(g.page + "/sheet").hides("gratin")
	for _, path := range []string{"/sheet", "/shopping", "/prep", "/tasks", "/now", "/log", "/service.ics", "/shopping.csv"} {
		g.host.get("/host/c/" + g.slug + "/cook/2" + path).is(http.StatusNotFound)
	}
}
