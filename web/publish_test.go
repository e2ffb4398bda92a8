package web_test

import (
	"bytes"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

// published fills in what a host adds to the result page.
func (x *table) published(fields map[string]string) *page {
	x.t.Helper()
	f := x.host.get("/host/c/" + x.slug + "/results").ok().form("words")
	for name, value := range fields {
		f.set(name, value)
	}
	return f.send()
}

func TestVideoAndSponsorWaitForTheRelease(t *testing.T) {
	x := newTable(t, 3, nil)
	x.published(map[string]string{"video_url": "javascript:alert(1)"}).is(http.StatusUnprocessableEntity).says("beginning with https://")
	x.published(map[string]string{"words": "What a month.", "video_url": "https://video.example/watch?v=7", "video_title": "The saffron evening", "sponsor": "Mill & Sons",
		"sponsor_url": "https://mill.example/"}).ok().says("Saved.", "Mill & Sons")
	x.discreet("a video is named")
	x.person().get("/c/" + x.slug + "/still.png").is(http.StatusNotFound)
	x.host.get("/host/c/" + x.slug + "/still.png").ok()
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.now = released
	g := x.person().get("/c/"+x.slug+"/results").ok().says("The saffron evening", "Video on video.example", "Sponsor", "Mill & Sons").hides("<iframe", "<embed", "<video")
	require.Contains(t, g.body, `href="https://video.example/watch?v=7" rel="noopener noreferrer"`)
	require.Contains(t, g.body, `rel="sponsored noopener noreferrer"`)
	require.NotRegexp(t, `(src|srcset)="https?:`, g.body)
	still := x.person().get("/c/" + x.slug + "/still.png").ok()
	im, err := png.Decode(strings.NewReader(still.body))
	require.NoError(t, err)
	require.Equal(t, 1200, im.Bounds().Dx())
}

func TestStillOfOneVideoIsKeptOnce(t *testing.T) {
	x := newVote(t)
	f := x.host.get("/host/c/"+x.slug+"/results").ok().form("words").set("video_url", "https://video.example/").attach("upload", picture(t, 7))
	sum := f.send().ok().value("photo")
	require.Len(t, sum, 64)
	require.Contains(t, x.person().get("/c/"+x.slug+"/results").ok().body, "/photo/"+sum)
	x.person().get("/photo/" + sum).ok()
	x.host.get("/host/c/"+x.slug+"/results").ok().form("words").set("photo_remove", "1").send().ok()
	x.person().get("/photo/" + sum).is(http.StatusNotFound)
}

func TestResultsAsFiles(t *testing.T) {
	x := newTable(t, 3, nil)
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	for _, file := range []string{"entries.csv", "entries.json", "scores.csv", "scores.json"} {
		x.person().get("/c/" + x.slug + "/results/" + file).is(http.StatusNotFound)
	}
	c := x.loaded()
	dish, err := x.db.EntryByNumber(t.Context(), c.ID, 2)
	require.NoError(t, err)
	require.NoError(t, x.db.SetConsents(t.Context(), entrantActor(c.ID, dish), map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}, "", ""))
	dish, err = x.db.EntryByNumber(t.Context(), c.ID, 5)
	require.NoError(t, err)
	require.NoError(t, x.db.SetConsents(t.Context(), entrantActor(c.ID, dish),
		map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true, challenge.Credited: true}, "=cmd|calc", ""))
	x.now = released
	p := x.person()
	rows, err := csv.NewReader(strings.NewReader(p.get("/c/"+x.slug+"/results/entries.csv").ok().hides("quince", "@example").body)).ReadAll()
	require.NoError(t, err)
	byNumber := map[string][]string{}
	for _, r := range rows[1:] {
		byNumber[r[0]] = r
	}
	require.Equal(t, []string{"2", "Leaf parcels, way 2", "", "", "true", "false", "", ""}, byNumber["2"], "withheld: no credit, no recipe")
	require.Equal(t, "'=cmd|calc", byNumber["5"][2], "a credit is no formula")
	require.Equal(t, []string{"4", "Leaf parcels, way 4", "Entrant4 Q.", x.server.URL + "/c/" + x.slug + "/recipe/4", "true", "true", "", ""}, byNumber["4"])
	var scores struct {
		Challenge string
		Rows      []struct {
			Title    string
			Place    int
			Score    float64
			Criteria []struct {
				Name string
				Mean float64
			}
		}
	}
	require.NoError(t, json.Unmarshal([]byte(p.get("/c/"+x.slug+"/results/scores.json").ok().body), &scores))
	require.Equal(t, "Stuffed leaves", scores.Challenge)
	require.Len(t, scores.Rows, 2)
	require.Equal(t, 1, scores.Rows[0].Place)
	require.InDelta(t, 25.0/3, scores.Rows[0].Score, 1e-9) // (9 + 8 + 8) / 3
	require.Len(t, scores.Rows[0].Criteria, 5)
	p.get("/c/" + x.slug + "/results/sheets.csv").is(http.StatusNotFound)
	p.get("/c/" + x.slug + "/results/entries.xml").is(http.StatusNotFound)
}

func TestAnnouncementsObeyTheRelease(t *testing.T) {
	x := newTable(t, 3, nil)
	x.published(map[string]string{"words": "The *bay* one surprised us."}).ok()
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	page := "/host/c/" + x.slug + "/announcements"
	x.host.get(page).ok().says("Stuffed leaves", "Nothing has been released yet").hides("came first", "way 4", "surprised")
	x.host.get(page + "/results.md").is(http.StatusNotFound)
	x.host.get(page+"?ahead=1").ok().says("not before the release", "came first")
	require.Contains(t, x.host.get(page+"/call.html").ok().body, "<p>Roll something <em>green</em>.</p>")
	x.now = released
	md := x.host.get(page+"/results.md").ok().hides("quince", "@example").body
	require.Contains(t, md, "[Leaf parcels, way 4](<"+x.server.URL+"/c/"+x.slug+"/recipe/4>) (No. 4, by Entrant4 Q.)")
	require.Contains(t, md, "The *bay* one surprised us.")
	require.Contains(t, x.host.get(page+"/results.html").ok().body, "<p>The <em>bay</em> one surprised us.</p>")
	txt := x.host.get(page + "/results.txt").ok().body
	require.Contains(t, txt, "How it was drawn, and how to check it: "+x.server.URL+"/c/"+x.slug+"/draw/3")
	require.NotContains(t, txt, "<")
	x.host.get(page).ok().says("what everyone can see by now", "came first")
	x.host.get(page + "/results.doc").is(http.StatusNotFound)
	x.person().get(page).says("Sign in")
}

// Who did not reach the final is scored for the host alone, unless the host
// opens every score.
func TestScoresOfTheFinalistsOnly(t *testing.T) {
	x := newTable(t, 3, nil)
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.now = released
	c := x.loaded()
	results, err := x.db.Results(t.Context(), c)
	require.NoError(t, err)
	require.Len(t, results.Verdicts[0].Places, 2)
	x.unpick(4)
	results, err = x.db.Results(t.Context(), c)
	require.NoError(t, err)
	require.Len(t, results.Verdicts[0].Places, 1, "the house dish alone")
	x.published(map[string]string{"open_scores": "1"}).ok()
	results, err = x.db.Results(t.Context(), c)
	require.NoError(t, err)
	require.Len(t, results.Verdicts[0].Places, 2)
}

// A result page reads well whatever is missing.
func TestResultPageOfAnEmptyChallenge(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	l.person().get("/c/"+slug+"/results").ok().says("Nothing has been released yet", "Results are shown from")
	l.now = time.Date(2026, 12, 2, 9, 0, 0, 0, time.UTC)
	l.person().get("/c/" + slug + "/results").ok().says("no recipe was sent").hides("Results are shown from")
	host.get("/host/c/" + slug + "/announcements").ok().says("Entries closed")
}

func picture(t *testing.T, shade uint8) []byte {
	t.Helper()
	im := image.NewRGBA(image.Rect(0, 0, 320, 200))
	draw.Draw(im, im.Bounds(), image.NewUniform(color.RGBA{shade, 90, 60, 255}), image.Point{}, draw.Src)
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, im))
	return b.Bytes()
}

// unpick has it that an entry was tasted without being a finalist, as where
// plates of others are served too.
func (x *table) unpick(number int) {
	x.t.Helper()
	file, err := sql.Open("sqlite", "file:"+x.file)
	require.NoError(x.t, err)
	defer file.Close()
	res, err := file.Exec(`UPDATE round_out SET through = 0 WHERE round_id = ? AND dish_id = (SELECT dish_id FROM entry WHERE number = ?)`,
		x.loaded().Of(challenge.Pick)[0].ID, number)
	require.NoError(x.t, err)
	n, err := res.RowsAffected()
	require.NoError(x.t, err)
	require.EqualValues(x.t, 1, n)
}

// A void draw and a tasting without enough judges leave a page that says so.
func TestResultPageWithoutDrawAndVerdict(t *testing.T) {
	x := &table{drawing: newDrawing(t, nil)}
	x.releaseAt(released)
	x.host.get(x.drawing.desk()).ok().form("agree").set("reason", "The die fell off the table.").set("agree", "void").send().ok()
	x.host.get(x.drawing.desk()).ok().button("Close the draw").send().ok()
	x.now = released
	g := x.person().get("/c/"+x.slug+"/results").ok().says("declared void", "Finalists", "What happened, and its record").hides("Check the draw", "Its author keeps")
	require.Contains(t, g.body, `href="/c/`+x.slug+`/draw/3"`)
	require.Contains(t, x.host.get("/host/c/"+x.slug+"/announcements/results.txt").ok().body, "The draw was declared void.")

	x = newTable(t, 3, nil)
	scored(x.sheet(0, x.code(false)), "8", "Seal this sheet").ok()
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	x.now = released
	x.person().get("/c/"+x.slug+"/results").ok().says("Verdict", "Drawn").hides("came first", "Final result")
	rows := x.person().get("/c/" + x.slug + "/results/scores.csv").ok().body
	require.NotContains(t, rows, ",1,8.0000", "no place without a verdict")
}
