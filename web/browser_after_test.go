package web_test

import (
	"fmt"
	"time"

	"github.com/stretchr/testify/require"
)

// releaseIt moves the clock past the release: the result is there for
// everyone.
func (w *browserWalk) releaseIt() {
	w.moveTo(time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC))
	p, base := w.public, "/c/"+w.slug
	p.open(base).follow("See the results").says("Kale boats", "House dolma", "Kay Q.", "Bright, and gone too soon.", "What a month").hides(append(names, "Judge1")...)
	p.look("results").print("print-results")
	p.open(base+"/recipe/4").says("100 g barley", "Kay Q.").hides(names...).look("recipe").print("print-recipe")
	p.open(base + "/recipe/1").hides(names...).look("recipe-photo")
	p.open(base+"/draw/3").says("Drawn, and released", "14").hides(names...).look("draw-released")
	p.open(base + "/draw/3/protocol").hides(names...).look("protocol").print("print-protocol")
	p.open(base + "/ledger").hides(names...).look("ledger")
	p.open(w.entrants[0]).says("as you sent it").look("own-finalist")
	w.slip = w.person().get(w.entrants[3] + "/slip.json").ok().body
}

// checkTheDraw has the browser work out the draw from its record, and finds
// the drawn entry's slip in it.
func (w *browserWalk) checkTheDraw() {
	p := w.public.open("/c/" + w.slug + "/draw/3/check")
	p.until("the check", `document.querySelectorAll("#check-steps li").length > 3`)
	p.says("Everything that can be checked here holds").look("check")
	p.write("check-kept", w.slip).until("the slip", `document.querySelectorAll("#check-kept-result .holds").length > 0`)
	require.Empty(w.t, evaluated[[]string](p, `[...document.querySelectorAll(".checked .wrong")].map((e) => e.innerText)`))
	p.look("check-slip").write("check-kept", "not a slip").says("This is neither an entry slip nor a head of a ledger").look("check-no-slip")
}

// voteForIt opens the ballot, casts some, and counts them.
func (w *browserWalk) voteForIt() {
	h := w.host.open(w.desk).look("desk-released")
	h.follow("Open “Audience vote”").open(w.desk + "/vote/6").look("vote-host-open")
	for i := range 3 {
		v := w.visitor(390).open("/c/" + w.slug + "/vote/6")
		if i == 0 {
			v.look("ballot")
		}
		v.clickOn(fmt.Sprintf(`document.querySelectorAll(".option")[%d]`, min(i, 1)), "an option").follow("Cast my ballot").says("Your ballot is counted")
		if i == 0 {
			v.look("ballot-cast").open("/c/" + w.slug).look("challenge-voting")
		}
	}
	w.moveTo(time.Date(2026, 12, 5, 9, 0, 0, 0, time.UTC))
	w.public.open("/c/" + w.slug + "/vote/6").look("vote-ended")
	h.open(w.desk + "/vote/6").says("3 ballots have been cast").look("vote-host-ended").follow("Close the vote and count the ballots")
	h.open(w.desk).says("Everything is done and published").look("desk-finished")
	h.open(w.desk + "/results").look("results-host-final")
	w.public.open("/c/"+w.slug+"/results").says("Final result", "3 ballots").look("results-final").print("print-results-final")
	w.public.open("/c/" + w.slug).says("Finished").look("challenge-finished")
}

// goWrong is what people meet who have lost their way.
func (w *browserWalk) goWrong() {
	p := w.public
	p.open("/no/such/page").look("not-found")
	p.open("/entry/not-a-link").look("link-unknown")
	p.open("/host").says("Sign in").look("login")
	p.write("email", "hanne@example.org").write("password", "not the password").follow("Sign in").look("login-refused")
	w.host.open("/host").look("home-finished").follow("Sign out")
	w.host.open(w.desk).says("Sign in")
}
