package web_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge/ledger"
)

// reading is a challenge whose entries are in and whose reading is planned.
type reading struct {
	*live
	host     *person
	slug     string
	desk     string
	entrants []*page
}

func newReading(t *testing.T, entries int) *reading {
	x := &reading{live: newLive(t)}
	x.host = x.setUp()
	x.slug = x.challenge(x.host)
	x.desk = "/host/c/" + x.slug
	for i := 1; i <= entries; i++ {
		x.entrants = append(x.entrants, x.enter(x.slug, i))
	}
	_, err := x.db.RunJobs(t.Context())
	require.NoError(t, err)
	x.now = time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	return x
}

func (x *reading) open() { x.host.get(x.desk).ok().button("Open “Reading”").send().ok() }

func TestReadingIsSharedOutOverHTTP(t *testing.T) {
	x := newReading(t, 8)
	form := x.host.get(x.desk + "/rounds").ok().form("per_entry")
	form.set("per_entry", "21").send().is(http.StatusUnprocessableEntity).says("1 to 20")
	form.set("per_entry", "1").set("keep", "3").set("cut", "plain").send().ok()
	x.host.get(x.desk + "/reading/1/cut").is(http.StatusConflict)
	x.host.post(x.desk+"/rounds/1/open", nil).is(http.StatusConflict).says("has no reader yet")
	first, second := x.invite(x.host, x.slug, "reader", "Ada Reed"), x.invite(x.host, x.slug, "reader", "Ben Reed")
	x.open()
	seen := map[string]string{}
	for _, base := range []string{first, second} {
		who := x.person()
		start := who.get(base + "/reading/1").ok().hides(append(names, "Ada Reed", "Ben Reed")...).says("0 of 4 marked")
		g := who.get(start.link("Start reading")).ok().says("At the stove", "From start to plate")
		for strings.HasPrefix(g.url.Path, base+"/reading/1/") {
			seen[fmt.Sprint(number(g))] = base
			g = g.hides(names...).form("mark").set("mark", "maybe").send().ok()
		}
		g.says("You have marked all of them")
	}
	require.Len(t, seen, 8)
	for n, base := range seen {
		other := map[string]string{first: second, second: first}[base]
		x.person().get(other + "/reading/1/" + n).is(http.StatusNotFound)
		x.person().post(other+"/reading/1/"+n, map[string][]string{"mark": {"keep"}}).is(http.StatusNotFound)
	}
	x.host.get(x.desk+"/reading/1").ok().says("Ada Reed", "Ben Reed", "No recipe was given to you")
	x.host.get(x.desk+"/reading/1/cut").ok().hides(names...).says("8 with one reading", "8 recipes have marks")
}

func TestFlagSkipAndConflictOnTheDesk(t *testing.T) {
	x := newReading(t, 4)
	base := x.invite(x.host, x.slug, "reader", "Ada Reed")
	x.open()
	who := x.person()
	first := who.get(who.get(base + "/reading/1").ok().link("Start reading")).ok()
	flagged := number(first)
	first.button("Flag").send().ok()
	who.get(base+"/reading/1").ok().says("To come back to", "flagged")
	var skip string
	walk(first.doc, func(n *html.Node) {
		if attr(n, "data-key") == "n" {
			skip = attr(n, "href")
		}
	})
	second := who.get(skip).ok()
	second.form("mark").set("mark", "sideways").send().is(http.StatusUnprocessableEntity)
	second.form("reason").send().is(http.StatusUnprocessableEntity).says("Say in a few words")
	second.form("reason").set("reason", "My neighbour's.").send().ok().says("You do not judge this recipe any more", "0 of 3 marked")
	who.get(second.url.Path).is(http.StatusNotFound)
	g := who.get(first.url.Path).ok()
	require.Equal(t, flagged, number(g))
	g.button("Take the flag off").send().ok()
	who.get(base + "/reading/1").ok().hides("To come back to")
}

func TestVetoQuestionAndAnswerStayBlind(t *testing.T) {
	x := newReading(t, 3)
	entry := x.desk + "/entries/2"
	x.host.get(entry).ok().hides(names...).form("question").set("question", "").send().is(http.StatusUnprocessableEntity)
	x.host.get(entry).ok().form("question").set("question", "How hot is the oven?").send().ok().says("No answer yet").hides(names...)
	x.host.get("/host/outbox").ok().says("question to an entrant", "goes out by the mail server only").hides(names...)
	for id := range 5 {
		x.host.get(fmt.Sprintf("/host/outbox/%d.eml", id+1)).hides("entrant2", "example.net")
	}
	own := x.person().get(x.entrants[1].url.Path).ok().says("How hot is the oven?")
	own.form("answer").set("answer", "").send().is(http.StatusUnprocessableEntity)
	own.form("answer").set("answer", "Quite hot, says Entrant2 Quince2").send().ok().says("Quite hot")
	x.host.get(entry).ok().says("Quite hot").hides(names...)
	x.host.get(x.desk+"/questions").ok().says("No. 2", "Quite hot").hides(names...)
	x.person().get(x.entrants[0].url.Path).ok().hides("Quite hot", "How hot")

	reader := x.invite(x.host, x.slug, "reader", "Ada Reed")
	x.open()
	x.person().get(reader + "/reading/1/2").ok().says("Quite hot").hides(names...)

	x.host.get(entry).ok().form("cause").send().is(http.StatusUnprocessableEntity).says("Choose one of the causes")
	x.host.get(entry).ok().form("cause").set("cause", "safety").set("reason", "Raw beans.").send().ok().says("This entry takes no part", "Raw beans.")
	x.person().get(x.entrants[1].url.Path).ok().says("could make somebody ill").hides("Raw beans")
	x.person().get(reader + "/reading/1/2").is(http.StatusNotFound)
	x.person().get("/c/"+x.slug+"/ledger").ok().hides("Raw beans", "taken out")
	x.now = x.now.Add(time.Minute)
	x.host.get(entry).ok().form("lifted").set("lifted", "They are tinned.").send().ok().hides("This entry takes no part.")
	x.person().get(x.entrants[1].url.Path).ok().hides("could make somebody ill")
	x.person().get(reader + "/reading/1/2").ok()
}

func TestAlikeEntriesSideBySide(t *testing.T) {
	x := newReading(t, 2)
	x.host.get(x.desk+"/entries/alike").ok().hides(names...).says("No. 1", "No. 2", "in 100 alike")
	beside := x.host.get(x.desk+"/entries/1/beside/2").ok().hides(names...).says("In both", "rice")
	beside.form("do").set("do", "both").send().is(http.StatusUnprocessableEntity)
	beside.form("do").set("do", "both").set("reason", "Two ways of one dish.").send().ok().says("Two ways of one dish.")
	beside.form("do").set("do", "second").set("cause", "duplicate").set("reason", "Sent twice.").send().ok().says("Sent twice.")
	x.person().get(x.entrants[1].url.Path).ok().says("reached us twice")
}

func TestPickSideBySideWithADeadline(t *testing.T) {
	x := newReading(t, 4)
	cohost := x.invite(x.host, x.slug, "cohost", "Lior Adeyemi")
	x.invite(x.host, x.slug, "cohost", "Stand Inn")
	x.shortlistAll(4)
	x.host.get(x.desk).ok().button("Open “Pick of the finalists”").send().ok()
	plan := x.host.get(x.desk + "/pick/2").ok().form("due_at")
	plan.set("due_at", "2026-11-01T10:00").send().is(http.StatusUnprocessableEntity).says("lie in the future")
	plan.set("due_at", "2026-11-20T10:00").send().ok().says("To be made until Fri 20 Nov 2026, 10:00")
	who := x.person()
	who.get(cohost+"/pick/2").ok().hides(names...).says("most like No.", "To be made until", "at the stove,").hides("Deadline and stand-in")
	pair := who.get(cohost+"/pick/2/compare?a=2&b=4").ok().hides(names...).says("No. 2", "No. 4", "At the stove")
	pair.button("Hold back").send().ok().says("No. 2", "No. 4")
	who.get(cohost + "/pick/2").ok().says("Held back")
	x.host.get(x.desk + "/pick/2").ok().hides("Held back")
	who.post(cohost+"/pick/2/plan", nil).is(http.StatusForbidden)
	reader := x.invite(x.host, x.slug, "reader", "Ada Reed")
	x.person().get(reader + "/pick/2/compare").is(http.StatusForbidden)
}

func (x *reading) dishID(n int) string {
	c, err := x.db.ChallengeBySlug(x.t.Context(), x.slug)
	require.NoError(x.t, err)
	id, err := x.db.EntryByNumber(x.t.Context(), c.ID, n)
	require.NoError(x.t, err)
	return fmt.Sprint(id)
}

func TestAPickIsSealedWithASentenceForEachFinalist(t *testing.T) {
	x := newReading(t, 4)
	cohost := x.invite(x.host, x.slug, "cohost", "Lior Adeyemi")
	x.shortlistAll(4)
	x.host.get(x.desk).ok().button("Open “Pick of the finalists”").send().ok()
	who := x.person()
	who.get(cohost+"/pick/2/2").ok().form("reason").set("do", "choose").send().ok()
	who.get(cohost+"/pick/2/4").ok().form("reason").set("do", "choose").set("reason", "Smoke and lemon.").send().ok()
	list := who.get(cohost+"/pick/2").ok().says("Its sentence is still missing", "Smoke and lemon.")
	refused := list.button("Seal my pick").send().is(http.StatusUnprocessableEntity).says("Say in one sentence why it is a finalist")
	refused.form("reason-"+x.dishID(2)).set("reason-"+x.dishID(4), "Smoke, lemon, patience.").send().is(http.StatusUnprocessableEntity)
	who.get(cohost + "/pick/2").ok().says("Smoke, lemon, patience.").hides("sealed already")
	who.get(cohost+"/pick/2").ok().form("reason-"+x.dishID(2)).set("reason-"+x.dishID(2), "Crunch.").send().ok().says("Nobody can change it now")
	x.host.get(x.desk+"/pick/2").ok().hides("Crunch", "Smoke")
}

// shortlistAll reads nothing and moves every entry on to the shortlist by hand.
func (x *reading) shortlistAll(entries int) {
	x.open()
	cut := x.host.get(x.desk + "/reading/1/cut").ok().form("on-" + x.dishID(1))
	for i := 1; i <= entries; i++ {
		cut.set("on-"+x.dishID(i), "1").set("reason-"+x.dishID(i), "All of them.")
	}
	cut.send().ok().button("Close the reading and fix the shortlist").send().ok()
}

func TestARoundWithCriteriaAsksEachAndRanksByTheirWeight(t *testing.T) {
	x := newReading(t, 3)
	form := x.host.get(x.desk+"/rounds").ok().form("per_entry").set("keep", "1")
	form.set("criteria", "Taste 11").send().is(http.StatusUnprocessableEntity).says("a whole weight from 1 to 10", "Taste 11")
	form.set("criteria", "Answer to the theme × 3\nIdea\n\n").send().ok().says("Answer to the theme 3", "Idea 1")
	x.open()
	g := x.host.get(x.desk+"/reading/1/1").ok().says("Answer to the theme ×3", "Idea ×1", "weak", "strong")
	g.form("answer-0").set("answer-0", "2").set("mark", "answers").set("note", "Leafy.").send().is(http.StatusUnprocessableEntity).says("Answer each of the questions")
	for n, answers := range map[int][2]string{1: {"2", "0"}, 2: {"1", "2"}, 3: {"2", "1"}} {
		f := x.host.get(fmt.Sprintf("%s/reading/1/%d", x.desk, n)).ok().form("answer-0").set("mark", "answers").set("note", "Leafy.")
		f.set("answer-0", answers[0]).set("answer-1", answers[1]).send().ok()
	}
	kept := x.host.get(x.desk + "/reading/1/3").ok().form("answer-1")
	require.Equal(t, []string{"2", "1", "Leafy."}, []string{kept.values.Get("answer-0"), kept.values.Get("answer-1"), kept.values.Get("note")})
	cut := x.host.get(x.desk+"/reading/1/cut").ok().says("1.75", "1.50", "1.25", "(Answer to the theme ×3 and Idea ×1)")
	cut.button("Close the reading and fix the shortlist").send().ok()
	c, err := x.db.ChallengeBySlug(t.Context(), x.slug)
	require.NoError(t, err)
	out, err := x.db.Outcome(t.Context(), c.Rounds[0].ID)
	require.NoError(t, err)
	require.Equal(t, x.dishID(3), fmt.Sprint(out[0].Dish))
}

func TestADrawDecidesTheLastPlaces(t *testing.T) {
	x := newReading(t, 4)
	cohost := x.invite(x.host, x.slug, "cohost", "Lior Adeyemi")
	x.host.get(x.desk+"/rounds").ok().form("per_entry").set("keep", "2").set("at_cut", "draw").send().ok()
	x.open()
	for n, mark := range map[string]string{"1": "keep", "2": "maybe", "3": "maybe", "4": "maybe"} {
		x.host.get(x.desk+"/reading/1/"+n).ok().form("mark").set("mark", mark).send().ok()
	}
	level := x.desk + "/level/1"
	x.host.get(level).is(http.StatusNotFound)
	cut := x.host.get(x.desk+"/reading/1/cut").ok().says("Level where the places end: 3; places left: 1", "a die decides which of them come in: 1")
	cut.button("Close the reading and fix the shortlist").send().ok().says("The last places, drawn with a die", "No. 2", "No. 4").hides("Declare", "No. 1 ")
	x.host.post(x.desk+"/reading/1/2", map[string][]string{"mark": {"keep"}}).is(http.StatusConflict)
	x.host.get(x.desk + "/reading/1/cut").ok().says("Go to the draw").hides("Save what I moved by hand")
	x.person().get(cohost + "/level/1").ok().hides(names...)
	for range 3 {
		g := x.host.get(level).ok()
		if !strings.Contains(g.text(), "What the die shows") {
			break
		}
		g.form("die").set("die", "2").send().ok()
	}
	x.host.get(level).ok().button("Close the reading and fix the shortlist").send().ok()
	x.host.get(x.desk + "/reading/1/cut").ok().says("On the shortlist: 2; places: 2")
	x.host.post(x.desk+"/rounds/1/reopen", map[string][]string{"reopen_reason": {"Again."}}).is(http.StatusConflict).says("a draw is never repeated")
	c, err := x.db.ChallengeBySlug(t.Context(), x.slug)
	require.NoError(t, err)
	found, err := x.db.CheckLedger(t.Context(), c.ID)
	require.NoError(t, err)
	for _, f := range found {
		require.Equal(t, ledger.Holds, f.State, f.Detail)
	}
	x.person().get("/c/" + x.slug + "/draw/1").is(http.StatusNotFound)
	x.now = time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	x.person().get("/c/" + x.slug + "/draw/1").ok().says("On the shortlist").hides(names...)
}

func TestOneScreenSetsAReadingUpAndSaysWhatItMeans(t *testing.T) {
	x := newReading(t, 8)
	start := x.desk + "/reading/1"
	x.host.get(x.desk).ok().link("Reading")
	x.host.get(start).ok().says("Who reads", "You, the host", "The one reader has 8 recipes.", "Open “Reading”")
	ada := x.invite(x.host, x.slug, "reader", "Ada Reed")
	x.invite(x.host, x.slug, "reader", "Ben Reed")
	x.host.get(start).ok().says("Ada Reed", "Each of the 3 readers has 8 recipes.")
	form := x.host.get(start).ok().form("per_entry").set("back", "1").set("per_entry", "1").set("cut", "calibrated")
	form.send().ok().says("Each of the 2 readers has 4 recipes.", "share no recipe, so their marks cannot be compared", "at least three readers overlap")
	x.host.get(start).ok().form("per_entry").set("back", "1").set("per_entry", "2").set("cut", "plain").send().ok().
		says("Each of the 2 readers has 8 recipes.", "Every two readers share 8 recipes").button("Open “Reading”").send().ok()
	x.host.get(start).ok().says("Every two readers share 8 recipes")
	who := x.person()
	who.get(ada+"/reading/1").ok().hides("Every two readers", "Ben Reed")
	g := who.get(who.get(ada + "/reading/1").ok().link("Start reading")).ok()
	for range 8 {
		x.now = x.now.Add(40 * time.Second)
		g = g.form("mark").set("mark", "maybe").send().ok()
	}
	x.host.get(start + "/cut").ok().says("8 with one reading")
}

func TestWhatEntrantsAreToldCanBeChanged(t *testing.T) {
	x := newReading(t, 2)
	words := x.desk + "/words"
	form := x.host.get(words).ok().form("told-late")
	require.Contains(t, form.values.Get("told-late"), "takes no more entries")
	form.set("told-late", strings.Repeat("x", 2001)).send().is(http.StatusUnprocessableEntity).says("too long")
	form.set("told-late", "The pot is full. Next month there is another.").set("told-withdrawn", "You took it back, and it is gone from the pile.").
		set("told-copied", "We know these words from a book.").send().ok()
	x.person().get("/c/" + x.slug + "/enter").is(http.StatusConflict).says("The pot is full.")
	x.host.get(x.desk+"/entries/2").ok().says("We know these words from a book.").form("cause").set("cause", "copied").set("reason", "Page 12.").send().ok()
	x.person().get(x.entrants[1].url.Path).ok().says("We know these words from a book.").hides("Page 12")
	x.person().get(x.entrants[0].url.Path).ok().form("number").set("number", "1").send().ok().says("gone from the pile")
}

func TestReadersSeeWhatARecipeCostsWhereThereIsAPriceList(t *testing.T) {
	x := newReading(t, 2)
	x.open()
	x.host.get(x.desk + "/reading/1/1").ok().hides("<dt>Ingredients</dt>")
	prices := x.host.get("/host").ok().link("What food costs")
	form := x.host.get(prices).ok().form("prices").set("currency", "€")
	form.set("prices", "rice 2 per wish").send().is(http.StatusUnprocessableEntity).says("Line 1 cannot be read")
	form.set("prices", "lemon 0.50\nolive oil 8 per l\nrice 0.80 per cup").send().ok()
	x.host.get(x.desk+"/reading/1/1").ok().says("Ingredients about € 1.94", "without vine leaves")
	x.person().get("/host/prices").hides("olive oil")
}
