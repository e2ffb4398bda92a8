package web_test

import (
	"net/http"
	"testing"
)

// How a verdict came about is sealed until the tasting is closed, then the
// host's, then everyone's; with five judges and more it holds figures, and
// under five counts and plain words only.
func TestDetailsOfAVerdict(t *testing.T) {
	x := newTable(t, 6, nil)
	public, host := "/c/"+x.slug+"/results/verdict/5", x.desk()+"/details"
	x.everyone([]string{"9", "8", "8.5", "7", "8", "3"}, []string{"6", "7", "6", "6.5", "7", "9"})
	x.host.get(host).is(http.StatusConflict).says("sealed until")
	f := x.sheet(5, x.code(true)).link("Amend this sheet")
	x.judges[5].get(f).ok().button("Amend this sheet").set("reason", "I mixed up two plates").set("score-taste", "8").send().ok()
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	words := []string{"The rule, locked before the first sheet", "How far the judges agreed", "Kendall's W", "ICC(2,1), one judge", "21 times",
		"How often each dish came first", "Had another usual rule been chosen", "Each judge's order", "Without any one judge", "Without judge 6",
		"Each dish by criterion", "The place in the order shifts scores", "One sheet was amended"}
	x.host.get(host).ok().says(append(words, "Only you and your co-host see this now")...).hides("Lind")
	x.person().get(public).is(http.StatusConflict).hides("Kendall")
	x.judges[0].get(x.links[0] + "/tasting/5/details").is(http.StatusForbidden)
	x.now = released
	x.person().get("/c/" + x.slug + "/results").ok().link("How the verdict came about")
	x.person().get(public).ok().says(words...).hides("Lind", "Only you and your co-host")
	x.person().get("/c/" + x.slug + "/results/verdict/1").is(http.StatusNotFound)
	x.person().get("/c/" + x.slug + "/results/verdict/9").is(http.StatusNotFound)

	y := newTable(t, 4, nil)
	y.everyone([]string{"9", "8", "8.5", "7"}, []string{"6", "7", "6", "6.5"})
	y.host.get(y.desk()).ok().button("Close the tasting").send().ok()
	y.host.get(y.desk()+"/details").ok().says("The panel is too small for figures", "All four judges put").hides("Kendall", "Without judge", "Without any one")
}
