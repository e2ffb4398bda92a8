package intake

import (
	"bytes"
	"regexp"
	"strings"
)

// mailbox reads a whole mailbox in the mbox format (RFC 4155, with the quoting
// of mboxrd): mails one after the other, each below a line that begins with
// "From ".
func (in *intake) mailbox(name string, data []byte) {
	n, start := 0, firstFromLine(data)
	if start < 0 {
		in.mail(name, data, 0)
		return
	}
	for start < len(data) && !in.stopped {
		end := nextFromLine(data, start+1)
		one := data[start:end]
		start = end
		if len(bytes.TrimSpace(one)) == 0 {
			continue
		}
		n++
		in.mail(numbered(name, n), unquoted(one), 0)
	}
}

func firstFromLine(data []byte) int {
	if isFromLine(data) {
		return 0
	}
	if i := nextFromLine(data, 0); i < len(data) {
		return i
	}
	return -1
}

// nextFromLine is where the next mail of a mailbox begins, at i or later; the
// end of the data where none does.
func nextFromLine(data []byte, i int) int {
	for i < len(data) {
		at := bytes.Index(data[i:], []byte("\nFrom "))
		if at < 0 {
			return len(data)
		}
		i += at + 1
		if isFromLine(data[i:]) {
			return i
		}
	}
	return len(data)
}

var (
	fromTime = regexp.MustCompile(`\d{1,2}:\d{2}`)
	fromYear = regexp.MustCompile(`\b(19|20)\d{2}\b`)
	headerOf = regexp.MustCompile(`^[!-9;-~]+:`)
)

// isFromLine says whether data begins with a line that parts mails: it holds a
// time and a year, and a header line follows. Prose that begins with "From"
// does not.
func isFromLine(data []byte) bool {
	if !bytes.HasPrefix(data, []byte("From ")) {
		return false
	}
	line, rest, _ := bytes.Cut(data[:min(len(data), 1000)], []byte("\n"))
	if !fromTime.Match(line) || !fromYear.Match(line) {
		return false
	}
	rest = bytes.TrimPrefix(rest, []byte(">From "))
	return len(bytes.TrimSpace(rest)) == 0 || headerOf.Match(rest) || bytes.Contains(rest[:min(len(rest), 200)], []byte(":"))
}

func isMailbox(text string) bool { return isFromLine([]byte(text[:min(len(text), 4096)])) }

var fromQuote = regexp.MustCompile(`(?m)^>(>*From )`)

// unquoted takes off the mark that a mailbox puts before lines of a mail that
// begin with "From ".
func unquoted(mail []byte) []byte {
	if !bytes.Contains(mail, []byte("\n>")) {
		return mail
	}
	return fromQuote.ReplaceAll(mail, []byte("$1"))
}

var mailHeaders = map[string]bool{"from": true, "to": true, "subject": true, "date": true, "sent": true, "message-id": true, "received": true,
	"return-path": true, "mime-version": true, "content-type": true, "reply-to": true, "cc": true, "delivered-to": true, "x-mailer": true,
	"content-transfer-encoding": true, "in-reply-to": true, "references": true, "dkim-signature": true, "x-received": true}

// looksLikeMail says whether a text begins with the header lines of a mail.
func looksLikeMail(text string) bool {
	known := map[string]bool{}
	text = text[:min(len(text), 16<<10)]
	if strings.HasPrefix(text, "From ") || strings.HasPrefix(text, ">From ") {
		_, text, _ = strings.Cut(text, "\n")
	}
	for line := range strings.SplitSeq(text, "\n") {
		line = strings.TrimRight(line, "\r")
		if line == "" {
			break
		}
		if line[0] == ' ' || line[0] == '\t' {
			continue
		}
		name, _, ok := strings.Cut(line, ":")
		if !ok || strings.ContainsAny(name, " \t") || len(name) > 60 {
			break
		}
		if name = strings.ToLower(name); mailHeaders[name] {
			known[name] = true
		}
	}
	return len(known) >= 2
}
