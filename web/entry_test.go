package web_test

import (
	"bytes"
	"image"
	"image/png"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestEntrySeesHowItIsReadThenIsReceived(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	e := l.person()
	form := e.get("/c/"+slug+"/enter").ok().form("text").set("text", recipeText(3)).set("name", "Ilse Brandt")
	read := form.set("do", "read").send().ok().says("How it was read", "1 1/2 cups", "180 °C", "12 min", "28 min")
	require.Equal(t, "Ilse Brandt", read.value("name"), "nothing typed is lost")
	own := read.form("text").set("email", "ilse@example.org").set("consent-considered", "1").set("consent-of-age", "1").
		set("do", "send").send().ok().says("Your entry: No. 1", "Your entry was received", "vine leaves")
	slip := e.get(own.url.Path + "/slip.json").ok()
	require.Equal(t, "application/json", slip.header.Get("Content-Type"))
	require.Contains(t, slip.body, `"entry":1`)
	require.Equal(t, "no-store", own.header.Get("Cache-Control"))
	require.Equal(t, "no-referrer", own.header.Get("Referrer-Policy"))
}

func TestFormSentTwiceIsOneEntry(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	form := l.person().get("/c/"+slug+"/enter").ok().form("text").set("text", recipeText(1)).set("name", "A").set("email", "a@example.org").
		set("consent-considered", "1").set("consent-of-age", "1").set("do", "send")
	first, second := form.send().ok(), form.send().ok()
	require.Equal(t, first.url.Path, second.url.Path)
	c, err := l.db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	require.Equal(t, 1, c.Entries)
}

func TestOneEntryTooMany(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	l.enter(slug, 1)
	again := l.person().get("/c/"+slug+"/enter").ok().form("text").set("text", recipeText(2)).set("name", "B").set("email", "Entrant1+more@example.net").
		set("consent-considered", "1").set("consent-of-age", "1").set("do", "send").send().is(http.StatusUnprocessableEntity)
	again.says("Entries from this address: 1 of 1")
	require.Equal(t, recipeText(2), again.value("text"))
}

func TestEmptyFormNamesEveryField(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	l.person().get("/c/"+slug+"/enter").ok().form("text").set("do", "send").send().is(http.StatusUnprocessableEntity).
		says("Paste or type your recipe here", "Give the name you go by", "Give your e-mail address", "An entry cannot take part without this")
}

func TestWhatIsNoPhotoIsRefusedAndNothingIsLost(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	form := func() *filled {
		return l.person().get("/c/"+slug+"/enter").ok().form("text").set("text", recipeText(5)).set("name", "C").set("email", "c@example.org").
			set("consent-considered", "1").set("consent-of-age", "1").set("do", "send")
	}
	refused := form().attach("upload", []byte("%PDF-1.7 a document")).send().is(http.StatusUnprocessableEntity).says("save it as JPEG")
	require.Equal(t, recipeText(5), refused.value("text"))

	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewRGBA(image.Rect(0, 0, 40, 30))))
	kept := form().attach("upload", b.Bytes()).set("email", "wrong").send().is(http.StatusUnprocessableEntity)
	sum := kept.value("photo")
	require.NotEmpty(t, sum, "a good photo survives a refused form")
	kept.form("text").set("email", "c@example.org").set("do", "send").send().ok().says("Your entry: No. 1")
	photo := l.person().get("/photo/" + sum).ok()
	require.Equal(t, "image/jpeg", photo.header.Get("Content-Type"))
}

func TestTwentyMegabytePaste(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	form := l.person().get("/c/"+slug+"/enter").ok().form("text").set("text", strings.Repeat("pepper ", 3_000_000)).set("do", "send")
	form.send().is(http.StatusRequestEntityTooLarge).says("your browser keeps what you typed")
	form.set("text", strings.Repeat("a", 300_000)).send().is(http.StatusUnprocessableEntity).says("longer than any recipe")
}

func TestClosedChallengeTakesNothing(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	form := l.person().get("/c/"+slug+"/enter").ok().form("text").set("text", recipeText(1)).set("name", "D").set("email", "d@example.org").
		set("consent-considered", "1").set("consent-of-age", "1").set("do", "send")
	own := l.enter(slug, 2)
	change := own.person.get(own.url.Path+"/change").ok().form("text").set("text", recipeText(9)).set("do", "send")
	l.now = time.Date(2026, 11, 16, 20, 0, 0, 0, time.UTC)
	late := form.send().is(http.StatusConflict).says("has closed and takes no more entries")
	require.Equal(t, recipeText(1), late.value("text"), "what was typed is still there to copy")
	change.send().is(http.StatusConflict).says("has closed")
	l.person().get("/c/" + slug + "/enter").is(http.StatusConflict)
	own.person.get(own.url.Path).ok().says("way 2", "can no longer be changed")
}

func TestChangeKeepsVersionsAndRefusesAStalePage(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	own := l.enter(slug, 1)
	tab1 := own.person.get(own.url.Path + "/change").ok().form("text")
	tab2 := own.person.get(own.url.Path + "/change").ok().form("text")
	tab1.set("text", recipeText(11)).set("do", "send").send().ok().says("version 2", "way 11")
	stale := tab2.set("text", recipeText(12)).set("do", "send").send().is(http.StatusConflict).says("changed elsewhere")
	require.Equal(t, recipeText(12), stale.value("text"))
	own.person.get(own.url.Path).ok().says("way 11")
}

func TestCorrectionLiesOverTheReading(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	own := l.enter(slug, 1)
	form := own.person.get(own.url.Path + "/change").ok().form("text")
	for name := range form.values {
		if strings.HasPrefix(name, "fix-ingredient.name-") && form.values.Get(name) == "vine leaves" {
			form.set(name, "cabbage leaves")
		}
	}
	form.set("do", "send").send().ok().says("cabbage leaves", "21 vine leaves")
}

func TestConsentsChangeAndWithdrawal(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1)
	own.form("consent-credited").untick("consent-credited").send().ok().says("Saved")
	own.person.get(own.url.Path).form("consent-considered").untick("consent-considered").send().is(http.StatusUnprocessableEntity).says("Withdraw my entry")
	g := own.person.get(own.url.Path).ok()
	g.form("number").set("number", "7").send().is(http.StatusUnprocessableEntity).says("Type the number of your entry, 1")
	g.form("number").set("number", "1").send().ok().says("This entry is withdrawn")
	host.get("/host/c/" + slug + "/entries").ok().says("withdrawn")
}

func TestForeignAndUsedLinks(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	own := l.enter(slug, 1)
	token := strings.TrimPrefix(own.url.Path, "/entry/")
	l.person().get("/with/judge/" + token).is(http.StatusNotFound).says("This link is not valid")
	l.person().get("/entry/AAAAAAAAAAAAAAAAAAAAAA").is(http.StatusNotFound)
	l.person().get("/entry/nonsense").is(http.StatusNotFound)

	reader := l.invite(host, slug, "reader", "Ravi")
	people := host.get("/host/c/" + slug + "/people").ok()
	people.button("Make a new link for Ravi").send().ok()
	l.person().get(reader).is(http.StatusGone).says("has been withdrawn")
	l.person().get("/host").ok().says("Sign in")
	l.person().post("/host/c/"+slug+"/announce", url.Values{}).is(http.StatusForbidden)
}

func TestLinkAgainAnswersAlike(t *testing.T) {
	l := newLive(t)
	slug := l.challenge(l.setUp())
	l.enter(slug, 1)
	ask := func(email string) *page {
		return l.person().get("/c/"+slug+"/link").ok().form("email").set("email", email).send().ok()
	}
	known, unknown := ask("ENTRANT1@example.net"), ask("stranger@example.net")
	require.Equal(t, known.body, unknown.body)
	none, err := l.db.Waiting(t.Context(), 10)
	require.NoError(t, err)
	require.Empty(t, none, "nothing that would take longer for a known address is done before the answer")
	_, err = l.db.RunJobs(t.Context())
	require.NoError(t, err)
	waiting, err := l.db.Waiting(t.Context(), 10)
	require.NoError(t, err)
	require.Len(t, waiting, 1)
	l.person().get("/entry/" + waiting[0].Token).ok().says("Your entry: No. 1")
}

// TestEveryRecipeOfTheCorpus sends real texts by many authors through the
// form: each is accepted, kept as it was, and read.
func TestEveryRecipeOfTheCorpus(t *testing.T) {
	files, err := filepath.Glob("../../shared/corpus/recipes/*/*")
	require.NoError(t, err)
	if len(files) == 0 {
		t.Skip("the corpus of real recipes is not beside this checkout")
	}
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	c, err := l.db.ChallengeBySlug(t.Context(), slug)
	require.NoError(t, err)
	sent := 0
	for _, f := range files {
		if strings.HasPrefix(filepath.Base(f), "_") {
			continue
		}
		raw, err := os.ReadFile(f)
		require.NoError(t, err)
		sent++
		own := l.person().get("/c/"+slug+"/enter").ok().form("text").set("text", string(raw)).set("name", "Z").
			set("email", "z"+itoa(sent)+"@example.org").set("consent-considered", "1").set("consent-of-age", "1").set("do", "send").send()
		require.Equal(t, http.StatusOK, own.status, "%s: %s", f, own.text())
		dish, err := l.db.EntryByNumber(t.Context(), c.ID, sent)
		require.NoError(t, err)
		got, err := l.db.OwnEntry(t.Context(), entrantActor(c.ID, dish))
		require.NoError(t, err)
		require.Equal(t, strings.ReplaceAll(string(raw), "\r\n", "\n"), got.Recipe.Text, f)
		require.NotEmpty(t, got.Recipe.Reading.Title, f)
		if len(got.Recipe.Reading.Ingredients()) == 0 {
			require.NotEmpty(t, got.Recipe.Reading.Findings, "%s: no ingredients and nothing said about it", f)
		}
	}
	require.Greater(t, sent, 200)
}

// A class that pastes behind one address uses up readings, never sends.
func TestReadingsWhileTypingDoNotUseUpSends(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	l.config.EntriesPerMinute = 2
	l.restart()
	draft, p := url.Values{"text": {recipeText(1)}}, l.person()
	read := func() *page { return p.post("/c/"+slug+"/read", draft) }
	for range 10 {
		read().ok().says("How it was read")
	}
	read().is(http.StatusTooManyRequests)
	l.enter(slug, 1)
}
