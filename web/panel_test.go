package web_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
)

func TestSealedSheetIsAmendedWithAReason(t *testing.T) {
	x := newTable(t, 5, nil)
	x.everyone([]string{"9", "8", "8", "8", "8"}, []string{"6", "7", "6", "6", "6"})
	g := x.judges[0].get(x.links[0] + "/score/5/" + itoa(x.code(false)) + "?amend=1").ok()
	f := g.button("Amend this sheet").set("score-taste", "3").set("comment-taste", "Too salty after all").set("quote-taste", "1")
	f.send().is(http.StatusUnprocessableEntity).says("why the sealed sheet is changed")
	f.set("reason", "I had mixed up two plates").set("score-taste", "11").send().is(http.StatusUnprocessableEntity).says("is not on this scale")
	f.set("score-taste", "3").send().ok().says("The sheet is amended")
	f.send().ok().says("The sheet is amended") // sent twice it is one amendment
	f.set("score-taste", "1").send().is(http.StatusConflict).says("changed in another tab")
	x.sheet(0, x.code(false)).says("Amended after sealing: I had mixed up two plates", "Too salty after all")
	require.Equal(t, 10, x.sheets(), "an amended sheet is still one")
	x.host.get(x.desk()).ok().hides("mixed up", "salty")
	x.restart()
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("amended", "I had mixed up two plates", "It said before: Taste 9")
	x.judges[0].post(x.links[0]+"/score/5/"+itoa(x.code(false)), f.values).is(http.StatusConflict)
	x.now = released
	x.person().get("/c/"+x.slug+"/results").ok().says("One sheet was amended", "Too salty after all", "a judge, on Taste").hides("mixed up", "lind1")
}

func TestQuotesNameJudgesAsTheyChose(t *testing.T) {
	x := newTable(t, 3, nil)
	x.judges[0].get(x.links[0]).ok().form("credit").set("credit", "A. Lind, baker").send().ok().says("Saved.")
	x.judges[1].get(x.links[1]).ok().form("credit").set("credit", "write to me@example.org").send().ok()
	for i := range 3 {
		f := x.sheet(i, x.code(false)).button("Save draft").set("comment-taste", fmt.Sprintf("Fine leaf %d", i)).set("quote-taste", "1")
		f.send().ok()
	}
	x.everyoneKeeping([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.now = released
	x.person().get("/c/"+x.slug+"/results").ok().says("A. Lind, baker, on Taste", "a judge, on Taste").hides("example.org", "lind2")
}

// everyoneKeeping seals over drafts, with their comments.
func (x *table) everyoneKeeping(drawn, house []string) {
	for i := range x.judges {
		for code, score := range map[int]string{x.code(false): drawn[i], x.code(true): house[i]} {
			f := x.sheet(i, code).button("Seal this sheet")
			for _, c := range challenge.DefaultCriteria() {
				f.set("score-"+c.Key, score)
			}
			f.send().ok()
		}
	}
}

// Who only saw pictures is asked for look and idea, and may not send more.
func TestPicturesOnly(t *testing.T) {
	x := newTable(t, 3, nil)
	people := "/host/c/" + x.slug + "/people"
	x.host.get(people).ok().button("Judge Lind1 sees pictures only").send().ok().says("Sees pictures only")
	x.judges[0].get(x.links[0]).ok().says("You see pictures only")
	for _, code := range []int{x.code(false), x.code(true)} {
		g := x.sheet(0, code).says("Look of the plate", "Idea").hides(`name="score-taste"`, `name="score-texture"`)
		g.button("Seal this sheet").set("score-look", "9").set("score-idea", "8").set("score-taste", "9").send().is(http.StatusUnprocessableEntity).says("not asked")
		x.sheet(0, code).button("Seal this sheet").set("score-look", "9").set("score-idea", "8").send().ok()
	}
	x.host.post(people+"/"+x.judgeID(0)+"/pictures", nil).is(http.StatusConflict).says("has begun to score")
	for i := 1; i < 3; i++ {
		scored(x.sheet(i, x.code(false)), "7", "Seal this sheet").ok()
		scored(x.sheet(i, x.code(true)), "6", "Seal this sheet").ok()
	}
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("3 judges, 6 sheets", "7.50") // (8.5 + 7 + 7) / 3: look and idea weigh alike
}

// judgeID is the number of a judge as paths and forms carry it.
func (x *table) judgeID(i int) string {
	judges, err := x.db.Judges(x.t.Context(), x.tasting().Challenge)
	require.NoError(x.t, err)
	return fmt.Sprint(judges[i].ID)
}

// A judge with a conflict is not served the dish, cannot score it, and what
// was handed in for it before does not count.
func TestConflictOfInterest(t *testing.T) {
	x := newTable(t, 4, nil)
	x.everyone([]string{"1", "8", "8", "8"}, []string{"6", "7", "6", "6"})
	apart := x.host.get(x.desk()).ok().form("conflict").set("judge", x.judgeID(0)).set("dish", x.dishOf(false))
	apart.send().is(http.StatusUnprocessableEntity).says("what connects them")
	apart.set("conflict", "Sister of the entrant").send().ok().says("is kept from “Leaf parcels, way 4”")
	g := x.judges[0].get(x.links[0]).ok().hides("sister")
	require.NotContains(t, g.text(), itoa(x.code(false)), "in the words; a file's name may hold the same digits")
	x.judges[0].post(x.links[0]+"/score/5/"+itoa(x.code(false)), map[string][]string{"do": {"draft"}, "revision": {"1"}, "score-taste": {"9"}}).is(http.StatusNotFound)
	x.host.get(x.desk()+"/table").ok().says("Judge Lind1", itoa(x.code(true)))
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("8.00") // the 1 of the sister is out of the mean
	x.now = released
	x.person().get("/c/" + x.slug + "/ledger").ok().says("A judge was kept from a dish").hides("sister")
	x.host.post(x.desk()+"/apart", map[string][]string{"judge": {x.judgeID(1)}, "dish": {x.dishOf(false)}, "conflict": {"late"}}).is(http.StatusConflict)
}

// dishOf is the id of a plated dish.
func (x *table) dishOf(house bool) string {
	plates, err := x.db.Plates(x.t.Context(), x.tasting().Challenge)
	require.NoError(x.t, err)
	for _, p := range plates {
		if (p.Dish.Kind == "house") == house {
			return fmt.Sprint(p.Dish.ID)
		}
	}
	x.t.Fatal("no such dish")
	return ""
}

// The host's recipe holds eggs, flour and cream. What a judge declares is on
// the kitchen's list, nowhere else, and gone when the tasting is closed.
func TestDeclaredAllergies(t *testing.T) {
	x := newTable(t, 4, nil)
	x.judges[0].get(x.links[0]).ok().form("diet").set("allergen", "egg").set("diet", "no pork").send().is(http.StatusUnprocessableEntity).says("only if you agree", "This was not saved yet")
	x.host.get(x.desk() + "/kitchen").ok().hides("no pork")
	x.judges[0].get(x.links[0]).ok().form("diet").set("allergen", "egg").set("diet", "no pork, vegan").set("diet-consent", "1").send().ok().says("Saved.")
	x.judges[1].get(x.links[1]).ok().form("diet").set("allergen", "lupin").set("diet-consent", "1").send().ok()
	x.judges[1].get(x.links[1]).ok().form("diet").untick("allergen").untick("diet-consent").send().ok()
	x.judges[3].get(x.links[3]).ok().form("diet").set("diet", "I cannot stand bay").set("diet-consent", "1").send().ok()
	x.host.get(x.desk() + "/kitchen").ok().says("Plate " + itoa(x.code(true)) + " may go against “bay”: bay leaves")
	x.judges[2].post(x.links[2]+"/diet", map[string][]string{"allergen": {"gold"}, "diet-consent": {"1"}}).is(http.StatusUnprocessableEntity)
	x.host.get(x.desk()+"/kitchen").ok().says("Judge Lind1 : egg; no pork, vegan", "Plate "+itoa(x.code(true))+" goes against “egg”", "Plate "+itoa(x.code(true))+" goes against “vegan”", "Do not serve it to them").
		hides("lupin", "Plate "+itoa(x.code(false))+" goes against “egg”", "goes against “without pork”")
	for _, path := range []string{x.desk(), x.desk() + "/table", "/host/c/" + x.slug + "/people", "/host/c/" + x.slug + "/ledger"} {
		x.host.get(path).hides("no pork")
	}
	x.judges[1].get(x.links[1]).ok().hides("no pork")
	x.judges[1].get(x.links[1] + "/tasting/5/kitchen").is(http.StatusForbidden)
	x.everyone([]string{"8", "8", "8", "8"}, []string{"6", "7", "6", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.host.get(x.desk()+"/kitchen").ok().hides("no pork", "Declared allergies")
	x.judges[0].get(x.links[0]).ok().hides("no pork")
	x.judges[0].post(x.links[0]+"/diet", map[string][]string{"diet": {"late"}, "diet-consent": {"1"}}).is(http.StatusConflict).says("The tasting is over")
	document, err := x.db.Document(t.Context(), x.tasting().ID)
	require.NoError(t, err)
	require.NotContains(t, string(document), "pork")
}

// Where each dish had a cook of its own, the tally says that a score may be the
// cook's.
func TestDishAndCookCannotBeToldApart(t *testing.T) {
	const says = "nobody can tell whether a score is for the recipe or for the cook"
	for cook, apart := range map[string]bool{"hanne  osei": false, "Mo Pereira": true} {
		x := newCooked(t)
		plates, err := x.db.Plates(t.Context(), x.tasting().Challenge)
		require.NoError(t, err)
		plates[0].Cook = cook
		require.NoError(t, x.db.SavePlate(t.Context(), x.actor, x.tasting().Challenge, plates[0]))
		x.seat(3)
		x.everyone([]string{"8", "8", "8"}, []string{"6", "7", "6"})
		closed := x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
		x.now = released
		public := x.person().get("/c/" + x.slug + "/results").ok()
		for _, g := range []*page{closed, public} {
			require.Equal(t, apart, strings.Contains(g.text(), says), cook)
		}
	}
}

// With too few judges guests at the table scan a code, and score like every
// judge.
func TestStandIns(t *testing.T) {
	x := newTable(t, 2, func(r *challenge.Round) { r.Params.Rule.Below = "stand-ins" })
	x.everyone([]string{"8", "8"}, []string{"6", "7"})
	g := x.host.get(x.desk()).ok().says("The smallest panel is 3", "stand-ins at the table may score").button("Show a code for stand-ins").send().ok()
	require.Contains(t, g.body, "<svg")
	var path string
	walk(g.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && attr(n, "id") == "seat-link" {
			path = strings.TrimPrefix(inner(n), x.server.URL)
		}
	})
	guest := x.person()
	guest.get(path).ok().form("name").send().is(http.StatusUnprocessableEntity).says("Give your name")
	seat := guest.get(path).ok().form("name").set("name", "Ola Brandt").send().ok().says("Your plates")
	x.judges, x.links = append(x.judges, guest), append(x.links, seat.url.Path)
	for _, house := range []bool{false, true} {
		scored(x.sheet(2, x.code(house)), map[bool]string{false: "9", true: "7"}[house], "Seal this sheet").ok()
	}
	x.host.get(x.desk()).ok().says("Ola Brandt (stand-in)").hides("smallest panel is 3").button("Close the tasting").send().ok().says("came first")
	guest.get(path).is(http.StatusConflict)
	y := newTable(t, 1, nil)
	y.host.post(y.desk()+"/standins", nil).is(http.StatusConflict).says("no stand-ins")
	guest.get("/seat/AAAAAAAAAAAAAAAAAAAAAA").is(http.StatusNotFound)
}

func TestPlanForATooSmallPanel(t *testing.T) {
	x := newCooked(t)
	plan := "/host/c/" + x.slug + "/rounds"
	x.host.get(plan).ok().form("below").set("below", "flip a coin").send().is(http.StatusUnprocessableEntity).says("when fewer judges hand in")
	for _, below := range []string{"stand-ins", "postpone", "audience", "notes"} {
		x.host.get(plan).ok().form("below").set("below", below).send().ok()
		require.Equal(t, below, string(x.tasting().Params.Rule.Below))
	}
}

func (x *table) judgeActor(i int) challenge.Actor {
	judges, err := x.db.Judges(x.t.Context(), x.tasting().Challenge)
	require.NoError(x.t, err)
	return challenge.Actor{Role: challenge.Judge, ID: judges[i].ID, Challenge: x.tasting().Challenge}
}
