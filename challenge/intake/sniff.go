package intake

import (
	"bytes"
	"path"
	"strings"
	"unicode/utf8"
)

type kind int

const (
	kindPlain kind = iota
	kindMarkdown
	kindMail
	kindMailbox
	kindPage
	kindLinked
	kindTable
	kindDocument
	kindZip
	kindPicture
	kindPDF
	kindProtected
	kindEmpty
	kindOther
)

func formatOf(k kind) Format {
	switch k {
	case kindMail, kindMailbox:
		return Mail
	case kindPage:
		return Page
	case kindLinked:
		return Linked
	case kindTable:
		return Table
	case kindDocument:
		return Document
	case kindPicture:
		return Picture
	case kindPDF:
		return Paper
	case kindMarkdown:
		return Markdown
	case kindPlain:
		return Plain
	}
	return Unknown
}

// sniff tells what a file is: by its first bytes where they are sure, else by
// its name, else by what the text looks like.
func sniff(name string, data []byte) kind {
	ext := strings.ToLower(path.Ext(strings.ReplaceAll(name, "\\", "/")))
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return kindEmpty
	case bytes.HasPrefix(data, []byte("%PDF-")):
		return kindPDF
	case isPicture(data), pictureNames[ext]:
		return kindPicture
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("PK\x05\x06")):
		if ext == ".docx" || isDocument(data) {
			return kindDocument
		}
		return kindZip
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")): // a compound file: old Office, or a protected new one
		if ext == ".docx" {
			return kindProtected
		}
		return kindOther
	}
	switch ext {
	case ".eml":
		return kindMail
	case ".mbox", ".mbx":
		return kindMailbox
	case ".html", ".htm", ".xhtml":
		return kindPage
	case ".json", ".jsonld":
		return kindLinked
	case ".csv", ".tsv":
		return kindTable
	}
	text := head(decode(data[:min(len(data), 64<<10)]))
	switch {
	case isBinary(text):
		return kindOther
	case ext == ".md", ext == ".markdown":
		return kindMarkdown
	case isMailbox(text):
		return kindMailbox
	case looksLikeMail(text):
		return kindMail
	case looksLikePage(text):
		return kindPage
	case looksLikeLinked(text):
		return kindLinked
	case ext == "" && hasMarks(text):
		return kindMarkdown
	}
	return kindPlain
}

func head(s string) string { return strings.TrimLeft(s, " \t\r\n\ufeff") }

var pictureNames = map[string]bool{".jpg": true, ".jpeg": true, ".png": true, ".gif": true, ".webp": true, ".heic": true, ".heif": true,
	".avif": true, ".tif": true, ".tiff": true, ".bmp": true}

// isPicture knows the first bytes of the usual pictures.
func isPicture(data []byte) bool {
	for _, magic := range []string{"\xff\xd8\xff", "\x89PNG\r\n", "GIF87a", "GIF89a", "II*\x00", "MM\x00*"} {
		if bytes.HasPrefix(data, []byte(magic)) {
			return true
		}
	}
	if len(data) < 16 {
		return false
	}
	if string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP" || string(data[:2]) == "BM" && data[6] == 0 && data[7] == 0 {
		return true
	}
	if string(data[4:8]) == "ftyp" {
		switch string(data[8:12]) {
		case "heic", "heix", "mif1", "msf1", "avif", "avis", "hevc":
			return true
		}
	}
	return false
}

// isDocument finds the part that every DOCX has near its beginning or end.
func isDocument(data []byte) bool {
	const part = "word/document.xml"
	return bytes.Contains(data[:min(len(data), 8<<10)], []byte(part)) || bytes.Contains(data[max(0, len(data)-64<<10):], []byte(part))
}

// isBinary says whether a text holds what no text does.
func isBinary(text string) bool {
	bad := 0
	for _, c := range text {
		if c == 0 || c == utf8.RuneError || c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' {
			bad++
		}
	}
	return bad > 8 && bad*50 > len(text)
}

func looksLikePage(text string) bool {
	low := strings.ToLower(text[:min(len(text), 2048)])
	for _, mark := range []string{"<!doctype html", "<html", "<head", "<body", "<div", "<script", "<ol", "<ul", "<p>"} {
		if i := strings.Index(low, mark); i >= 0 && strings.HasPrefix(low, "<") {
			return true
		}
	}
	return false
}

func looksLikeLinked(text string) bool {
	return (strings.HasPrefix(text, "{") || strings.HasPrefix(text, "[")) && (strings.Contains(text, "\"@type\"") || strings.Contains(text, "\"@graph\""))
}

// hasMarks says whether a text uses the marks of Markdown.
func hasMarks(text string) bool {
	return strings.HasPrefix(text, "# ") || strings.Contains(text, "\n# ") || strings.Contains(text, "\n## ")
}
