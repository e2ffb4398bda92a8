package kitchen

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// WriteCalendar writes the sheet as a calendar (RFC 5545, iCalendar): every task
// of the days before with a reminder an hour ahead, and the serving day as one
// event with its run sheet as the description. stamp is the time of writing;
// uid makes the events of one service distinct from those of others.
func (s RunSheet) WriteCalendar(w io.Writer, uid string, stamp time.Time) error {
	c := calendar{stamp: stamp, uid: uid}
	c.line("BEGIN:VCALENDAR")
	c.line("VERSION:2.0")
	c.line("PRODID:-//Fairladle//Run sheet//EN")
	var today []string
	for _, r := range s.Rows {
		if r.Start.Before(s.DayBegins) && r.ID != "" {
			c.event(r.ID, r.Start, r.End(), r.What+dishOf(r), r.Line(), "PT1H")
		} else {
			today = append(today, r.Line())
		}
	}
	if len(s.Rows) > 0 {
		c.event("serve", s.DayBegins, s.Serve, "Cook and serve", strings.Join(today, "\n"), "PT30M")
	}
	c.line("END:VCALENDAR")
	_, err := io.WriteString(w, c.b.String())
	if err != nil {
		return fmt.Errorf("kitchen: calendar: %w", err)
	}
	return nil
}

func dishOf(r Row) string {
	if r.Dish == "" {
		return ""
	}
	return " (" + r.Dish + ")"
}

type calendar struct {
	b     strings.Builder
	stamp time.Time
	uid   string
}

// line folds at 75 octets, between characters (RFC 5545, 3.1).
func (c *calendar) line(text string) {
	room := 75
	for len(text) > room {
		cut := room
		for cut > 0 && !utf8.RuneStart(text[cut]) {
			cut--
		}
		c.b.WriteString(text[:cut] + "\r\n ")
		text, room = text[cut:], 74
	}
	c.b.WriteString(text + "\r\n")
}

// escape prepares a TEXT value (RFC 5545, 3.3.11); other control characters go.
func escape(s string) string {
	s = strings.NewReplacer("\\", "\\\\", ";", "\\;", ",", "\\,", "\r\n", "\\n", "\n", "\\n").Replace(s)
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, s)
}

func (c *calendar) event(id string, from, to time.Time, title, text, remind string) {
	const utc = "20060102T150405Z"
	c.line("BEGIN:VEVENT")
	c.line("UID:" + escape(c.uid+"-"+id))
	c.line("DTSTAMP:" + c.stamp.UTC().Format(utc))
	c.line("DTSTART:" + from.UTC().Format(utc))
	c.line("DTEND:" + to.UTC().Format(utc))
	c.line("SUMMARY:" + escape(title))
	c.line("DESCRIPTION:" + escape(text))
	c.line("BEGIN:VALARM")
	c.line("ACTION:DISPLAY")
	c.line("DESCRIPTION:" + escape(title))
	c.line("TRIGGER:-" + remind)
	c.line("END:VALARM")
	c.line("END:VEVENT")
}

func sortedKeys[V any](m map[string]V) []string {
	return slices.Sorted(maps.Keys(m))
}
