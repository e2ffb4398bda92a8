package intake

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
)

const plumTart = "Plum tart\n\nServes 6\n\n200 g flour\n100 g butter\n6 plums\n50 g sugar\n\nRub the butter into the flour. Line a tin with it, lay the plums on top, " +
	"sprinkle with the sugar and bake at 180 C for 40 minutes.\n"

// mailOf writes a mail with some headers over a body.
func mailOf(body string, headers ...string) string {
	return "From: Ada Quince <ada@example.org>\nTo: host@example.org\nDate: Mon, 02 Nov 2026 10:00:00 +0100\nMessage-ID: <m1@example.org>\n" +
		"Subject: Plum tart\n" + strings.Join(append(headers, ""), "\n") + "\n" + body
}

func photoBytes() []byte {
	return append([]byte("\xff\xd8\xff\xe0"), bytes.Repeat([]byte{7}, 20<<10)...)
}

func part(boundary, headers, body string) string {
	return "--" + boundary + "\n" + headers + "\n\n" + body + "\n"
}

func base64Of(b []byte) string {
	var out strings.Builder
	s := base64.StdEncoding.EncodeToString(b)
	for len(s) > 0 {
		n := min(76, len(s))
		out.WriteString(s[:n] + "\n")
		s = s[n:]
	}
	return out.String()
}

func zipOf(t testing.TB, files ...string) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(files); i += 2 {
		f, err := z.Create(files[i])
		require.NoError(t, err)
		_, err = f.Write([]byte(files[i+1]))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

func one(t *testing.T, name, data string) Raw {
	t.Helper()
	found := all(name, []byte(data))
	require.Len(t, found, 1)
	wellFormed(t, found[0])
	return found[0]
}

func TestOneMail(t *testing.T) {
	r := one(t, "", mailOf(plumTart))
	require.Equal(t, Entry, r.Verdict)
	require.Equal(t, Sender{"Ada Quince", "ada@example.org"}, r.From)
	require.Equal(t, time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC), r.Date)
	require.Equal(t, "mail:m1@example.org", r.Key)
	require.Equal(t, "Plum tart", r.Title)
	require.Equal(t, strings.TrimRight(plumTart, "\n"), r.Text)
}

func TestWhatAMailIs(t *testing.T) {
	quotedTart := "> " + strings.ReplaceAll(strings.TrimSpace(plumTart), "\n", "\n> ")
	for name, c := range map[string]struct {
		mail string
		want Verdict
		why  Reason
	}{
		"bounce":         {mailOf(plumTart, "X-Failed-Recipients: x@example.org"), Skipped, Bounce},
		"reply by clock": {mailOf(plumTart, "Auto-Submitted: auto-replied"), Skipped, AutoReply},
		"not automatic":  {mailOf(plumTart, "Auto-Submitted: no"), Entry, ""},
		"chat":           {mailOf("When does it close?\n\nAda"), Skipped, NoRecipe},
		"quoted only":    {mailOf("Did you get this?\n\nOn Mon, 2 Nov 2026, Ada Quince wrote:\n" + quotedTart + "\n"), Skipped, OnlyQuoted},
		"original below": {mailOf("Did you get this?\n\n-----Original Message-----\nFrom: Ada\nSent: Monday\nTo: host\nSubject: tart\n\n" + plumTart), Skipped, OnlyQuoted},
		"too long":       {mailOf(strings.Repeat(plumTart, 2000)), Skipped, TooLong},
		"forwarded":      {mailOf("Look!\n\n---------- Forwarded message ---------\nFrom: Ada <ada@example.org>\nDate: today\nSubject: tart\nTo: me\n\n" + plumTart), Entry, Forwarded},
		"reply with own": {mailOf(plumTart + "\nOn Mon, 2 Nov 2026, Host wrote:\n> Send me your recipe\n"), Entry, ""},
		"signature":      {mailOf(plumTart + "-- \nAda Quince\nMill Lane 3\n"), Entry, ""},
	} {
		t.Run(name, func(t *testing.T) {
			r := one(t, "x.eml", c.mail)
			require.Equal(t, c.want, r.Verdict, r.Reasons)
			if c.why != "" {
				require.Contains(t, r.Reasons, c.why)
			}
			require.NotContains(t, r.Text, "Mill Lane")
			require.NotContains(t, r.Text, "Send me your")
		})
	}
}

func TestMailParts(t *testing.T) {
	jpeg := part("b", "Content-Type: image/jpeg; name=tart.jpg\nContent-Transfer-Encoding: base64\nContent-Disposition: attachment; filename=tart.jpg", base64Of(photoBytes()))
	mixed := func(parts ...string) string {
		return mailOf(strings.Join(parts, "")+"--b--\n", "MIME-Version: 1.0", `Content-Type: multipart/mixed; boundary="b"`)
	}
	text := part("b", "Content-Type: text/plain; charset=utf-8", plumTart)

	r := one(t, "x.eml", mixed(text, jpeg))
	require.Equal(t, Entry, r.Verdict)
	require.Len(t, r.Photos, 1)
	require.Equal(t, photoBytes(), r.Photos[0].Data)

	r = one(t, "x.eml", mixed(part("b", "Content-Type: text/plain", "Here is my card."), jpeg))
	require.Equal(t, Doubtful, r.Verdict)
	require.Equal(t, []Reason{Card}, r.Reasons)
	require.Empty(t, r.Text)
	require.Equal(t, "Plum tart", r.Title)

	r = one(t, "x.eml", mixed(part("b", "Content-Type: text/plain", "See the file."),
		part("b", "Content-Type: text/plain; name=tart.txt\nContent-Disposition: attachment; filename=tart.txt", plumTart), jpeg))
	require.Equal(t, Entry, r.Verdict)
	require.Equal(t, "ada@example.org", r.From.Address)
	require.Equal(t, "mail:m1@example.org#attached, 1", r.Key)
	require.Len(t, r.Photos, 1)

	r = one(t, "x.eml", mixed(part("b", "Content-Type: text/plain", "See the file."),
		part("b", "Content-Type: application/pdf; name=tart.pdf\nContent-Disposition: attachment; filename=tart.pdf", "%PDF-1.4 x")))
	require.Equal(t, Skipped, r.Verdict)
	require.Contains(t, r.Reasons, PDF)

	inner := strings.Replace(mailOf(plumTart), "Ada Quince <ada@", "Bo Sorrel <bo@", 1)
	inner = strings.Replace(inner, "m1@", "m2@", 1)
	found := all("x.eml", []byte(mixed(part("b", "Content-Type: text/plain", "They sent it to me."), part("b", "Content-Type: message/rfc822", inner))))
	require.Len(t, found, 2)
	require.Equal(t, Skipped, found[0].Verdict)
	require.Equal(t, Entry, found[1].Verdict)
	require.Equal(t, Sender{"Bo Sorrel", "bo@example.org"}, found[1].From)
}

func TestHTMLMail(t *testing.T) {
	body := "<html><body><h1>Plum tart</h1><ul><li>200&nbsp;g flour<li>100 g butter<li>6 plums</ul><ol><li>Rub the butter into the flour.</li><li>Bake the plums on it for 40 minutes at 180 C.</li></ol>" +
		"<blockquote>what they wrote</blockquote></body></html>"
	r := one(t, "x.eml", mailOf(body, "MIME-Version: 1.0", "Content-Type: text/html; charset=utf-8"))
	require.Equal(t, Entry, r.Verdict)
	require.Contains(t, r.Text, "- 200 g flour\n")
	require.Contains(t, r.Text, "2. Bake the plums")
	require.NotContains(t, r.Text, "they wrote")
}

// RFC 3676, section 4.1: a line that ends in a blank flows on; a quoted line
// does not flow into one of another depth; "-- " is a signature.
func TestUnflow(t *testing.T) {
	for in, want := range map[string]string{
		"one \ntwo\nthree":     "one two\nthree",
		"> one \n> two\nthree": "> one two\nthree",
		">> one \n> two":       ">> one \n> two",
		"one\n-- \nAda":        "one\n-- \nAda",
		"  stuffed":            " stuffed",
		"a\n\nb":               "a\n\nb",
	} {
		require.Equal(t, want, unflow(in, false), in)
	}
	require.Equal(t, "onetwo", unflow("one \ntwo", true))
}

func TestMailbox(t *testing.T) {
	var b strings.Builder
	for i := range 5 {
		body := strings.Replace(plumTart, "Plum", fmt.Sprintf("Plum %d", i), 1) + "\n>From the oven it goes to the table.\nFrom here on it keeps for 2 days.\n"
		b.WriteString("From ada@example.org Mon Nov  2 10:00:00 2026\n" + strings.Replace(mailOf(body), "m1@", fmt.Sprintf("m%d@", i), 1) + "\n")
	}
	found := all("all.mbox", []byte(b.String()))
	require.Len(t, found, 5)
	for i, r := range found {
		require.Equal(t, Entry, r.Verdict)
		require.Equal(t, fmt.Sprintf("mail:m%d@example.org", i), r.Key)
		require.Equal(t, fmt.Sprintf("all.mbox, %d", i+1), r.Where)
		require.Contains(t, r.Text, "\nFrom the oven it goes")
		require.Contains(t, r.Text, "\nFrom here on")
	}
}

func TestTable(t *testing.T) {
	csv := "Timestamp,Your name,Email Address,What is it called?,Ingredients,How to make it\n" +
		"2026-11-02 10:00,Ada Quince,ada@example.org,Plum tart,\"200 g flour\n100 g butter\n6 plums\",\"Rub, lay, and bake at 180 C for 40 minutes.\"\n" +
		"2026-11-03,Bo Sorrel,bo@example.org,Leek pie,200 g flour; 2 leeks; 3 eggs,Bake for 30 minutes at 190 C.\n,,,,,\n"
	var found []Raw
	for r := range All("answers.csv", []byte(csv), Options{Columns: map[string]string{"title": "what is it called?"}}) {
		found = append(found, r)
	}
	require.Len(t, found, 2)
	require.Equal(t, Entry, found[0].Verdict, found[0].Reasons)
	require.Equal(t, "Plum tart", found[0].Title)
	require.Equal(t, Sender{"Ada Quince", "ada@example.org"}, found[0].From)
	require.Equal(t, 10, found[0].Date.Hour())
	b := recipe.Read(found[1].Text)
	require.Len(t, b.Ingredients(), 3)
	require.Equal(t, "Leek pie", b.Title)
	require.Equal(t, NoColumns, one(t, "x.csv", "a,b\n1,2\n").Reasons[0])
	semicolons := "title;text\nPlum tart;\"" + plumTart + "\"\n"
	require.Equal(t, plumTart, one(t, "x.csv", semicolons).Text)
}

func TestDocument(t *testing.T) {
	p := func(props, text string) string {
		return "<w:p><w:pPr>" + props + "</w:pPr><w:r><w:t>" + text + "</w:t></w:r></w:p>"
	}
	list := "<w:numPr><w:numId w:val=\"1\"/></w:numPr>"
	doc := `<?xml version="1.0"?><w:document xmlns:w="http://schemas.openxmlformats.org/wordprocessingml/2006/main"><w:body>` +
		p(`<w:pStyle w:val="Title"/>`, "Plum tart") + p(`<w:pStyle w:val="Heading2"/>`, "Ingredients") + p(list, "200 g flour") +
		"<w:tbl><w:tr><w:tc>" + p("", "100 g") + "</w:tc><w:tc>" + p("", "butter") + "</w:tc></w:tr></w:tbl>" + p(list, "6 plums") +
		"<w:p><w:del><w:r><w:t>7 pears</w:t></w:r></w:del></w:p>" +
		p(`<w:pStyle w:val="Heading2"/>`, "Method") + p("", "Rub the butter into the flour; bake the plums on it at 180 C for 40 minutes.") + "</w:body></w:document>"
	r := one(t, "tart.docx", string(zipOf(t, "word/document.xml", doc, "word/media/image1.jpeg", string(photoBytes()))))
	require.Equal(t, Entry, r.Verdict, r.Text)
	require.Equal(t, "Plum tart", r.Title)
	require.NotContains(t, r.Text, "pears")
	require.Len(t, r.Photos, 1)
	var lines []string
	for _, i := range recipe.Read(r.Text).Ingredients() {
		lines = append(lines, i.Text)
	}
	require.Equal(t, []string{"200 g flour", "100 g butter", "6 plums"}, lines)
	require.Equal(t, Document, all("x", zipOf(t, "word/document.xml", doc))[0].Format)
	require.Equal(t, []Reason{Protected}, one(t, "x.docx", "\xd0\xcf\x11\xe0 sealed").Reasons)
}

func TestMarkedPage(t *testing.T) {
	page := `<html><body><nav>Home</nav><div itemscope itemtype="https://schema.org/Recipe"><h1 itemprop="name">Plum tart</h1>
		<span itemprop="author" itemscope itemtype="https://schema.org/Person"><span itemprop="name">Ada Quince</span></span>
		<meta itemprop="cookTime" content="PT40M"><b itemprop="recipeYield">6 servings</b>
		<ul><li itemprop="recipeIngredient"><b>200</b> g flour</li><li itemprop="recipeIngredient">6 plums</li></ul>
		<div itemprop="recipeInstructions"><p>Make a dough.</p><p>Bake it with the plums.</p></div></div></body></html>`
	r := one(t, "x.html", page)
	require.Equal(t, "Ada Quince", r.From.Name)
	b := recipe.Read(r.Text)
	require.Equal(t, "Plum tart", b.Title)
	require.Len(t, b.Ingredients(), 2)
	require.Equal(t, "200 g flour", b.Ingredients()[0].Text)
	require.Len(t, b.Steps(), 2)
	require.Equal(t, 40.0, b.Times[0].Minutes.Max)
}

func TestLinkedPage(t *testing.T) {
	page := "<!doctype html><html><head><script type=\"application/ld+json\">\n{\"@graph\":[{\"@type\":\"Recipe\",\"name\":\"Plum tart\",\"recipeIngredient\":[\"6 plums\",\"200 g flour\"],\n" +
		"\"recipeInstructions\":\"Make a dough.\n Bake the plums on it for 40 minutes.\"}]};\n</script></head><body>much else</body></html>"
	r := one(t, "x.html", page)
	require.Equal(t, Entry, r.Verdict)
	require.Equal(t, "Plum tart", r.Title)
	require.NotContains(t, r.Text, "much else")
}

func TestTexts(t *testing.T) {
	require.Equal(t, Markdown, one(t, "x.md", plumTart).Format)
	require.Equal(t, plumTart, one(t, "x.txt", strings.ReplaceAll(plumTart, "\n", "\r\n")).Text)
	require.Contains(t, one(t, "x.txt", strings.ReplaceAll(plumTart, "plums", "p\xeaches")).Text, "pêches")
	utf16 := []byte{0xff, 0xfe}
	for _, c := range plumTart {
		utf16 = append(utf16, byte(c), byte(c>>8))
	}
	require.Equal(t, plumTart, one(t, "x.txt", string(utf16)).Text)
	for name, why := range map[string]Reason{"a.pdf\x00%PDF-1.7": PDF, "a.txt\x00 \n": Nothing, "a.doc\x00\xd0\xcf\x11\xe0": OtherKind, "a.exe\x00MZ\x00\x01\x02\x03\x04\x05\x06\x00\x00\x01": OtherKind} {
		file, data, _ := strings.Cut(name, "\x00")
		require.Equal(t, []Reason{why}, one(t, file, data).Reasons, file)
	}
}

func TestArchive(t *testing.T) {
	inner := zipOf(t, "deep.txt", plumTart, "deeper.zip", string(zipOf(t, "x.txt", plumTart)))
	data := zipOf(t, "a.txt", plumTart, "mail/b.eml", mailOf(plumTart), "card.jpg", string(photoBytes()), "../../etc/passwd.txt", plumTart, "C:\\x.txt", plumTart,
		"__MACOSX/._a.txt", "x", ".DS_Store", "x", "in.zip", string(inner), "notes.pdf", "%PDF-1.4")
	got := map[string]string{}
	for _, r := range all("box.zip", data) {
		wellFormed(t, r)
		got[r.Where] = string(r.Verdict)
		for _, why := range r.Reasons {
			got[r.Where] += " " + string(why)
		}
	}
	require.Equal(t, map[string]string{"box.zip: a.txt": "entry", "box.zip: mail/b.eml": "entry", "box.zip: card.jpg": "doubtful card",
		"box.zip: ../../etc/passwd.txt": "skipped bad-path", "box.zip: C:/x.txt": "skipped bad-path", "box.zip: in.zip: deep.txt": "entry",
		"box.zip: in.zip: deeper.zip": "skipped nested", "box.zip: notes.pdf": "skipped pdf"}, got)
}
