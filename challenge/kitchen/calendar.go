package kitchen

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"fairladle/challenge/ical"
	"fairladle/challenge/wording"
)

// WriteCalendar writes the sheet as a calendar (RFC 5545, iCalendar): every task
// of the days before with a reminder an hour ahead, what is to be ordered with one
// a day ahead, and the serving day as one event with its run sheet as the
// description, in the language of say. stamp is the time of writing;
// uid makes the events of one service distinct from those of others.
func (s RunSheet) WriteCalendar(w io.Writer, say Speaker, uid string, stamp time.Time, orders ...OrderBy) error {
	c := calendar{stamp: stamp, uid: uid}
	c.Line("BEGIN:VCALENDAR")
	c.Line("VERSION:2.0")
	c.Line("PRODID:-//Fairladle//Run sheet//EN")
	for _, o := range orders {
		order := say(wording.Of("Order: %v", o.Name))
		c.event("order-"+o.Name, o.Until, o.Until.Add(orderTakes), order, order, "PT24H")
	}
	var today []string
	for _, r := range s.Rows {
		if r.Start.Before(s.DayBegins) && r.ID != "" {
			c.event(r.ID, r.Start, r.End(), say(r.What)+dishOf(r), r.Line(say), "PT1H")
		} else {
			today = append(today, r.Line(say))
		}
	}
	if len(s.Rows) > 0 {
		c.event("serve", s.DayBegins, s.Serve, say(wording.Of("Cook and serve")), strings.Join(today, "\n"), "PT30M")
	}
	c.Line("END:VCALENDAR")
	_, err := io.WriteString(w, c.String())
	if err != nil {
		return fmt.Errorf("kitchen: calendar: %w", err)
	}
	return nil
}

// orderTakes is the length of the event for an order.
const orderTakes = 15 * time.Minute

func dishOf(r Row) string {
	if r.Dish == "" {
		return ""
	}
	return " (" + r.Dish + ")"
}

type calendar struct {
	ical.Text
	stamp time.Time
	uid   string
}

func (c *calendar) event(id string, from, to time.Time, title, text, remind string) {
	c.Line("BEGIN:VEVENT")
	c.Line("UID:" + ical.Escape(c.uid+"-"+id))
	c.Line("DTSTAMP:" + ical.Time(c.stamp))
	c.Line("DTSTART:" + ical.Time(from))
	c.Line("DTEND:" + ical.Time(to))
	c.Line("SUMMARY:" + ical.Escape(title))
	c.Line("DESCRIPTION:" + ical.Escape(text))
	c.Line("BEGIN:VALARM")
	c.Line("ACTION:DISPLAY")
	c.Line("DESCRIPTION:" + ical.Escape(title))
	c.Line("TRIGGER:-" + remind)
	c.Line("END:VALARM")
	c.Line("END:VEVENT")
}

func sortedKeys[V any](m map[string]V) []string {
	return slices.Sorted(maps.Keys(m))
}
