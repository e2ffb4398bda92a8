package web_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"fairladle/challenge/kitchen"
)

// A host without script on a phone makes a plan of two dishes and puts it
// right by the table of tasks alone: retimes, renames, cuts, joins, adds,
// reorders, says what waits for what, and takes it all back.
func TestBrowserPlansWithoutScript(t *testing.T) {
	s := newStage(t)
	g := galleyOn(s.live, s.moveTo, tartText, swedeText)
	h := s.visitor(390)
	_, err := chromedp.Call(h.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	require.NoError(t, err)
	h.open("/login").write("email", "hanne@example.org").write("password", testPassword).follow("Sign in")
	h.open(g.page).put("serve", "2026-11-21T18:00").write("cooks", "Hanne").follow("Make the plan").says("On the table Sat 21 Nov 2026, 18:00")

	x := g.cooking()
	tart, swede := x.Service.Dishes[0].Dish, x.Service.Dishes[1].Dish
	h.open(g.page + "/tasks").shoot("noscript-tasks")
	bake := taskOf(t, g, swede, "Spread the reserved butter")
	h.field("minutes", bake, "40").save(swede).says("Saved, and planned again.")
	require.Equal(t, 40, taskByID(g, swede, bake).Minutes)

	h.press(swede, bake, "split").shoot("noscript-split")
	second := bake + ".2"
	require.Equal(t, 20, taskByID(g, swede, second).Minutes)
	h.press(swede, bake, "join")
	require.Equal(t, 40, taskByID(g, swede, bake).Minutes)

	prep := "c0.prep"
	h.press(swede, prep, "add").field("name", "h1", "Sharpen the knife").field("minutes", "h1", "7").save(swede)
	require.Equal(t, "Sharpen the knife", taskByID(g, swede, "h1").Name.String())
	h.press(swede, "h1", "earlier")
	require.Equal(t, "h1", g.cooking().Service.Tasks(g.cooking().Recipes, swede)[0].ID)
	h.shoot("noscript-earlier")

	crust := taskOf(t, g, tart, "Rub the butter")
	h.field("after", crust, "B1").save(tart).says("Saved, and planned again.")
	sheet := g.cooking().Sheet
	require.False(t, rowByID(sheet, "0:"+crust).Start.Before(rowByID(sheet, "1:h1").End()), "the crust waits for the knife")
	h.field("after", crust, "77").save(tart).says("Write the numbers of the tasks that come first").shoot("noscript-refused")
	h.field("after", crust, "").save(tart)

	h.press(swede, "h1", "remove").hides("Sharpen the knife")
	h.clickOn(fmt.Sprintf(`document.querySelector("#dish-%d").parentElement.querySelector("button.danger")`, swede), "Drop all corrections")
	h.until("the table as it was read", `!document.querySelector("#dish-`+fmt.Sprint(swede)+`").parentElement.querySelector("button.danger")`)
	require.Nil(t, g.cooking().Service.Dishes[1].Tasks)
	require.Empty(t, kitchen.Check(g.cooking().Plan(), g.cooking().Sheet, x.Sheet.Rows[0].Start.AddDate(0, 0, -3)))
	s.mu.Lock()
	defer s.mu.Unlock()
	require.Empty(t, s.noise, "what browsers complained about")
}

// shoot keeps a picture of the page as it stands.
func (v *visitor) shoot(name string) *visitor { v.picture(name, v.width, false); return v }

// field writes into a field of a task's row.
func (v *visitor) field(what, task, value string) *visitor {
	v.t.Helper()
	v.eval(fmt.Sprintf(`document.getElementsByName(%s)[0].id ||= %s`, quoted(what+"-"+task), quoted(what+"-"+task)))
	return v.write(what+"-"+task, value)
}

// save presses the button under a dish's table.
func (v *visitor) save(dish int64) *visitor {
	v.t.Helper()
	return v.leaves(func() {
		v.clickOn(fmt.Sprintf(`document.querySelector("#dish-%d").parentElement.querySelector(".actions button")`, dish), "Save and plan again")
	})
}

// press unfolds a task's row and presses a button in it.
func (v *visitor) press(dish int64, task, do string) *visitor {
	v.t.Helper()
	row := fmt.Sprintf(`document.getElementById("task-%d-%s")`, dish, task)
	v.clickOn(row+`.querySelector(".task-more summary")`, "More")
	return v.leaves(func() { v.clickOn(row+`.querySelector("[value^='`+do+`:']")`, do) })
}

// taskOf is the last task of a dish whose name holds the words.
func taskOf(t *testing.T, g *galley, dish int64, words string) string {
	id := ""
	for _, k := range g.cooking().Service.Tasks(g.cooking().Recipes, dish) {
		if strings.Contains(k.Name.String(), words) {
			id = k.ID
		}
	}
	require.NotEmpty(t, id, words)
	return id
}

func taskByID(g *galley, dish int64, id string) kitchen.Task {
	for _, k := range g.cooking().Service.Tasks(g.cooking().Recipes, dish) {
		if k.ID == id {
			return k
		}
	}
	return kitchen.Task{}
}

func rowByID(sheet kitchen.RunSheet, id string) kitchen.Row {
	for _, r := range sheet.Rows {
		if r.ID == id {
			return r
		}
	}
	return kitchen.Row{}
}
