package web_test

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge/intake"
)

// upload sends files to the page that brings them in.
func (p *person) upload(path string, fields map[string]string, files ...string) *page {
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for name, v := range fields {
		require.NoError(p.live.t, w.WriteField(name, v))
	}
	for i := 0; i < len(files); i += 2 {
		part, err := w.CreateFormFile("file", files[i])
		require.NoError(p.live.t, err)
		_, err = part.Write([]byte(files[i+1]))
		require.NoError(p.live.t, err)
	}
	require.NoError(p.live.t, w.Close())
	return p.do(http.MethodPost, path, w.FormDataContentType(), &b)
}

// mailFrom is a mail with a recipe, told apart by its number.
func mailFrom(i int) string {
	return fmt.Sprintf("From: Sender%d Rowan <sender%d@example.net>\nMessage-ID: <%d@example.net>\nSubject: My recipe\n\n%s", i, i, i, recipeText(i*7))
}

func zipped(t *testing.T, files ...string) string {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		f, err := z.Create(files[i])
		require.NoError(t, err)
		_, err = f.Write([]byte(files[i+1]))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.String()
}

func jpegOf(t *testing.T) string { return jpegNumber(t, 1) }

// jpegNumber makes pictures that differ.
func jpegNumber(t *testing.T, n uint64) string {
	img := image.NewRGBA(image.Rect(0, 0, 240, 180))
	r := rand.New(rand.NewPCG(n, 2))
	for i := range img.Pix {
		img.Pix[i] = uint8(r.IntN(256))
	}
	img.Set(0, 0, color.White)
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, img, nil))
	return b.String()
}

// make runs the work behind the pages to its end.
func (l *live) make() int {
	n, err := l.site.MakeImported(context.Background(), 10_000)
	require.NoError(l.t, err)
	return n
}

// tickAll ticks every box that is there.
func (g *page) tickAll() *filled {
	f := g.form("item")
	f.values.Del("item")
	walk(g.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && attr(n, "name") == "item" {
			f.values.Add("item", attr(n, "value"))
		}
	})
	return f
}

func TestBringInFilesAndAgree(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	desk := "/host/c/" + slug
	host.get(desk).ok().says("Bring recipes in from mail and files")
	picture := jpegOf(t)
	g := host.upload(desk+"/import", nil, "post.zip", zipped(t, "a.eml", mailFrom(1), "b.eml", mailFrom(2), "away.eml",
		"From: x@example.net\nAuto-Submitted: auto-replied\nSubject: Out of office\n\nBack on Monday", "card.jpg", picture, "bad.jpg", "\xff\xd8\xff"+strings.Repeat("x", 9000), "notes.pdf", "%PDF-1.7"))
	g.ok().says("An automatic reply.", "A picture without text", "No text could be read from this PDF", "Make entries of what is ticked").hides("Rowan", "sender1@")
	require.Empty(t, g.header.Get("Refresh"))
	require.Zero(t, l.make())

	g = g.tickAll().send().ok().says("0 of 4 entries are made", "You can leave this page")
	require.Equal(t, "3", g.header.Get("Refresh"))
	_, err := l.site.MakeImported(context.Background(), 1)
	require.NoError(t, err)
	host.get(g.url.Path).ok().says("1 of 4 entries are made")
	l.restart()
	require.Equal(t, 3, l.make())
	g = host.get(g.url.Path).ok().says("Entries made", "No. 1", "Not made", "bad")
	host.get(desk + "/entries/3").ok().says("card")
	photo := false
	walk(host.get(desk+"/entries/3").doc, func(n *html.Node) { photo = photo || strings.HasPrefix(attr(n, "src"), "/photo/") })
	require.True(t, photo, "the picture of the card came along")

	// The same again brings nothing.
	again := host.upload(desk+"/import", nil, "a.eml", mailFrom(1)).ok().says("It was brought in before.")
	require.NotContains(t, again.body, `name="item"`)
	host.get(desk+"/import").ok().says("Not agreed yet", "have not agreed to take part yet", "No. 1 , No. 2")

	// The sender agrees through the link in the outbox.
	ms, err := l.db.Waiting(context.Background(), 10)
	require.NoError(t, err)
	require.Len(t, ms, 2)
	host.get("/host/outbox").ok().says("entry brought in, to be agreed to")
	own := l.person().get("/entry/"+ms[0].Token).ok().says("Your entry: No. 1", "Leaf parcels, way 7", "This recipe came by mail")
	own.form("consent-considered").set("consent-considered", "1").send().is(422)
	own.form("consent-considered").set("consent-considered", "1").set("consent-of-age", "1").send().ok().says("Saved.")
	host.get(desk + "/import").ok().says("No. 2 , No. 3").hides(desk + "/entries/1\"")

	host.get(g.url.Path).button("Put this import away").send().ok().says("Removed.")
	host.get(desk + "/entries").ok().says("3 recipes take part")
}

func TestPasteAndRefusals(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	path := "/host/c/" + slug + "/import"
	host.upload(path, nil).is(422).says("Choose a file, or paste")
	g := host.upload(path, map[string]string{"text": mailFrom(3)}).ok().says("Leaf parcels, way 21", "Pasted text")
	g.form("item").untick("item").send().is(422).says("Nothing is ticked")
	host.upload(path, map[string]string{"column-text": "What?"}, "x.csv", "Who,What?\nAda,\""+recipeText(4)+"\"\n").ok().says("Leaf parcels, way 4")
	large := host.upload(path, map[string]string{"text": "keep"}, "big.mbox", strings.Repeat("x", 65<<20))
	require.Contains(t, []int{413, 422}, large.status)
	large.says("64 MB")
	host.upload("/c/"+slug+"/enter", nil, "big.jpg", strings.Repeat("x", 15<<20)).is(413)
	for _, way := range []string{"/import", "/import/1", "/export/text"} {
		require.Contains(t, l.person().get("/host/c/"+slug+way).url.Path, "/login", way)
	}
	reader := l.invite(host, slug, "reader", "Ivo")
	l.person().get(reader + "/import").is(403)
	l.person().get(reader + "/export/text").is(403)
}

// What goes out comes back in unchanged, through the pages.
func TestTakeOut(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	for i := range 4 {
		l.enter(slug, i+1)
	}
	for format, name := range map[string]string{"text": "x.zip", "markdown": "x.zip", "table": "x.csv", "linked": "x.jsonld"} {
		g := host.get("/host/c/"+slug+"/export/"+format).ok().hides("Quince", "@example.net")
		require.Contains(t, g.header.Get("Content-Disposition"), "attachment")
		var texts []string
		for r := range intake.All(name, []byte(g.body), intake.Options{}) {
			require.Equal(t, intake.Entry, r.Verdict, format)
			texts = append(texts, r.Text)
		}
		require.Len(t, texts, 4, format)
		if format == "text" || format == "table" {
			require.Equal(t, recipeText(1), strings.TrimRight(texts[0], "\n"))
		}
	}
	host.get("/host/c/" + slug + "/export/nothing").is(404)
}

// Every mail of the corpus goes through the page and no entry comes of it by
// itself; every picture goes through the cleaning, whatever it is.
func TestCorpusThroughThePage(t *testing.T) {
	mails, err := filepath.Glob("../../shared/corpus/mail/*")
	require.NoError(t, err)
	pictures, err := filepath.Glob("../../shared/corpus/images/*")
	require.NoError(t, err)
	if len(mails) == 0 {
		t.Skip("the corpus is not here: ../shared/corpus/mail")
	}
	if testing.Short() || os.Getenv("FAIRLADLE_LONG") == "" {
		pictures = pictures[:12] // all of them take a minute; FAIRLADLE_LONG=1 runs them
	}
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	var files []string
	for _, f := range append(mails, pictures...) {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		name := filepath.Base(f)
		if filepath.Base(filepath.Dir(f)) == "mail" {
			name += ".eml"
		}
		if name != "MANIFEST.tsv" && name != "MANIFEST.tsv.eml" {
			files = append(files, name, string(b))
		}
	}
	g := host.upload("/host/c/"+slug+"/import", nil, "all.zip", zipped(t, files...)).ok()
	g = g.tickAll().send().ok()
	n := l.make()
	require.Greater(t, n, 12)
	host.get(g.url.Path).ok().says("Entries made")
	t.Logf("%d files, %d chosen", len(files)/2, n)
}
