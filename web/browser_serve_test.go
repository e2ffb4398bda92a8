package web_test

import (
	"fmt"
	"strings"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// rollTheDie draws before the camera, which runs in a tab of its own.
func (w *browserWalk) rollTheDie() {
	h := w.host.open(w.desk).look("desk-pick-closed").follow("Open “Draw”")
	h.open(w.desk+"/draw/3").says("1 to 10", "11 to 20").hides(names...).look("draw")
	w.public.open("/c/" + w.slug + "/draw/3").says("The list is fixed").hides(names...).look("draw-public")
	w.camera = h.another(1280).open(w.desk + "/camera/3").hides(append(names, "Chard", "Kale")...).look("camera")
	h.write("die-0", "14").keys(kb.Enter)
	h.until("the roll", `document.body.innerText.includes("Every place is filled")`)
	h.says("No. 4").look("draw-rolled")
}

// film opens the envelope on the camera page, which has seen the roll by
// itself.
func (w *browserWalk) film() {
	c := w.camera
	c.until("the camera page to follow", `document.body.innerText.includes("Open the envelope")`)
	c.hides(append(names, "Chard", "Kale")...).look("camera-rolled")
	c.follow("Open the envelope").says("Kale boats").hides(names...).look("camera-title")
	c.follow("Read the recipe").says("barley").hides(names...).look("camera-recipe")
	c.follow("Who sent it?").says("Kay Q.").hides(names...).look("camera-credit")
	w.host.follow("Close the draw and write its record").look("desk-drawn")
	w.public.open("/c/" + w.slug + "/draw/3").says("its outcome is sealed").hides(append(names, "Kale")...).look("draw-sealed")
}

const dolmaText = "House dolma of the library\n\n30 cabbage leaves\n250 g bulgur\n1 onion\n\nSimmer the bulgur 15 minutes. Roll. Bake at 190 C for 40 minutes."

// cookIt writes the house dish and what was cooked.
func (w *browserWalk) cookIt() {
	h := w.host.open(w.desk + "/dishes").look("dishes-empty").follow("Write a house dish").look("dish-new")
	h.write("cook", "Hanne Osei").write("text", dolmaText).follow("Show me how it is read").says("250 g bulgur").look("dish-read")
	h.follow("Save this version").says("House dolma of the library").look("dishes")
	h.open(w.desk).follow("Open “Cooking”").open(w.desk+"/cook/4").says("House dolma", "No. 4").hides(names...).look("cook")
	plates := evaluated[[]string](h, `[...document.querySelectorAll("[name=plate]")].map((e) => e.value)`)
	require.Len(w.t, plates, 2)
	for _, id := range plates {
		h.write("cook-"+id, "Hanne Osei").write("kitchen-"+id, "Library kitchen").put("cooked-"+id, "2026-11-18").write("notes-"+id, "More lemon next time.")
		h.leaves(func() {
			h.clickOn(byID("notes-"+id)+`.form.querySelector("button")`, "Save this plate")
		})
	}
	h.open(w.desk + "/cook/4").print("print-cook").follow("Close the cooking").look("desk-cooked")
}

// openTasting invites the judges and prints the two lists.
func (w *browserWalk) openTasting() {
	h := w.host.open(w.desk + "/tasting/5").look("tasting-planned")
	h.open(w.desk + "/people")
	for i := range 3 {
		h.put("role", "judge").write("name", fmt.Sprintf("Judge%d Sorrel", i+1)).follow("Make the link")
		w.judges = append(w.judges, w.newLink())
	}
	early := w.visitor(390).open(w.judges[0]).says("Nothing to taste yet").look("judge-early")
	h.open(w.desk).follow("Open “Tasting”").open(w.desk + "/tasting/5").look("tasting")
	h.open(w.desk + "/tasting/5/kitchen").look("kitchen-codes").print("print-kitchen-codes")
	h.open(w.desk+"/tasting/5/table").hides("House dolma", "Kale").look("table-codes").print("print-table-codes")
	early.open(w.judges[0]).hides(w.secrets()...).look("judge")
}

// secrets are what no judge may find in a page.
func (w *browserWalk) secrets() []string {
	return append([]string{"House dolma", "Kale", "bulgur", "barley", "Hanne", "Judge2"}, names...)
}

// codes are the plates in the order in which a judge tastes them.
func (v *visitor) codes() []string {
	return evaluated[[]string](v, `[...document.querySelectorAll(".plates .plate-code")].map((e) => e.textContent)`)
}

var criteriaInWalk = []string{"taste", "theme", "texture", "look", "idea"}

// judgeByKeyboard fills in both sheets with Tab, arrows, Space and Enter.
func (w *browserWalk) judgeByKeyboard() {
	j := w.visitor(390).open(w.judges[0])
	for i, code := range j.codes() {
		j.leaves(func() {
			j.tabTo(fmt.Sprintf("e.innerText.includes(%q)", code))
			j.keys(kb.Enter)
		}).says(code).hides(w.secrets()...)
		if i == 0 {
			j.look("sheet").follow("Seal this sheet").says("This was not saved yet").look("sheet-refused")
		}
		for _, key := range criteriaInWalk {
			j.tabTo(fmt.Sprintf("e.name === %q", "score-"+key))
			j.keys(" " + strings.Repeat(kb.ArrowRight, 12+2*i))
		}
		if i == 0 {
			j.click("Comment").write("comment-taste", "Bright, and gone too soon.").tick("quote-taste").look("sheet-filled")
		}
		j.tabTo(`e.value === "seal"`)
		j.leaves(func() { j.keys(kb.Enter) })
		if i == 0 {
			j.look("judge-one-sealed")
		}
		j.open(w.judges[0])
	}
	j.says("All your sheets are sealed").look("judge-done")
	j.follow(j.codes()[0]).says("Sealed").hides(w.secrets()...).look("sheet-sealed")
	w.host.open(w.desk + "/tasting/5").hides("gone too soon").look("tasting-short")
}

// judgeOnPhones are the others, by thumb.
func (w *browserWalk) judgeOnPhones() {
	for n, link := range w.judges[1:] {
		j := w.visitor(390).open(link)
		for i, code := range j.codes() {
			j.open(link).follow(code)
			for c, key := range criteriaInWalk {
				j.clickOn(fmt.Sprintf(`document.querySelector('[name="score-%s"][value="%d"]').closest("label")`, key, 5+(n+i*c)%5), key)
			}
			j.follow("Seal this sheet")
		}
		j.open(link).says("All your sheets are sealed")
	}
	w.host.open(w.desk + "/tasting/5").says("all 2 sealed").look("tasting-complete")
}

// tally closes the tasting; until the release nothing of it is public.
func (w *browserWalk) tally() {
	h := w.host.follow("Close the tasting and tally the sheets")
	h.open(w.desk + "/tasting/5").says("gone too soon").look("tasting-closed").print("print-tally")
	h.open(w.desk + "/results").look("results-preview")
	h.write("words", "What a month. **Thank you** to everyone who sent a recipe.").follow("Save").says("Saved")
	h.open(w.desk + "/vote/6").look("vote-planned")
	p := w.public
	for _, path := range []string{"", "/results", "/draw/3", "/draw/3/protocol", "/ledger", "/vote/6", "/recipe/4"} {
		p.open("/c/" + w.slug + path).hides(append([]string{"House dolma", "Kale boats", "gone too soon", "tonight", "What a month"}, names...)...)
	}
	p.open("/c/" + w.slug + "/results").says("Nothing has been released yet").look("results-before")
	p.open("/c/" + w.slug + "/ledger").look("ledger-before")
	p.open("/c/" + w.slug + "/vote/6").look("vote-before")
	p.open("/c/" + w.slug).look("challenge-under-way")
}
