package web_test

import (
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"

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
	x.judges[0].get(x.links[0]).ok().hides(itoa(x.code(false)), "sister")
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
