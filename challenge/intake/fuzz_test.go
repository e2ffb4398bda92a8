package intake

import (
	"archive/zip"
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// run reads a file in full and checks what comes out. A quarter of a million
// bytes may take five seconds under the fuzzer, which is far more than any
// needs: it is there to find what is not linear.
func run(t testing.TB, name string, data []byte) {
	began := time.Now()
	n := 0
	for r := range All(name, data, Options{}) {
		wellFormed(t, r)
		n++
	}
	require.LessOrEqual(t, n, maxRaws+1)
	require.Less(t, time.Since(began), 5*time.Second)
}

// seed adds files of the corpus, read where they lie, besides our own.
func seed(f *testing.F, pattern string, every int, own ...string) {
	for _, s := range own {
		f.Add([]byte(s))
	}
	files, _ := filepath.Glob(filepath.Join(corpusRoot, pattern))
	for i, name := range files {
		if b, err := os.ReadFile(name); err == nil && i%every == 0 && len(b) < 64<<10 {
			f.Add(b)
		}
	}
}

func FuzzMail(f *testing.F) {
	seed(f, "mail/*", 1, mailOf(plumTart), mailOf(plumTart, "Content-Type: text/plain; format=flowed"), "From: \n\n", "\n",
		mailOf("<p>6 plums\x00 2 eggs</p>", "Content-Type: text/html"))
	f.Fuzz(func(t *testing.T, data []byte) { run(t, "x.eml", data) })
}

func FuzzMailbox(f *testing.F) {
	seed(f, "mail/*", 9, "From a Mon Nov  2 10:00:00 2026\n"+mailOf(plumTart)+"\nFrom b Mon Nov  2 10:00:00 2026\nX: y\n\nz\n")
	f.Fuzz(func(t *testing.T, data []byte) { run(t, "x.mbox", data) })
}

func FuzzPage(f *testing.F) {
	seed(f, "jsonld/*/*.html", 1, "<ol><li>a<li>b</ol>", "<div itemscope itemtype=Recipe><p itemprop=name>x", "<pre>a\n b</pre>", "<title>x")
	f.Fuzz(func(t *testing.T, data []byte) { run(t, "x.html", data) })
}

func FuzzLinked(f *testing.F) {
	seed(f, "jsonld/*/*.jsonld", 1, `{"@type":"Recipe"}`, `[{"@graph":[]}]`, `{"@type":"Recipe","recipeIngredient":[[1,{}]]};`)
	f.Fuzz(func(t *testing.T, data []byte) { run(t, "x.json", data) })
}

func FuzzTable(f *testing.F) {
	seed(f, "none", 1, "title,text\na,b\n", "text\n\"\"\"\n", "ingredients;method\n1;2;3\n", "text\t\n'=x\t")
	f.Fuzz(func(t *testing.T, data []byte) { run(t, "x.csv", data) })
}

// FuzzDocument writes the bytes as the text of a document, and as a whole file.
func FuzzDocument(f *testing.F) {
	seed(f, "none", 1, "<w:p><w:t>6 plums</w:t></w:p>", "<a><b></a>", "<p><pStyle val='Heading1'/><t>x</t></p>", "<!DOCTYPE x [<!ENTITY a 'b'>]><t>&a;</t>")
	f.Fuzz(func(t *testing.T, data []byte) {
		run(t, "x.docx", zipOf(t, "word/document.xml", string(data)))
		run(t, "x.docx", data)
	})
}

func FuzzArchive(f *testing.F) {
	f.Add(zipOf(f, "a.txt", plumTart, "../b.txt", "x"))
	f.Add(zipOf(f, "a.zip", string(zipOf(f, "b.zip", string(zipOf(f, "c.txt", "x"))))))
	f.Fuzz(func(t *testing.T, data []byte) { run(t, "x.zip", data) })
}

// FuzzAny lets the reader find out what a file is.
func FuzzAny(f *testing.F) {
	seed(f, "recipes/*/*", 10, plumTart, "\xff\xfea\x00", "GIF89a", "PK\x03\x04", "%PDF-", "{\"@type\"")
	f.Fuzz(func(t *testing.T, data []byte) { run(t, "", data) })
}

// Hostile files cost little time, whatever their kind.
func TestHostileFiles(t *testing.T) {
	many := func(s string, n int) string { return strings.Repeat(s, n) }
	var deep strings.Builder
	deep.WriteString("From: a@example.org\nTo: b@example.org\n")
	for i := range 3000 {
		fmt.Fprintf(&deep, "Content-Type: multipart/mixed; boundary=b%d\n\n--b%d\n", i, i)
	}
	bomb := func(name string) string {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, err := z.Create(name)
		require.NoError(t, err)
		chunk := make([]byte, 1<<20)
		for range 64 {
			_, err = w.Write(chunk)
			require.NoError(t, err)
		}
		require.NoError(t, z.Close())
		return b.String()
	}
	var files []string
	for i := range 6000 {
		files = append(files, fmt.Sprintf("%d.txt", i), "x")
	}
	for name, c := range map[string]struct{ file, data string }{
		"parts in parts":    {"x.eml", deep.String()},
		"empty parts":       {"x.eml", mailOf(many("--b\n\n\n", 100_000), "Content-Type: multipart/mixed; boundary=b")},
		"some empty parts":  {"x.eml", mailOf(many("--b\n\n\n", 1_900), "Content-Type: multipart/mixed; boundary=b")},
		"long header":       {"x.eml", "From: " + many("a", 1<<20) + "\nSubject: x\n\nx"},
		"addresses":         {"x.eml", "From: " + many("a@example.org,", 1<<14) + "\nSubject: x\n\nx"},
		"encoded words":     {"x.eml", "Subject: " + many("=?utf-8?q?=41?= ", 10_000) + "\nFrom: a@example.org\n\nx"},
		"quotes":            {"x.eml", mailOf(many(">", 1<<20) + "\n" + many("> \n", 1<<18))},
		"wrote lines":       {"x.eml", mailOf(many("On a long day somebody wrote:\n", 20_000))},
		"mailbox of none":   {"x.mbox", many("From a 10:00 2026\nX:\n\n", 20_000)},
		"open elements":     {"x.html", "<div itemscope itemtype=Recipe>" + many("<b>", 400_000)},
		"formatting":        {"x.html", "<p itemtype=Recipe>" + many("<b><i><a href=x>", 100) + many("<p>x</b></i>", 50_000)},
		"attributes":        {"x.html", "<div " + many("a=b ", 200_000) + ">"},
		"entities":          {"x.html", many("&amp;", 400_000)},
		"json depth":        {"x.json", many("[", 1<<20)},
		"json wide":         {"x.json", "[" + many(`{"@type":"Recipe"},`, 50_000) + "1]"},
		"cells":             {"x.csv", "text,title\n" + many(",", 1<<20)},
		"open quote":        {"x.csv", "text,title\n\"" + many("a\n", 1<<20)},
		"rows":              {"x.csv", "text\n" + many("2 eggs\n", 200_000)},
		"document bomb":     {"x.docx", bomb("word/document.xml")},
		"archive bomb":      {"x.zip", bomb("a.txt")},
		"many files":        {"x.zip", string(zipOf(t, files...))},
		"one line":          {"x.txt", many("1 cup ", 100_000)},
		"control letters":   {"x.txt", many("\x01\x02", 1<<18)},
		"picture too large": {"x.jpg", "\xff\xd8\xff" + many("x", 13<<20)},
	} {
		t.Run(name, func(t *testing.T) {
			began := time.Now()
			run(t, c.file, []byte(c.data))
			t.Logf("%v for %d KB", time.Since(began).Round(time.Millisecond), len(c.data)>>10)
		})
	}
}
