package ical

import (
	"strings"
	"time"
	"unicode/utf8"
)

// A Text is a calendar file in the making.
type Text struct{ b strings.Builder }

// Line adds a content line, folded at 75 octets, between characters (RFC 5545,
// 3.1).
func (t *Text) Line(text string) {
	room := 75
	for len(text) > room {
		cut := room
		for cut > 0 && !utf8.RuneStart(text[cut]) {
			cut--
		}
		t.b.WriteString(text[:cut] + "\r\n ")
		text, room = text[cut:], 74
	}
	t.b.WriteString(text + "\r\n")
}

// String is the file so far.
func (t *Text) String() string { return t.b.String() }

// Escape prepares a TEXT value (RFC 5545, 3.3.11); other control characters go.
func Escape(s string) string {
	s = strings.NewReplacer("\\", "\\\\", ";", "\\;", ",", "\\,", "\r\n", "\\n", "\n", "\\n").Replace(s)
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, s)
}

// Time writes a moment in UTC.
func Time(t time.Time) string { return t.UTC().Format("20060102T150405Z") }
