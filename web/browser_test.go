package web_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

// TestBrowserWalk is the whole life of a challenge by people's clicks and keys
// in a real browser: a host at a desk, a co-host and judges on phones,
// entrants and the public. Every state of a page it meets is looked at in
// four ways (see look). FAIRLADLE_ARTEFACTS names a folder for the pictures.
func TestBrowserWalk(t *testing.T) {
	w := &browserWalk{stage: newStage(t)}
	w.host, w.public = w.visitor(1280), w.visitor(390)
	for _, part := range []struct {
		name string
		do   func()
	}{
		{"set up", w.setUpServer}, {"create", w.create}, {"enter", w.enterByForm}, {"enter by keyboard", w.enterByKeyboard}, {"collect", w.collectMore},
		{"entries", w.lookOver}, {"invite", w.inviteCohost}, {"read", w.readByKeyboard}, {"cut", w.cut}, {"pick", w.pickOnPhone},
		{"draw", w.rollTheDie}, {"camera", w.film}, {"cook", w.cookIt}, {"open tasting", w.openTasting}, {"judge by keyboard", w.judgeByKeyboard},
		{"judge", w.judgeOnPhones}, {"tally", w.tally}, {"release", w.releaseIt}, {"check", w.checkTheDraw}, {"vote", w.voteForIt}, {"errors", w.goWrong},
	} {
		began := time.Now()
		part.do()
		t.Logf("%-18s %5.1f s", part.name, time.Since(began).Seconds())
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	require.Empty(t, w.noise, "what browsers complained about")
}

// A browserWalk is a challenge on its way, and what the test knows of it.
type browserWalk struct {
	*stage
	host, public *visitor
	slug, desk   string
	slip         string // the drawn entry's
	entrants     []string
	cohost       *visitor
	camera       *visitor
	judges       []string
	finalists    []int
}

func (w *browserWalk) setUpServer() {
	w.public.open("/").says("not set up yet").look("not-set-up")
	token, err := w.db.SetUpLink(w.t.Context())
	require.NoError(w.t, err)
	h := w.host.open("/setup/" + token).look("setup")
	h.write("site", "Millrace Library").write("name", "Hanne Osei").write("email", "hanne@example.org").write("password", "short")
	h.follow("Set up and sign in").says("This was not saved yet", "works on this computer alone", "At least 10 characters").look("setup-refused")
	require.Equal(w.t, "Millrace Library", h.value("site"), "nothing typed is lost")
	h.write("password", testPassword).tick("trial").follow("Set up and sign in").says("What needs you now", "There is no challenge yet").look("home-empty")
	w.public.open("/").says("Nothing is announced yet").look("front-empty")
}

const brief = "Roll something *green*: vine, chard, cabbage, whatever grows near you.\n\n- One dish, four portions\n- A filling you would defend"

func (w *browserWalk) create() {
	h := w.host.follow("Start a challenge").look("new")
	h.write("title", "Stuffed leaves").write("brief", brief).write("rules", "Anyone may take part.\n\n1. Your own words.\n2. No shop-bought rolls.").put("zone", "Europe/Lisbon")
	h.put("opens_at", "2026-11-02T08:00").put("closes_at", "2026-11-01T20:00").put("release_at", "2026-12-01T18:00")
	h.follow("Save").says("This was not saved yet").look("new-refused")
	require.Equal(w.t, brief, h.value("brief"))
	h.put("closes_at", "2026-11-16T20:00").follow("Save").says("draft", "nobody else can see it").look("desk-draft")
	w.desk = h.path()
	w.slug = strings.TrimPrefix(w.desk, "/host/c/")
	h.click("Rounds").until("the rounds", `location.pathname.endsWith("/rounds")`)
	h.look("rounds").write("keep-1", "5").follow("Save “Reading”").says("Saved")
	h.open(w.desk + "/settings").look("settings")
	h.open(w.desk).follow("Open the challenge").says("The challenge is public now", w.server.URL+"/c/"+w.slug).look("desk-open")
	h.open("/host").look("home-open")
	h.open(w.desk + "/entries").says("No recipe has come in yet").look("entries-empty")
	w.public.open("/").look("front").follow("Stuffed leaves").says("Roll something", "No shop-bought rolls").look("challenge")
}

// recipesTyped are what people paste: metric and US, ranges, sections, a
// missing amount, a typing error, and a name that must not reach a reader.
var recipesTyped = []string{
	"Chard parcels with lentils\n\nserves 4\n\n12 large chard leaves\n150 g brown lentils\n1 onion, finely chopped\n2-3 cloves of garlic\n1 tsp cumin\na handful of parsley\nolive oil\nsalt\n\n" +
		"Boil the lentils for 20 minutes until soft. Fry the onion and garlic in oil for 8 minutes. Mix with cumin and parsley. Blanch the leaves 1 minute, roll the filling in, lay them in a dish. Bake at 180 C for 25 minutes.\n\nLove, Marisol Quince",
	"GRANDMAS CABBAGE ROLLS\n\nFor the rolls:\n1 head white cabbage\n1 lb ground turkey\n1/2 cup rice\n1 egg\nsalt, peper\n\nFor the sauce:\n1 can (14 oz) tomatoes\n2 tbsp butter\n1 tbsp sugar\n\n" +
		"1. Boil cabbage whole 10 min, peel off leaves.\n2. Mix meat, rice, egg.\n3. Roll. Put seam down in pot.\n4. Pour tomatoes over, dot with butter.\n5. Simmer covered 1 1/2 hours on low.",
	"Spinach and feta rolls\n\n300g spinach leaves (big ones)\n200 g feta\n1 lemon\n50 g pine nuts\nblack pepper\n\nWilt the spinach for 30 seconds. Crumble the feta with lemon zest and toasted pine nuts. Roll up, chill for 1 hour, serve cold.",
}

const everyConsent = "consent-considered consent-of-age consent-filmed consent-published consent-credited"

// enterByForm sends entries by mouse and paste, the first with every detour a
// newcomer takes.
func (w *browserWalk) enterByForm() {
	p := w.public.follow("Send a recipe").look("enter")
	p.follow("Send my recipe").says("Paste or type your recipe here", "Give the name you go by", "cannot take part without this").look("enter-refused")
	p.write("text", recipesTyped[0])
	p.run(chromedp.SetUploadFiles(chromedp.CSS("#upload"), []string{w.photoFile()}))
	p.follow("Show me how it is read").says("How it was read", "brown lentils", "180 °C").look("enter-read")
	require.Equal(w.t, recipesTyped[0], p.value("text"))
	p.click("Correct how it was read").look("enter-correct")
	w.fillIn(p, "Marisol Quince", "marisol@example.net")
	p.follow("Send my recipe").says("Your entry: No. 1", "Your entry was received").look("own")
	w.entrants = append(w.entrants, p.path())
	p.follow("Change my recipe").look("own-change").follow("Leave it as it was")
	for i, text := range recipesTyped[1:] {
		e := w.visitor(1280).open("/c/"+w.slug+"/enter").write("text", text)
		w.fillIn(e, fmt.Sprintf("Paster%d Quince", i), fmt.Sprintf("paster%d@example.net", i))
		e.follow("Send my recipe").says(fmt.Sprintf("Your entry: No. %d", i+2))
		w.entrants = append(w.entrants, e.path())
	}
	p.open("/c/"+w.slug+"/link").look("link-again").write("email", "marisol@example.net").follow("Send it").says("If this address has sent an entry here").look("link-again-sent")
}

func (w *browserWalk) fillIn(v *visitor, name, email string) {
	v.write("name", name).write("email", email).write("credit", strings.Replace(name, "Quince", "Q.", 1)).tick(strings.Fields(everyConsent)...)
}

// photoFile is a made-up picture of a plate.
func (w *browserWalk) photoFile() string {
	picture := image.NewRGBA(image.Rect(0, 0, 640, 420))
	for y := range 420 {
		for x := range 640 {
			c := color.RGBA{231, 222, 206, 255}
			if d := (x-320)*(x-320) + (y-210)*(y-210); d < 150*150 {
				c = color.RGBA{uint8(70 + x/8), uint8(110 + y/6), 60, 255}
			} else if d < 180*180 {
				c = color.RGBA{250, 250, 248, 255}
			}
			picture.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	require.NoError(w.t, jpeg.Encode(&b, picture, nil))
	file := filepath.Join(w.t.TempDir(), "plate.jpg")
	require.NoError(w.t, os.WriteFile(file, b.Bytes(), 0o600))
	return file
}

const recipeByKey = "Kale boats\n\n8 kale leaves\n100 g barley\n1 leek\n\nCook the barley for 30 minutes. Fry the leek. Fill the leaves, bake at 200 C for 15 minutes."

// enterByKeyboard sends an entry without a mouse, and the focus goes through
// the form in the order in which it is read.
func (w *browserWalk) enterByKeyboard() {
	v := w.visitor(1280).open("/c/" + w.slug + "/enter")
	stops := v.tabTo(`e.id === "text"`)
	require.Equal(w.t, "Skip to the content", stops[0])
	v.keys(recipeByKey)
	var order []string
	for _, x := range []struct{ id, keys string }{{"name", "Kay Quince"}, {"email", "kay@example.net"}, {"origin-own", ""}, {"consent-considered", " "}, {"consent-of-age", " "},
		{"consent-filmed", " "}, {"consent-published", " "}, {"consent-credited", " "}, {"credit", "Kay Q."}, {"spoken", "kay"}} {
		order = append(order, v.tabTo(fmt.Sprintf("e.id === %q", x.id))...)
		if x.keys != "" {
			v.keys(x.keys)
		}
	}
	order = append(order, v.tabTo(`e.innerText === "Send my recipe"`)...)
	require.Equal(w.t, []string{"upload", "do", "name", "email", "origin", "origin_note", "consent-considered", "consent-of-age", "consent-filmed", "consent-published",
		"consent-credited", "credit", "spoken", "consent-contacted", "do"}, order)
	v.leaves(func() { v.keys(kb.Enter) }).says("Your entry: No. 4", "100 g barley")
	w.entrants = append(w.entrants, v.path())
}

const entriesInWalk = 12

// collectMore seeds the rest through the store, to keep the walk short.
func (w *browserWalk) collectMore() {
	c, err := w.db.ChallengeBySlug(w.t.Context(), w.slug)
	require.NoError(w.t, err)
	yes := map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true, challenge.Published: true, challenge.Credited: true, challenge.Filmed: true}
	for i := len(w.entrants) + 1; i <= entriesInWalk; i++ {
		token, err := w.db.NewToken()
		require.NoError(w.t, err)
		_, private, err := w.db.Submit(w.t.Context(), c.ID, token, challenge.Submission{Name: fmt.Sprintf("Seeded%d Quince", i), Credit: fmt.Sprintf("Seeded%d Q.", i),
			Email: fmt.Sprintf("seeded%d@example.net", i), Text: recipeText(i), Origin: challenge.OriginOwn, Consents: yes}, "", nil)
		require.NoError(w.t, err)
		w.entrants = append(w.entrants, "/entry/"+private)
	}
	w.moveTo(time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC))
	w.public.open("/c/" + w.slug + "/enter").look("enter-closed")
	w.public.open("/c/" + w.slug).look("challenge-closed")
	w.public.open(w.entrants[0]).says("Entries have closed").look("own-closed")
}
