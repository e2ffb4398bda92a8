package web_test

import (
	"context"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/store"
)

// A drawing is a challenge whose finalists stand before the draw.
type drawing struct {
	*live
	host   *person
	cohost *person
	with   string // the co-host's address
	slug   string
	own    map[int]string // the entrants' pages by number
	actor  challenge.Actor
}

// newDrawing sends six entries, lets three of them become finalists (Nos. 2, 4
// and 5) and opens the draw, after plan has changed its round.
func newDrawing(t *testing.T, plan func(*challenge.Round)) *drawing {
	l := newLive(t)
	d := &drawing{live: l, host: l.setUp(), own: map[int]string{}}
	d.slug = l.challenge(d.host)
	host, err := l.db.HostByEmail(t.Context(), "hanne@example.org")
	require.NoError(t, err)
	d.actor = challenge.Actor{Role: challenge.Host, ID: host.ID}
	c := d.loaded()
	for _, r := range c.Rounds {
		switch r.Kind {
		case challenge.Pick:
			r.Params.Keep, r.Params.Sealed = 3, false
		case challenge.Draw:
			if plan != nil {
				plan(&r)
			}
		}
		require.NoError(t, l.db.EditRound(t.Context(), d.actor, c.ID, r))
	}
	for i := range 6 {
		d.own[i+1] = l.enter(d.slug, i+1).url.Path
	}
	d.with = l.invite(d.host, d.slug, "cohost", "Ada Quill")
	d.cohost = l.person()
	l.now = time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC)
	d.finalists(2, 4, 5)
	require.NoError(t, l.db.OpenRound(t.Context(), d.actor, c.ID, d.round().ID))
	return d
}

func (d *drawing) loaded() challenge.Challenge {
	c, err := d.db.ChallengeBySlug(context.Background(), d.slug)
	require.NoError(d.t, err)
	return c
}

// round is the challenge's first draw.
func (d *drawing) round() challenge.Round { return d.loaded().Of(challenge.Draw)[0] }

func (d *drawing) finalists(numbers ...int) {
	ctx, c := context.Background(), d.loaded()
	for _, r := range c.Rounds[:2] {
		require.NoError(d.t, d.db.OpenRound(ctx, d.actor, c.ID, r.ID))
		for _, n := range numbers {
			dish, err := d.db.EntryByNumber(ctx, c.ID, n)
			require.NoError(d.t, err)
			choice := store.Choice{Dish: dish, Chosen: true, Reason: "a fine parcel"}
			if r.Kind == challenge.Reading {
				require.NoError(d.t, d.db.MoveByHand(ctx, d.actor, c.ID, r.ID, []store.Choice{choice}))
			} else {
				require.NoError(d.t, d.db.Choose(ctx, d.actor, c.ID, r.ID, choice))
			}
		}
		if r.Kind == challenge.Pick {
			require.NoError(d.t, d.db.SealPick(ctx, d.actor, c.ID, r.ID))
		}
		_, err := d.db.CloseRound(ctx, d.actor, c.ID, r.ID)
		require.NoError(d.t, err)
	}
}

func (d *drawing) desk() string   { return "/host/c/" + d.slug + "/draw/3" }
func (d *drawing) camera() string { return "/host/c/" + d.slug + "/camera/3" }
func (d *drawing) public() string { return "/c/" + d.slug + "/draw/3" }

// rolls types what a die shows on the screen as it is now.
func (d *drawing) rolls(face string) *page {
	d.t.Helper()
	return d.host.get(d.desk()).ok().form("die").set("die", face).send()
}

func (d *drawing) state() store.DrawState {
	s, err := d.db.DrawState(context.Background(), d.round().ID)
	require.NoError(d.t, err)
	return s
}

// Three entries share twenty faces: 1 to 6, 7 to 12, 13 to 18; 19 and 20 mean
// "roll again". Then two share them: 1 to 10 and 11 to 20 (common practice).
func TestDrawByDiceFromRollToRelease(t *testing.T) {
	d := newDrawing(t, func(r *challenge.Round) { r.Params.Places = 2 })
	d.host.get(d.desk()).ok().says("1 to 6", "7 to 12", "13 to 18", "19 to 20", "roll again", "Leaf parcels, way 4", "Next roll: the first place of 2")
	d.rolls("19").ok().says("Recorded.", "roll again")
	d.restart()
	d.rolls("8").ok().says("No. 4", "Next roll: alternate 1 of 1", "1 to 10", "11 to 20")
	d.restart()
	d.rolls("11").ok().says("Every place is filled", "No. 5", "Alternate 1")
	d.restart()
	d.host.get(d.desk()).ok().button("Close the draw").send().ok().says("closed")

	d.now = time.Date(2026, 12, 1, 18, 0, 1, 0, time.UTC)
	d.person().get(d.public()).ok().says("What was drawn", "No. 4", "Leaf parcels, way 4", "Every roll", "roll again", "typed by the host")
	record := d.person().get(d.public() + "/record.json").ok()
	report := draw.Verify([]byte(record.body), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.Equal(t, []int{4, 5}, report.Record.Result)
	require.Len(t, report.Record.Events, 3)
	d.person().get(d.public()+"/protocol").ok().says("Protocol of a draw", "Drawn", "No. 4", "1st alternate", "host typed the roll 19 for place 1")
}

func TestFaceTheDieDoesNotHave(t *testing.T) {
	d := newDrawing(t, nil)
	for _, face := range []string{"21", "0", "-3", "7.5", "", "seven", "99999999999999999999"} {
		refused := d.rolls(face).is(http.StatusUnprocessableEntity).says("This was not saved yet")
		require.Equal(t, face, refused.value("die"), "what was typed is kept")
	}
	d.rolls("21").says("has the faces 1 to 20; it cannot show 21")
	g := d.host.get(d.desk()).ok()
	g.form("die").set("place", "2").send().is(http.StatusUnprocessableEntity)
	d.host.post(d.desk()+"/roll", url.Values{"n": {"1"}, "place": {"1"}, "die": {"3", "4"}}).is(http.StatusUnprocessableEntity).says("one number")
	require.Empty(t, d.state().Events)
}

func TestStaleRollChangesNothing(t *testing.T) {
	d := newDrawing(t, nil)
	old := d.host.get(d.desk()).ok()
	d.rolls("20").ok()
	refused := old.form("die").set("die", "5").send().is(http.StatusConflict).says("Something else was recorded in this draw meanwhile")
	require.Equal(t, "5", refused.value("die"))
	require.Len(t, d.state().Events, 1)
	refused.form("die").send().ok().says("No. 2")
	require.Len(t, d.state().Events, 2)
}

func TestRollSentTwiceIsOneRoll(t *testing.T) {
	d := newDrawing(t, nil)
	form := d.host.get(d.desk()).ok().form("die").set("die", "19")
	form.send().ok()
	form.send().ok()
	require.Len(t, d.state().Events, 1)
}

func TestTwoHostsRollAtOnce(t *testing.T) {
	d := newDrawing(t, nil)
	form := d.host.get(d.desk()).ok().form("die")
	var together sync.WaitGroup
	answers := make([]int, 8)
	for i := range answers {
		values := url.Values{"n": form.values["n"], "place": form.values["place"], "die": {itoa(i + 1)}}
		together.Go(func() {
			res, err := d.host.client.PostForm(d.server.URL+d.desk()+"/roll", values)
			if err == nil {
				answers[i] = res.StatusCode
				res.Body.Close()
			}
		})
	}
	together.Wait()
	won := 0
	for _, status := range answers {
		if status == http.StatusOK {
			won++
		} else {
			require.Equal(t, http.StatusConflict, status)
		}
	}
	require.Equal(t, 1, won, "%v", answers)
	require.Len(t, d.state().Events, 1)
}

func TestCohostConfirmsARoll(t *testing.T) {
	d := newDrawing(t, nil)
	path := d.with + "/draw/3"
	require.NotContains(t, d.cohost.get(path).ok().body, "/roll", "a co-host does not roll")
	d.cohost.post(path+"/roll", url.Values{"n": {"1"}, "place": {"1"}, "die": {"3"}}).is(http.StatusForbidden)
	waiting := d.host.get(d.desk()).ok() // before anything
	d.rolls("19").ok().hides("I saw it")
	confirm := d.cohost.get(path).ok().button("I saw it: it showed 19")
	hostPage := d.host.get(d.desk()).ok()
	confirm.send().ok().says("Confirmed by the co-host").hides("I saw it")
	confirm.send().ok()
	require.Len(t, d.state().Events, 2)
	hostPage.form("die").set("die", "1").send().ok().says("No. 2")
	require.Len(t, d.state().Events, 3, "a roll confirmed meanwhile does not refuse the next roll")
	waiting.form("die").set("die", "1").send().is(http.StatusConflict)
	d.host.post(d.desk()+"/confirm", url.Values{"n": {"4"}, "roll": {"1"}}).is(http.StatusUnprocessableEntity).says("someone other than the person who typed it")
	d.cohost.get(d.with + "/camera/3").is(http.StatusForbidden)
}

func TestDrawIsNotForReaders(t *testing.T) {
	d := newDrawing(t, nil)
	reader := d.invite(d.host, d.slug, "reader", "Rue Patel")
	d.person().get(reader + "/draw/3").is(http.StatusForbidden)
	require.Equal(t, "/login", d.person().get(d.desk()).ok().url.Path)
}

func TestVoidDraw(t *testing.T) {
	d := newDrawing(t, nil)
	d.rolls("3").ok()
	form := d.host.get(d.desk()).ok().form("agree")
	form.set("reason", "").set("agree", "yes").send().is(http.StatusUnprocessableEntity).says("Say in a sentence why", "Type the word “void”")
	kept := form.set("reason", "The die fell off the table.").set("agree", "no").send().is(http.StatusUnprocessableEntity)
	require.Equal(t, "The die fell off the table.", kept.value("reason"))
	form.set("agree", "void").send().ok().says("The draw is void")
	d.host.post(d.desk()+"/roll", url.Values{"n": {"3"}, "place": {"2"}, "die": {"3"}}).is(http.StatusConflict)
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	out, err := d.db.Outcome(t.Context(), d.round().ID)
	require.NoError(t, err)
	require.Len(t, challenge.Through(out), 3, "everyone on the list goes on")
	d.person().get(d.public()).ok().hides("fell off", "declared void")
	d.now = time.Date(2026, 12, 1, 18, 0, 1, 0, time.UTC)
	d.person().get(d.public()).ok().says("declared void", "The die fell off the table.")
	report := draw.Verify([]byte(d.person().get(d.public()+"/record.json").ok().body), draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.True(t, report.Record.Void)
}

func TestSeveralDiceAndThrows(t *testing.T) {
	d := newDrawing(t, func(r *challenge.Round) { r.Params.Faces, r.Params.Places = []int{2}, 1 })
	d.host.get(d.desk()).ok().says("Throw 1 of 2", "1 then 1", "2 then 2")
	d.rolls("1").ok().says("counts together with the next throw", "Throw 2 of 2")
	d.rolls("2").ok().says("No. 4", "Every place is filled")

	d = newDrawing(t, func(r *challenge.Round) { r.Params.Faces, r.Params.Places = []int{10, 10}, 1 })
	d.host.get(d.desk()).ok().says("2 dice with 10, 10 faces", "1, 1 to 4, 3")
	d.host.post(d.desk()+"/roll", url.Values{"n": {"1"}, "place": {"1"}, "die": {"10", "10"}}).ok().says("10, 10", "roll again")
}

// The camera page must be fit to be filmed in every state.
func TestCameraShowsOnlyWhatMayBeFilmed(t *testing.T) {
	d := newDrawing(t, func(r *challenge.Round) { r.Params.Places = 1 })
	quiet := func(g *page) *page {
		g.ok().hides("href=\"/host", "<a ", "quince", "example.net", "example.org", "hanne", "/with/")
		require.NotContains(t, g.body, "type=\"text\"")
		return g
	}
	quiet(d.host.get(d.camera())).says("Stuffed leaves", "1 to 6", "roll again").hides("Leaf parcels")
	quiet(d.host.get(d.camera() + "?titles=1")).hides("Leaf parcels") // nobody has agreed to be filmed
	quiet(d.host.get(d.camera() + "?open=credit")).hides("Leaf parcels")
	d.rolls("9").ok()
	drawn := quiet(d.host.get(d.camera())).says("No. 4", "Open the envelope")
	drawn.button("Open the envelope")
	quiet(d.host.get(d.camera() + "?open=title")).says("stays closed").hides("Leaf parcels")

	c := d.loaded()
	dish, err := d.db.EntryByNumber(t.Context(), c.ID, 4)
	require.NoError(t, err)
	agree := map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true, challenge.Filmed: true}
	entrant := entrantActor(c.ID, dish)
	require.NoError(t, d.db.SetConsents(t.Context(), entrant, agree, "Entrant4 Q.", "the leaf roller"))
	quiet(d.host.get(d.camera() + "?titles=1")).says("Leaf parcels, way 4").hides("way 5")
	quiet(d.host.get(d.camera() + "?open=title")).says("Leaf parcels, way 4").hides("vine leaves")
	quiet(d.host.get(d.camera()+"?open=recipe")).says("vine leaves", "Who sent it?").hides("leaf roller")
	quiet(d.host.get(d.camera()+"?open=credit")).says("chosen not to be named").hides("leaf roller", "Entrant4")
	agree[challenge.Credited] = true
	require.NoError(t, d.db.SetConsents(t.Context(), entrant, agree, "Entrant4 Q.", "the leaf roller"))
	d.host.get(d.camera()+"?open=recipe").ok().hides("leaf roller", "Entrant4")
	d.host.get(d.camera()+"?open=credit").ok().says("Entrant4 Q.", "the leaf roller").hides("quince", "example.net")
}

// Nothing public tells the outcome before its release, and nothing but the
// list is told of who is in the draw.
func TestNothingOfTheDrawIsPublicBeforeItsRelease(t *testing.T) {
	d := newDrawing(t, func(r *challenge.Round) { r.Params.Places = 2 })
	paths := []string{"/", "/c/" + d.slug, d.public(), d.public() + "/record.json", d.public() + "/check", d.public() + "/protocol",
		"/c/" + d.slug + "/ledger", "/c/" + d.slug + "/ledger.json", "/c/" + d.slug + "/ledger/proof?from=3"}
	before := map[string]string{}
	look := func(stage string) {
		for _, path := range paths {
			g := d.person().get(path)
			g.hides("leaf parcels", "quince", "typed by the", "alternate 1", "\"dice\":[8]", "\"result\"", "roster-frozen", "draw-event")
			if path == d.public() {
				// The page is the same whatever was rolled: only the head of the ledger moves on.
				text := head.ReplaceAllString(g.ok().text(), "")
				if before[path] == "" {
					before[path] = text
				}
				require.Equal(t, before[path], text, stage)
				g.says("The list is fixed", "2 4 5", "1 to 6", "roll again", "one alternate behind it")
			}
			if strings.Contains(path, "record.json") || strings.HasSuffix(path, "/check") || strings.HasSuffix(path, "/protocol") {
				g.is(http.StatusConflict).says("published together with its outcome")
			}
		}
	}
	look("opened")
	d.rolls("19").ok()
	look("rolled again")
	d.rolls("8").ok()
	look("one place filled")
	d.rolls("11").ok()
	look("every place filled")
	d.host.get(d.desk()).ok().button("Close the draw").send().ok()
	g := d.person().get(d.public()).ok().says("its outcome is sealed", "Commitment to the outcome", "1 to 6").hides("11 to 20", "leaf parcels", "No. 4 was", "typed by")
	require.NotContains(t, g.body, "record.json")
	for _, path := range paths {
		d.person().get(path).hides("leaf parcels", "quince", "typed by the", "\"dice\":[8]", "\"result\"", "draw-event", "round-closed")
	}
	d.now = time.Date(2026, 12, 1, 17, 59, 59, 0, time.UTC)
	d.person().get(d.public() + "/record.json").is(http.StatusConflict)
	d.now = d.now.Add(time.Second)
	d.person().get(d.public() + "/record.json").ok()
	require.Contains(t, d.person().get("/c/"+d.slug+"/ledger.json").ok().body, "draw-event")
	d.person().get("/c/"+d.slug+"/ledger").ok().says("typed the roll 8", "was sealed: 4, 5")
}

var head = regexp.MustCompile(`Head of the ledger now, signed .*`)
