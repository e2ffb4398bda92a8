package web_test

import (
	"net/http"
	"net/url"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/tasting"
	"fairladle/store"
)

// The host gives one criterion the nine-point scale and one a scale of one's
// own, sets trimming and the ladder of tie-breaks, and a judge scores by them.
func TestHostsOwnScalesAndRule(t *testing.T) {
	x := newCooked(t)
	settings, plan := "/host/c/"+x.slug+"/settings", "/host/c/"+x.slug+"/rounds"
	change := func() *filled {
		return x.host.get(settings).ok().form("criterion-name-0").set("reason", "scales that suit us").
			set("criterion-name-0", "Overall").set("criterion-scale-0", "hedonic9").set("criterion-low-0", "").set("criterion-high-0", "").
			set("criterion-name-1", "Crunch").set("criterion-scale-1", "own").set("criterion-low-1", "limp").set("criterion-high-1", "like glass").
			set("criterion-name-2", "").set("criterion-name-3", "").set("criterion-name-4", "")
	}
	change().set("criterion-min-1", "1").set("criterion-max-1", "5").set("criterion-step-1", "3").send().is(http.StatusUnprocessableEntity).says("The scale of “Crunch” does not work")
	change().set("criterion-min-1", "one").set("criterion-max-1", "5").set("criterion-step-1", "1").send().is(http.StatusUnprocessableEntity).says("The scale of “Crunch” does not work")
	change().set("criterion-min-1", "1").set("criterion-max-1", "3").set("criterion-step-1", "0,25").send().ok().says("Saved.")
	require.Equal(t, tasting.Own(100, 300, 25), x.loaded().Criteria[1].Scale)

	form := func() *filled {
		return x.host.get(plan).ok().form("smallest_panel").set("rule", "trimmed").set("trim", "34").set("missing", "drop-sheet").
			set("tie-0", string(tasting.OnCriterion("theme"))).set("tie-1", "lowest-variance").set("tie-2", "").set("tie-3", "")
	}
	form().set("trim", "50").send().is(http.StatusUnprocessableEntity).says("from 1 to 49")
	form().set("missing", "by-criterion").send().is(http.StatusUnprocessableEntity).says("criterion by criterion go with")
	form().set("missing", "guess").send().is(http.StatusUnprocessableEntity).says("leaves a criterion out")
	form().set("tie-1", string(tasting.OnCriterion("theme"))).send().is(http.StatusUnprocessableEntity).says("named twice")
	form().set("tie-1", "draw").set("tie-2", "head-to-head").send().is(http.StatusUnprocessableEntity).says("Nothing can follow a draw")
	form().set("tie-1", "criterion:texture").send().is(http.StatusUnprocessableEntity).says("do not score")
	form().set("rule", "coin").send().is(http.StatusUnprocessableEntity)
	form().set("smallest_panel", "0").send().is(http.StatusUnprocessableEntity)
	form().send().ok().says("Saved.")
	rule := x.tasting().Params.Rule
	require.Equal(t, 34, rule.Trim)
	require.Equal(t, []tasting.TieBreak{"criterion:theme", tasting.LowestVariance}, rule.TieBreaks)

	x.seat(3)
	x.host.get(x.desk()).ok().says("without the highest 34 and the lowest 34 per cent", "1 (limp) to 3 (like glass) in steps of 0.25", "the higher mean for “Crunch”")
	g := x.sheet(0, x.code(true)).says("5 neither like nor dislike", "limp", "like glass")
	g.button("Seal this sheet").set("score-taste", "7.5").set("score-theme", "2").send().is(http.StatusUnprocessableEntity).says("7.5 is not on this scale")
	for i, scores := range [][4]string{{"9", "2", "6", "2.25"}, {"7", "2.5", "6", "2"}, {"2", "1", "6", "2"}} {
		x.sheet(i, x.code(false)).button("Seal this sheet").set("score-taste", scores[0]).set("score-theme", scores[1]).send().ok()
		x.sheet(i, x.code(true)).button("Seal this sheet").set("score-taste", scores[2]).set("score-theme", scores[3]).send().ok()
	}
	// Trimmed to the middle sheet, in per cent of the scales, weights 4 and 2:
	// (4 x 6/8 + 2 x 3/4) / 6 = 75 % against (4 x 5/8 + 2 x 1/2) / 6 = 58.3 %.
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok().says("75.0 %", "58.3 %", "per cent of the scale")
	x.host.get(settings).ok().says("what judges score is locked")
}

// Where judges taste some of the plates only, a sheet for a plate that a judge
// is not served is refused, and who sits down late is served what few taste.
func TestASheetForAPlateThatIsNotServed(t *testing.T) {
	x := newTableWith(t, 3, func(r *challenge.Round) { r.Params.PerJudge = 2 }, "Rye crisps\n\n200 g rye flour\n\nBake at 200 C for 12 minutes.")
	x.links, x.judges = append(x.links, x.invite(x.host, x.slug, "judge", "Late Lind")), append(x.judges, x.person())
	plates, err := x.db.TastingPlates(t.Context(), x.tasting().ID)
	require.NoError(t, err)
	served := map[int]int{}
	for i := range x.judges {
		mine, err := x.db.Served(t.Context(), x.judgeActor(i), x.tasting().Challenge, x.tasting().ID)
		require.NoError(t, err)
		require.Len(t, mine, 2)
		for _, p := range plates {
			g := x.judges[i].get(x.links[i] + "/score/5/" + itoa(p.Code))
			if !slices.ContainsFunc(mine, func(s store.ServedPlate) bool { return s.Code == p.Code }) {
				g.is(http.StatusNotFound).says("not among those you are served")
				x.judges[i].post(x.links[i]+"/score/5/"+itoa(p.Code), url.Values{"do": {"draft"}, "revision": {"0"}, "score-taste": {"9"}}).is(http.StatusNotFound)
				continue
			}
			served[p.Code]++
			scored(g.ok(), "7", "Seal this sheet").ok()
		}
	}
	for _, p := range plates {
		require.GreaterOrEqual(t, served[p.Code], 2)
	}
	require.Equal(t, 8, x.sheets())
}
