package web

import (
	"net/http"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/ical"
	"fairladle/web/text"
)

// showDates is the calendar of a challenge's dates (RFC 5545), to subscribe to:
// a moved date keeps its identifier and gets a higher sequence.
func (s *Server) showDates(w http.ResponseWriter, r *http.Request) error {
	c, _, r, err := s.public(r)
	if err != nil {
		return err
	}
	cal := newCalendar(text.From(r.Context()), c, site(r).PublicURL, site(r).Name)
	w.Header().Set("Content-Disposition", `inline; filename="`+c.Slug+`.ics"`)
	serve(w, r, "text/calendar; charset=utf-8", contentTag([]byte(cal)), time.Time{}, []byte(cal))
	return nil
}

// A date is one moment of a challenge that everyone may know beforehand.
type date struct {
	key, title string
	at         time.Time
}

// datesOf lists the announced dates: of outcomes only when, never what.
func datesOf(v text.Voice, c challenge.Challenge) []date {
	ds := []date{{"opens", v.T("Entries open: %v", c.Title), c.OpensAt}, {"closes", v.T("Entries close: %v", c.Title), c.ClosesAt}}
	if !c.ReleaseAt.IsZero() {
		ds = append(ds, date{"release", v.T("Results: %v", c.Title), c.ReleaseAt})
	}
	for _, round := range c.Rounds {
		if !round.ReleaseAt.IsZero() && !round.ReleaseAt.Equal(c.ReleaseAt) {
			ds = append(ds, date{"round-" + itoa(int(round.ID)), v.T("%v: %v", c.Title, round.Title), round.ReleaseAt})
		}
	}
	return ds
}

func newCalendar(v text.Voice, c challenge.Challenge, base, name string) string {
	var b ical.Text
	host := strings.TrimPrefix(strings.TrimPrefix(base, "https://"), "http://")
	b.Line("BEGIN:VCALENDAR")
	b.Line("VERSION:2.0")
	b.Line("PRODID:-//Fairladle//Dates//EN")
	b.Line("NAME:" + ical.Escape(c.Title)) // RFC 7986, 5.1
	for _, d := range datesOf(v, c) {
		b.Line("BEGIN:VEVENT")
		b.Line("UID:" + ical.Escape(c.Slug+"-"+d.key+"@"+host))
		b.Line("DTSTAMP:" + ical.Time(c.AnnouncedAt))
		b.Line("SEQUENCE:" + itoa(c.SettingsVersion-1))
		b.Line("DTSTART:" + ical.Time(d.at))
		b.Line("SUMMARY:" + ical.Escape(d.title))
		b.Line("DESCRIPTION:" + ical.Escape(name+"\n"+base+"/c/"+c.Slug))
		b.Line("URL:" + base + "/c/" + c.Slug)
		b.Line("TRANSP:TRANSPARENT")
		b.Line("END:VEVENT")
	}
	b.Line("END:VCALENDAR")
	return b.String()
}
