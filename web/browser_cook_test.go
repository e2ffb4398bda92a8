package web_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

const tartText = `Beetroot tart

Serves 6

For the crust:
200 g plain flour
100 g cold butter

For the filling:
500 g cooked beetroot
2 eggs
150 ml cream

Rub the butter into the flour, bind with water and chill in the fridge for 30 minutes. Roll out and blind bake at 190 °C for 20 minutes.
Beat the eggs with the cream, pour over the beetroot and bake at 170 °C for 30 minutes.`

const swedeText = `Whole swede with caraway butter

Serves 6

1 swede
80 g butter, softened
2 tsp caraway seeds, crushed

Mix the butter with the caraway. Reserve a third of it for the end.
Wrap the swede in foil and bake at 180 °C for 1 hour 15 minutes.
Spread the reserved butter on top and bake at 180 °C for 35 minutes more.`

// A host on a phone plans a drawn recipe beside the house dish, follows the
// plan's advice, cooks, burns something, runs late, and prints the sheet.
func TestBrowserCooksTwoDishes(t *testing.T) {
	s := newStage(t)
	g := galleyOn(s.live, s.moveTo, tartText, swedeText)
	h := s.visitor(390)
	h.open("/login").write("email", "hanne@example.org").write("password", testPassword).follow("Sign in")
	h.open(g.page).says("Say when the plates are to be on the table").look("service-new")
	h.put("serve", "2026-11-21T18:00").write("cooks", "Hanne").write("photo", "3").write("carry", "2").follow("Make the plan")
	h.says("On the table Sat 21 Nov 2026, 18:00", "What would help", "Bake at 180 °C what should bake at 170 °C").look("service-planned")

	h.open(g.page + "/tasks").look("service-tasks")
	require.Equal(t, 1, evaluated[int](h, `(() => { const all = [...document.querySelectorAll("[name^=oven-]")].filter((e) => e.value === "170");
		all.forEach((e) => { e.value = "180"; }); return all.length; })()`))
	h.follow("Save and plan again").says("Saved, and planned again.").hides("What would help", "quince")
	h.open(g.page+"/sheet").says("Hanne:", "Photograph the plates").look("service-sheet").print("print-service-sheet")
	h.open(g.page+"/prep").says("Pre-heat", "Soften", "Held back: Reserve a third of it").look("service-prep").print("print-service-prep")
	h.open(g.page+"/shopping").says("butter", "1 × 250 g").look("service-shopping").print("print-service-shopping")

	h.cookUntilItBurns(g)
	h.open(g.page + "/log").says("made again").look("service-log").print("print-service-log")
	s.mu.Lock()
	defer s.mu.Unlock()
	require.Empty(t, s.noise, "what browsers complained about")
}

// cookUntilItBurns presses the buttons of the page for the counter.
func (v *visitor) cookUntilItBurns(g *galley) {
	first := g.cooking().Sheet.Rows[0]
	for _, r := range g.cooking().Sheet.Rows {
		if r.Who != "" {
			first = r
			break
		}
	}
	v.moveTo(first.Start.Add(10 * time.Second))
	v.open(g.page + "/now").look("counter").follow("Started").says("Under way")
	began := evaluated[string](v, `document.querySelector("[data-until]").dataset.until`)
	v.open(g.page + "/now")
	require.Equal(v.t, began, evaluated[string](v, `document.querySelector("[data-until]").dataset.until`), "the timer survives a reload")
	v.until("the timer to run", `/^-?\d+:\d\d$/.test(document.querySelector("[data-until]").textContent)`)
	left := evaluated[string](v, `document.querySelector("[data-until]").textContent`)
	v.until("the timer to count", `document.querySelector("[data-until]").textContent !== `+quoted(left))
	require.True(v.t, evaluated[bool](v, `new Promise((done) => setTimeout(() => done(!("wakeLock" in navigator) || !document.querySelector("[data-awake]").hidden), 500))`),
		"the screen stays on where the browser can")
	v.look("counter-running")

	pressed := time.Now()
	v.follow("Make again").says("(again)", "the plates are on the table at")
	took := time.Since(pressed)
	v.t.Logf("replanned and shown after %v", took.Round(time.Millisecond))
	require.Less(v.t, took, 5*time.Second, "a second on a quiet machine")
	v.follow("Started")
	v.eval(`document.querySelector("[name=minutes]").value = "240"`)
	v.follow("Running late by").says("minutes later than planned").look("counter-late")
	log := challenge.LastNotes(g.cooking().Log)
	require.Equal(v.t, 1, log[strings.TrimSuffix(first.ID, "+1")].Again)
	require.True(v.t, g.cooking().Sheet.Serve.After(g.cooking().Planned.Serve))
}
