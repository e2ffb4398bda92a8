package intake

import (
	"bytes"
	"net/mail"
	"strconv"
	"strings"
	"time"

	"github.com/jhillyerd/enmime/v2"
)

// mail reads one mail and passes on what it brings: usually one entry.
func (in *intake) mail(where string, data []byte, depth int) {
	data = withoutFromLine(data)
	var m letter
	why := tooComplex(data)
	if why == "" {
		why = guard(func() { m = openLetter(data) })
	}
	if why != "" {
		in.skip(where, Mail, why)
		return
	}
	r := Raw{Where: where, Format: Mail, From: m.from, Date: m.date, Title: m.subject, Key: m.key}
	if m.damaged {
		r.note(PartDamaged)
	}
	if m.automatic != "" {
		r.weaker(Skipped, m.automatic)
		in.give(r)
		return
	}
	var a attached
	if why := guard(func() { a = in.attachments(m, where, depth) }); why != "" {
		r.note(PartDamaged)
	}
	m.body(&r)
	in.settle(m, r, a)
	for _, inner := range a.mails {
		in.mail(where+", attached mail", inner, depth+1)
	}
}

// A letter is one mail, opened.
type letter struct {
	subject   string
	from      Sender
	date      time.Time
	key       string
	text      string // of the plain part, lines joined as its sender meant them
	page      string // of the HTML part
	parts     []*enmime.Part
	automatic Reason
	forwarded bool
	damaged   bool
}

var mailParser = enmime.NewParser(enmime.DisableTextConversion(true), enmime.MaxStoredPartErrors(8), enmime.SkipMalformedParts(true),
	enmime.MultipartWOBoundaryAsSinglePart(true), enmime.SetReadPartErrorPolicy(enmime.AllowCorruptTextPartErrorPolicy))

func openLetter(data []byte) letter {
	e, err := mailParser.ReadEnvelope(bytes.NewReader(data))
	if err != nil {
		return openByHand(data)
	}
	m := letter{subject: subjectOf(e.GetHeader("Subject")), text: e.Text, page: e.HTML, automatic: automatic(e)}
	m.forwarded = isForward(e.GetHeader("Subject"))
	m.from = senderOf(e.GetHeader("From"), e.GetHeader("Reply-To"), e.GetHeader("Sender"))
	m.date = dateOf(e.GetHeader("Date"))
	if p := e.Root.BreadthMatchFirst(func(p *enmime.Part) bool { return p.ContentType == "text/plain" && p.Disposition != "attachment" }); p != nil {
		if strings.EqualFold(p.ContentTypeParams["format"], "flowed") {
			m.text = unflow(m.text, strings.EqualFold(p.ContentTypeParams["delsp"], "yes"))
		}
	}
	m.parts = append(append(append(m.parts, e.Attachments...), e.Inlines...), e.OtherParts...)
	for _, x := range e.Errors {
		m.damaged = m.damaged || x.Severe
	}
	m.key = mailKey(e.GetHeader("Message-Id"), m, e.GetHeader("Date"))
	return m
}

// openByHand takes what can be had from a mail that the library refuses: the
// header lines it knows and everything below them.
func openByHand(data []byte) letter {
	m := letter{damaged: true}
	header, body, _ := strings.Cut(kept(decode(data)), "\n\n")
	get := func(name string) string {
		for line := range strings.SplitSeq(header, "\n") {
			if key, value, ok := strings.Cut(line, ":"); ok && strings.EqualFold(key, name) {
				return strings.TrimSpace(value)
			}
		}
		return ""
	}
	m.subject, m.from, m.date, m.text = subjectOf(get("Subject")), senderOf(get("From")), dateOf(get("Date")), body
	m.forwarded = isForward(get("Subject"))
	m.key = mailKey(get("Message-Id"), m, get("Date"))
	return m
}

func mailKey(id string, m letter, date string) string {
	if id = strings.Trim(strings.TrimSpace(id), "<>"); id != "" {
		return "mail:" + id
	}
	return keyOf(m.subject, m.from.Address, date, m.text, m.page)
}

func dateOf(s string) time.Time {
	t, err := mail.ParseDate(strings.TrimSpace(s))
	if err != nil || t.Year() < 1970 || t.Year() > 9999 {
		return time.Time{}
	}
	return t.UTC()
}

// senderOf reads the first header that holds an address.
func senderOf(headers ...string) Sender {
	var s Sender
	for _, h := range headers {
		h = strings.TrimSpace(h)
		if h == "" {
			continue
		}
		name, address := splitAddress(h)
		if s.Name == "" {
			s.Name = name
		}
		if s.Address == "" && address != "" {
			s.Address = address
			if s.Name == "" {
				s.Name = name
			}
		}
	}
	return s
}

func splitAddress(h string) (name, address string) {
	if len(h) > 2000 {
		return "", ""
	}
	if list, err := mail.ParseAddressList(h); err == nil && len(list) > 0 {
		return oneLine(list[0].Name), list[0].Address
	}
	// Names with unquoted marks, as many programs write them.
	if i, j := strings.LastIndexByte(h, '<'), strings.LastIndexByte(h, '>'); i >= 0 && i < j {
		if a, err := mail.ParseAddress(h[i+1 : j]); err == nil {
			return oneLine(strings.Trim(strings.TrimSpace(h[:i]), `"'`)), a.Address
		}
	}
	if strings.Contains(h, "@") {
		return "", ""
	}
	return oneLine(strings.Trim(h, `"'`)), ""
}

// oneLine makes a name that stands on one line.
func oneLine(s string) string {
	s = strings.Join(strings.Fields(strings.ToValidUTF8(s, "\ufffd")), " ")
	if r := []rune(s); len(r) > 100 {
		s = string(r[:100])
	}
	return strings.ReplaceAll(s, "\x00", "")
}

var replyMarks = []string{"re:", "fwd:", "fw:", "aw:", "wg:", "sv:", "tr:", "rv:"}

// subjectOf takes "Re:" and the like off.
func subjectOf(s string) string {
	s = oneLine(s)
	for again := true; again; {
		again = false
		for _, mark := range replyMarks {
			if len(s) >= len(mark) && strings.EqualFold(s[:len(mark)], mark) {
				s, again = strings.TrimSpace(s[len(mark):]), true
			}
		}
	}
	return s
}

func isForward(subject string) bool {
	s := strings.ToLower(strings.TrimSpace(subject))
	for _, mark := range []string{"fwd:", "fw:", "wg:", "tr:", "rv:"} {
		if strings.HasPrefix(s, mark) {
			return true
		}
	}
	return false
}

// tooComplex refuses what would cost more to open than any mail is worth.
func tooComplex(data []byte) Reason {
	if len(data) > MaxMail {
		return TooMuch
	}
	low := bytes.Count(data, []byte("multipart/")) + bytes.Count(data, []byte("Multipart/")) + bytes.Count(data, []byte("MULTIPART/"))
	if low > maxLevels || bytes.Count(data, []byte("\n--")) > 4*maxParts {
		return Damaged
	}
	end := bytes.Index(data, []byte("\n\n"))
	if crlf := bytes.Index(data, []byte("\r\n\r\n")); crlf >= 0 && (end < 0 || crlf < end) {
		end = crlf
	}
	if end > maxHeaders || end < 0 && len(data) > maxHeaders {
		return Damaged
	}
	return ""
}

// withoutFromLine takes off the line that a mailbox puts before a mail.
func withoutFromLine(data []byte) []byte {
	data = bytes.TrimLeft(data, "\r\n\t ")
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		data = data[3:]
	}
	if bytes.HasPrefix(data, []byte("From ")) || bytes.HasPrefix(data, []byte(">From ")) {
		if i := bytes.IndexByte(data, '\n'); i >= 0 {
			return data[i+1:]
		}
	}
	return data
}

func numbered(where string, n int) string { return where + ", " + strconv.Itoa(n) }
