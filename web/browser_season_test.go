package web_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

// TestBrowserSeason is a newcomer's way from an empty folder to a published
// season of two challenges, by clicks: short challenges of a reading and a
// vote, so that what comes around them is seen. With pictures at two widths,
// light and dark, it is the script to look through:
//
//	FAIRLADLE_BROWSER=required FAIRLADLE_ARTEFACTS=/tmp/season go test -run TestBrowserSeason ./web
func TestBrowserSeason(t *testing.T) {
	w := &seasonWalk{browserWalk: &browserWalk{stage: newStage(t)}}
	w.only = "season-" // the other pages are looked at by TestBrowserWalk
	w.host, w.public = w.visitor(1280), w.visitor(390)
	for _, part := range []struct {
		name string
		do   func()
	}{
		{"set up", w.setUpServer}, {"create", w.create}, {"shorten", w.shorten}, {"enter", w.enterByForm}, {"read", w.readAll}, {"vote", w.voteAll},
		{"publish", w.publish}, {"announce", w.announce}, {"prize", w.givePrize}, {"theme", w.voteOnTheme}, {"next", w.startNext}, {"second", w.runSecond},
		{"season", w.showSeason}, {"archive", w.searchArchive}, {"mine", w.findOwn},
	} {
		began := time.Now()
		part.do()
		t.Logf("%-10s %5.1f s", part.name, time.Since(began).Seconds())
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	require.Empty(t, w.noise, "what browsers complained about")
}

// A seasonWalk is a first challenge and the one after it.
type seasonWalk struct {
	*browserWalk
	second string // address of the second challenge
}

// shorten takes rounds out of the plan and promises a prize.
func (w *seasonWalk) shorten() {
	h := w.host
	for range 4 {
		h.open(w.desk + "/rounds")
		h.leaves(func() {
			h.clickOn(`document.querySelector('button[formaction$="/rounds/2/remove"]')`, "Leave this round out")
		})
	}
	h.open(w.desk + "/rounds").look("season-rounds")
	h.open(w.desk+"/settings").tick("prize").write("reason", "A neighbour gives a knife.").follow("Save").says("Saved")
}

// readAll is the host reading alone, and the cut.
func (w *seasonWalk) readAll() {
	w.moveTo(time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC))
	h := w.host.open(w.desk).follow("Open “Reading”")
	h.open(w.desk + "/reading/1").follow("Start reading")
	for step := 0; h.at("/reading/1/"); step++ {
		require.Less(w.t, step, 6, "the desk does not come to an end")
		h.leaves(func() { h.shortcut("k") })
	}
	h.open(w.desk + "/reading/1/cut").follow("Close the reading and fix the shortlist")
	h.open(w.desk + "/results").says("This is how the page will look").look("season-results-preview")
	h.open(w.desk + "/announcements").says("Nothing has been released yet").look("season-announcements-before")
	h.follow("Prepare the text of what is not released yet").says("not before the release").look("season-announcements-ahead")
	w.public.open("/c/"+w.slug+"/results").hides("Chard parcels", "feta").look("season-results-before")
}

// voteAll is the audience's, until the final result stands.
func (w *seasonWalk) voteAll() {
	w.moveTo(time.Date(2026, 12, 1, 18, 0, 0, 0, time.UTC))
	w.host.open(w.desk).follow("Open “Audience vote”")
	for i := range 3 {
		v := w.visitor(390).open("/c/" + w.slug + "/vote/2")
		option := fmt.Sprintf(`[...document.querySelectorAll(".option")].find((e) => e.innerText.includes(%q))`, []string{"Chard", "Chard", "feta"}[i])
		v.clickOn(option, "an option").follow("Cast my ballot").says("Your ballot is counted")
	}
	w.moveTo(time.Date(2026, 12, 5, 9, 0, 0, 0, time.UTC))
	w.host.open(w.desk + "/vote/2").follow("Close the vote and count the ballots")
	w.host.open(w.desk).says("The next challenge can be started from this one").look("season-desk-finished")
}

// publish adds words, a video and a sponsor.
func (w *seasonWalk) publish() {
	h := w.host.open(w.desk + "/results")
	h.write("words", "What a month. **Thank you** to everyone.").write("video_url", "javascript:alert(1)").follow("Save").says("beginning with https://").look("season-results-refused")
	h.write("video_url", "https://video.example/watch?v=7").write("video_title", "The evening of the rolls").write("sponsor", "Weir Mill Flour").write("sponsor_url", "https://mill.example/")
	h.follow("Save").says("Saved").look("season-results-host")
	w.public.open("/c/"+w.slug+"/results").says("Final result", "The evening of the rolls", "Sponsor", "Chard parcels", "As files").hides(names...).look("season-results").print("print-season-results")
}

func (w *seasonWalk) announce() {
	h := w.host.open(w.desk + "/announcements").look("season-announcements")
	h.eval(`Object.defineProperty(navigator, "clipboard", { value: { writeText: (s) => { window.copied = s; return Promise.resolve(); } } })`)
	h.clickOn(`document.querySelector('[data-copy="announce-results-md"]')`, "Copy")
	h.until("the copy", `(window.copied || "").includes("# Results: Stuffed leaves")`)
	h.says("Copied")
}

// givePrize offers, accepts, and sends.
func (w *seasonWalk) givePrize() {
	h := w.host.open(w.desk + "/prize").look("season-prize")
	h.write("what", "A bread knife, engraved").clickOn(`document.querySelector('[name="turn"][value="final"]').closest("label")`, "the final result")
	h.follow("Offer the prize").says("No. 1", "waits in the outbox").look("season-prize-offered")
	p := w.public.open(w.entrants[0]).says("A prize for you").look("season-own-prize")
	p.follow("Accept the prize").says("Where it is sent to").look("season-own-accepted")
	p.write("address", "Marisol Quince\n1 Mill Lane\nLisbon").clickOn(`document.querySelector('[name="do"][value="address"]')`, "Save")
	h.until("the address", `fetch(location.href).then((r) => r.text()).then((s) => s.includes("Show the address"))`)
	h.open(w.desk + "/prize").follow("Show the address").says("1 Mill Lane").look("season-prize-address")
	h.follow("It is sent").says("The address is deleted").hides("Mill Lane").look("season-prize-sent")
}

// voteOnTheme puts three themes to the vote.
func (w *seasonWalk) voteOnTheme() {
	h := w.host.open(w.desk + "/next").look("season-next")
	h.write("themes", "Pickled: anything that has spent a week in brine\nUnder a crust\nFried once: and only once").follow("Open the vote on the theme").says("The vote on the theme is open").look("season-next-voting")
	for i := range 2 {
		v := w.visitor(390).open("/c/" + w.slug + "/theme")
		if i == 0 {
			v.look("season-theme")
		}
		v.clickOn(`[...document.querySelectorAll(".option")].find((e) => e.innerText.includes("crust"))`, "a theme").follow("Cast my ballot").says("Your ballot is counted")
		if i == 0 {
			v.look("season-theme-cast")
		}
	}
	w.public.open("/c/" + w.slug).says("What comes next?").look("season-challenge-theme")
	w.moveTo(time.Date(2026, 12, 13, 9, 0, 0, 0, time.UTC))
	w.public.open("/c/"+w.slug+"/theme").says("The vote has ended", "2 ballots").look("season-theme-ended")
}

// startNext begins the second challenge, and the season with it.
func (w *seasonWalk) startNext() {
	h := w.host.open(w.desk + "/next").look("season-next-voted")
	require.Equal(w.t, "Under a crust", h.value("title"))
	h.put("release_at", "2026-12-02T18:00").follow("Start the next challenge").says("only after entries have closed").look("season-next-refused")
	require.Equal(w.t, "Under a crust", h.value("title"), "nothing typed is lost")
	h.put("release_at", "2027-01-01T18:00").write("brief", "Anything with a lid you can eat.").put("opens_at", "2026-12-13T08:00").write("new_season", "A winter of lids").follow("Start the next challenge").says("nobody else can see it").look("season-second-draft")
	w.second = strings.TrimPrefix(h.path(), "/host/c/")
	h.follow("Open the challenge").says("The challenge is public now")
	w.public.open("/season/a-winter-of-lids").says("Stuffed leaves", "Under a crust").look("season-begun")
}

// runSecond takes the second challenge to its end; that a newcomer can do so
// by clicks is seen on the first.
func (w *seasonWalk) runSecond() {
	c, err := w.db.ChallengeBySlug(w.t.Context(), w.second)
	require.NoError(w.t, err)
	yes := map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true, challenge.Published: true, challenge.Credited: true}
	for i, x := range []struct{ name, credit, email, title string }{
		{"Marisol Quince", "Marisol Q.", "Marisol@example.net", "Leek pie"}, {"Kay Quince", "Kay Q.", "kay@example.net", "Pot pie with beans"}, {"Ann Quince", "", "ann@example.net", "Cobbler"}} {
		given := yes
		if x.credit == "" {
			given = map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}
		}
		_, _, err := w.db.Submit(w.t.Context(), c.ID, "", challenge.Submission{Name: x.name, Credit: x.credit, Email: x.email, Origin: challenge.OriginOwn, Consents: given,
			Text: fmt.Sprintf("%s\n\n%d g flour\n100 g butter\n\nBake at 190 C for 40 minutes.", x.title, 200+i)}, "", nil)
		require.NoError(w.t, err)
	}
	w.moveTo(c.ClosesAt.Add(time.Hour))
	h := w.host.open("/host/c/" + w.second).follow("Open “Reading”")
	h.open("/host/c/" + w.second + "/reading/1").follow("Start reading")
	for h.at("/reading/1/") {
		h.leaves(func() { h.shortcut("k") })
	}
	h.open("/host/c/" + w.second + "/reading/1/cut").follow("Close the reading and fix the shortlist")
	w.moveTo(c.ReleaseAt)
	h.open("/host/c/" + w.second).follow("Open “Audience vote”")
	w.visitor(390).open("/c/"+w.second+"/vote/2").clickOn(`[...document.querySelectorAll(".option")].find((e) => e.innerText.includes("Leek"))`, "an option").follow("Cast my ballot")
	w.moveTo(c.ReleaseAt.Add(73 * time.Hour))
	h.open("/host/c/" + w.second + "/vote/2").follow("Close the vote and count the ballots")
	w.public.open("/c/"+w.second+"/results").says("Final result", "Leek pie").hides("Ann").look("season-second-results")
}

// showSeason sets the points and looks at the standings.
func (w *seasonWalk) showSeason() {
	h := w.host.open("/host").look("season-home").follow("A winter of lids").look("season-host")
	h.write("places", "6, 10").follow("Save").says("cannot give more points").look("season-host-refused")
	h.write("places", "10, 6, 4").write("about", "Two evenings, **one winter**.").follow("Save").says("Saved")
	p := w.public.open("/season/a-winter-of-lids").says("After 2 challenges", "Marisol Q.", "No. 3 of “Under a crust”").hides(append([]string{"Ann"}, names...)...)
	require.Contains(w.t, evaluated[string](p, `document.querySelector(".standings li").innerText`), "Marisol Q.", "the same address written otherwise is the same person")
	p.click("How points are given").look("season-standings").print("print-season")
	p.open("/").says("A winter of lids").look("season-front")
}

func (w *seasonWalk) searchArchive() {
	p := w.public.open("/archive").says("Stuffed leaves", "Under a crust").look("season-archive")
	p.write("q", "crust").follow("Search").says("Under a crust").look("season-archive-found")
	p.write("q", "lentils").follow("Search").says("Chard parcels with lentils").look("season-archive-recipe")
	p.write("q", "zzz").follow("Search").says("No published recipe").look("season-archive-none")
}

// findOwn is an entrant's page of everything sent, by the link in a message.
func (w *seasonWalk) findOwn() {
	p := w.public.open("/mine").look("season-mine-ask").write("email", "MARISOL@example.net").follow("Send it").says("on the way").look("season-mine-asked")
	token := ""
	require.Eventually(w.t, func() bool {
		waiting, err := w.db.Waiting(w.t.Context(), 200)
		require.NoError(w.t, err)
		for _, m := range waiting {
			if m.Kind == "own-entries" {
				token = m.Token
			}
		}
		return token != ""
	}, 10*time.Second, 50*time.Millisecond)
	p.open("/mine/"+token).says("Leek pie", "Chard parcels", "Place 1 of the final result").look("season-mine").follow("Open this entry").says("Your entry")
}
