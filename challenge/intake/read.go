package intake

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"iter"
	"strings"
	"unicode/utf8"
)

// Options are what the host says about files that do not say it themselves.
type Options struct {
	// Columns names the heading of the column that holds a role of a table:
	// "text", "title", "ingredients", "method", "name", "email", "date",
	// "yield". Roles that are missing are found by their usual headings.
	Columns map[string]string
	// PDF gives the text of a PDF; nil: PDFs are skipped. It must come back from
	// whatever it is given, in bounded time.
	PDF func(data []byte) (string, error)
}

// All reads one file: a mail or a mailbox, a page, a table, a document, a
// picture, a text, or an archive of these. It yields one raw entry at a time,
// so that no more than one is in memory; data must stay unchanged meanwhile.
func All(name string, data []byte, o Options) iter.Seq[Raw] {
	return func(yield func(Raw) bool) {
		in := &intake{options: o, left: maxTotal, yield: yield}
		in.file(shortName(name), data, 0)
	}
}

// AllMail reads one mail, whatever its name is.
func AllMail(where string, data []byte, o Options) iter.Seq[Raw] {
	return func(yield func(Raw) bool) {
		in := &intake{options: o, left: maxTotal, yield: yield}
		if why := guard(func() { in.mail(shortName(where), data, 0) }); why != "" {
			in.skip(where, Mail, why)
		}
	}
}

// TooLargeMail stands for a mail that was not even fetched.
func TooLargeMail(where string) Raw {
	r := Raw{Where: where, Format: Mail}
	r.weaker(Skipped, TooLong)
	r.Key = keyOf(where, string(TooLong))
	return r
}

// One reads a pasted text: a mail with its header lines, or a recipe.
func One(text string) iter.Seq[Raw] { return All("", []byte(text), Options{}) }

// An intake is one reading under way, with what is left of its bounds.
type intake struct {
	options Options
	left    int64
	count   int
	stopped bool
	yield   func(Raw) bool
}

// give passes one raw entry on.
func (in *intake) give(r Raw) {
	if in.stopped {
		return
	}
	in.count++
	if in.count > maxRaws {
		r = Raw{Where: r.Where, Format: r.Format}
		r.weaker(Skipped, TooMuch)
		r.Key = keyOf(r.Where, string(TooMuch))
		in.yield(r)
		in.stopped = true
		return
	}
	if r.Verdict == "" {
		r.Verdict = Entry
	}
	r.Text, r.Title = strings.ToValidUTF8(r.Text, "\ufffd"), oneLine(r.Title)
	if r.Key == "" {
		r.Key = keyOf(r.Text, r.From.Name, r.From.Address, photoKey(r.Photos))
	}
	in.stopped = !in.yield(r)
}

// skip passes on that a file cannot be read.
func (in *intake) skip(where string, f Format, why Reason) {
	r := Raw{Where: where, Format: f}
	r.weaker(Skipped, why)
	r.Key = keyOf(where, string(why))
	in.give(r)
}

// keyOf is the key of something that has no identity of its own.
func keyOf(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		sum := sha256.Sum256([]byte(p))
		h.Write(sum[:])
	}
	return "content:" + hex.EncodeToString(h.Sum(nil))
}

func photoKey(ps []Photo) string {
	if len(ps) == 0 {
		return ""
	}
	sum := sha256.Sum256(ps[0].Data)
	return string(sum[:])
}

// file reads one file of any kind. level is how many archives it lies in. A
// reader that trips over something hostile costs that file, not the import.
func (in *intake) file(name string, data []byte, level int) {
	if in.stopped {
		return
	}
	kind := sniff(name, data)
	var found []Raw
	reason := guard(func() { found = in.parse(kind, name, data, level) })
	if reason != "" {
		in.skip(name, formatOf(kind), reason)
		return
	}
	for _, r := range found {
		in.give(r)
	}
}

// guard runs work and turns a panic into a reason.
func guard(work func()) (why Reason) {
	defer func() {
		if recover() != nil {
			why = Damaged
		}
	}()
	work()
	return ""
}

// parse reads a file of a known kind. What comes one by one, such as the mails
// of a mailbox, is passed on at once; the rest is returned.
func (in *intake) parse(kind kind, name string, data []byte, level int) []Raw {
	switch kind {
	case kindEmpty:
		in.skip(name, Unknown, Nothing)
	case kindPDF:
		return in.paper(name, data)
	case kindOther:
		in.skip(name, Unknown, OtherKind)
	case kindProtected:
		in.skip(name, Document, Protected)
	case kindMailbox:
		in.mailbox(name, data)
	case kindMail:
		in.mail(name, data, 0)
	case kindZip:
		in.archive(name, data, level)
	case kindDocument:
		return readDocument(name, data)
	case kindPage:
		return readPage(name, data)
	case kindLinked:
		return readLinked(name, data)
	case kindTable:
		in.table(name, data)
	case kindPicture:
		return []Raw{picture(name, data)}
	case kindMarkdown:
		return []Raw{readText(name, data, Markdown)}
	default:
		return []Raw{readText(name, data, Plain)}
	}
	return nil
}

// paper reads a PDF where somebody can. A page's text may come in another order
// than people read it.
func (in *intake) paper(name string, data []byte) []Raw {
	text := ""
	if in.options.PDF != nil {
		text, _ = in.options.PDF(data)
	}
	if strings.TrimSpace(text) == "" {
		in.skip(name, Paper, PDF)
		return nil
	}
	r := readText(name, []byte(text), Paper)
	r.note(FromPDF)
	return []Raw{r}
}

// picture is a photographed card: a picture, and a recipe to type in.
func picture(name string, data []byte) Raw {
	r := Raw{Where: name, Format: Picture, Title: titleOf(name)}
	if len(data) > maxPhoto {
		r.weaker(Skipped, LongPhoto)
		return r
	}
	r.Photos = []Photo{{name, bytes.Clone(data)}}
	r.weaker(Doubtful, Card)
	return r
}

// shortName makes a file name harmless to show.
func shortName(name string) string {
	name = strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f || c == utf8.RuneError {
			return -1
		}
		return c
	}, strings.ToValidUTF8(name, ""))
	if len(name) > maxName {
		name = strings.ToValidUTF8(name[len(name)-maxName:], "")
	}
	return name
}

// titleOf makes a title of a file's name.
func titleOf(name string) string {
	if i := strings.LastIndexAny(name, "/\\:"); i >= 0 {
		name = name[i+1:]
	}
	if i := strings.LastIndexByte(name, '.'); i > 0 {
		name = name[:i]
	}
	return strings.Join(strings.FieldsFunc(name, func(c rune) bool { return c == '_' || c == '-' || c == ' ' }), " ")
}
