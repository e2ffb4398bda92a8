package web_test

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/store"
)

// The recipe of No. 4 has 1 1/2 cups of rice: 355 ml by a cup of 236.588 mL
// (NIST Handbook 44, appendix C); it does not say how many it serves.
func TestRecipeAtAnotherSize(t *testing.T) {
	x := newVote(t)
	page := "/c/" + x.slug + "/recipe/4"
	x.person().get(page).ok().says("1 1/2 cups", "How many times the recipe").hides("≈ is rounded")
	x.person().get(page+"?portions=2").ok().says("3 cups", "4 tbsp", "48", "≈ is rounded")
	x.person().get(page+"?portions=1/2").ok().says("3/4 cup", "12")
	x.person().get(page+"?units=metric").ok().says("355 ml", "2 tbsp")
	x.person().get(page+"?units=us-customary").ok().says("1 1/2 cups", "355 °F")
	for _, typed := range []string{"0", "-3", "many", "1e9", "99999999999999999999", "1/0"} {
		x.person().get(page+"?portions="+typed).ok().says("Type a number, such as 6", "1 1/2 cups")
	}
	x.person().get(page + "?units=furlong").ok().says("1 1/2 cups")
}

func (x *table) notes(words string) {
	x.t.Helper()
	c := x.loaded()
	ps, err := x.db.CookedPages(context.Background(), x.actor, c)
	require.NoError(x.t, err)
	for _, p := range ps {
		for _, plate := range p.Plates {
			require.NoError(x.t, x.db.SavePlate(context.Background(), x.actor, c.ID, store.Plate{ID: plate.ID, Cook: plate.Cook, Notes: words}))
		}
	}
}

func TestCooksNotesStandBesideTheRecipe(t *testing.T) {
	x := newCooked(t)
	x.notes("Swapped nutmeg for mace. Ask me: cook@example.org")
	x.now = released.Add(-48 * time.Hour)
	desk, page := "/host/c/"+x.slug+"/results", "/c/"+x.slug+"/recipe/4"
	x.host.get(desk).ok().says("mace").button("Let the entrant read it now").send().is(http.StatusConflict).says("Wait until “Tasting” is closed")

	x.now = time.Date(2026, 11, 18, 9, 0, 0, 0, time.UTC)
	x.seat(3)
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	own := x.own[4]
	x.person().get(own).ok().hides("From the cook")
	x.host.get(desk).ok().button("Let the entrant read it now").send().ok().says("The entrant can read this since")
	x.person().get(own).ok().says("From the cook", "not public yet", "Swapped nutmeg for mace.")
	x.person().get(x.own[2]).ok().hides("From the cook")
	x.person().get(page).is(http.StatusNotFound)

	f := x.person().get(own).ok().form("to_cook")
	f.set("to_cook", strings.Repeat("x", 2001)).send().is(http.StatusUnprocessableEntity).says("too long")
	f.set("to_cook", "  ").send().is(http.StatusUnprocessableEntity)
	f.set("to_cook", "Mace suits it; next time more lemon. entrant4@example.net").send().ok().says("Your answer", "Mace suits it")
	f.set("to_cook", "Another word").send().is(http.StatusConflict).says("answered already")
	x.person().get(x.own[2]).ok()
	x.person().post(x.own[2]+"/to-cook", map[string][]string{"to_cook": {"Me too"}}).is(http.StatusNotFound)

	x.now = released
	x.person().get(page).ok().hides("mace")
	x.host.get(desk).ok().form("notes").set("notes", "1").send().ok()
	x.person().get(page).ok().says("From the cook", "Swapped nutmeg for mace.", "The author answers", "Mace suits it").hides("@example")
	x.host.get(desk).ok().form("notes").untick("notes").send().ok()
	x.person().get(page).ok().hides("From the cook", "mace")
}

// Where the draw is withheld longer than the rest, the notes would tell what
// was drawn.
func TestCooksNotesWaitForTheDraw(t *testing.T) {
	x := newCooked(t)
	c := x.loaded()
	dish, err := x.db.EntryByNumber(t.Context(), c.ID, 4)
	require.NoError(t, err)
	require.NoError(t, x.db.ShowNotes(t.Context(), x.actor, c.ID, dish, true))
	x.notes("Swapped nutmeg for mace.")
	x.now = released
	shows := x.loaded().Shows("public", x.now)
	require.False(t, shows.Cooked, fmt.Sprint(shows))
	x.person().get("/c/" + x.slug + "/recipe/4").is(http.StatusNotFound)
	_, shown, err := x.db.OwnCooked(t.Context(), entrantActor(c.ID, dish), x.loaded())
	require.NoError(t, err)
	require.False(t, shown)
}
