package text

import (
	"context"
	"fmt"
	"html"
	"strconv"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
)

// A Voice speaks one language in one time zone. Its methods are safe for
// concurrent use.
type Voice struct {
	Tag     language.Tag
	zone    *time.Location
	printer *message.Printer
}

// Languages are those the catalogue speaks; the first is the fallback.
var Languages = []language.Tag{language.English}

// For returns the voice of a language and zone. An unknown language speaks
// English; a nil zone is UTC.
func For(lang string, zone *time.Location) Voice {
	tag, _ := language.MatchStrings(language.NewMatcher(Languages), lang)
	if zone == nil {
		zone = time.UTC
	}
	return Voice{Tag: tag, zone: zone, printer: message.NewPrinter(tag)}
}

// In is the same voice in another zone.
func (v Voice) In(zone *time.Location) Voice {
	v.zone = zone
	return v
}

// T says a text. Numbers in args are said as they are written: an entry's
// number is a name and takes no separators; use Number for amounts.
func (v Voice) T(key string, args ...any) string {
	if len(args) == 0 {
		return v.printer.Sprintf(message.Key(key, escapePercent(key)))
	}
	for i, a := range args {
		switch n := a.(type) {
		case int:
			args[i] = strconv.Itoa(n)
		case int64:
			args[i] = strconv.FormatInt(n, 10)
		}
	}
	return v.printer.Sprintf(key, args...)
}

func escapePercent(s string) string {
	out := make([]byte, 0, len(s))
	for i := range len(s) {
		if s[i] == '%' {
			out = append(out, '%')
		}
		out = append(out, s[i])
	}
	return string(out)
}

// N says a count: one for 1, else many, which holds one %v for the number.
func (v Voice) N(n int, one, many string) string {
	if n == 1 {
		return v.T(one)
	}
	return v.T(many, v.Number(n))
}

// Number writes a whole number with the language's separators.
func (v Voice) Number(n int) string { return v.printer.Sprintf("%d", n) }

// Date writes a day: 24 November 2026.
func (v Voice) Date(t time.Time) string { return t.In(v.zone).Format("2 January 2006") }

// Moment writes a day and time with its zone: Tue 24 Nov 2026, 18:00 CET.
func (v Voice) Moment(t time.Time) string {
	if t.IsZero() {
		return v.T("not set")
	}
	return t.In(v.zone).Format("Mon 2 Jan 2006, 15:04 MST")
}

// Clock writes a time of day: 18:00.
func (v Voice) Clock(t time.Time) string { return t.In(v.zone).Format("15:04") }

// Until writes how long it is from now to t in its largest unit: "in 3 days".
func (v Voice) Until(now, t time.Time) string {
	d := t.Sub(now)
	past := d < 0
	if past {
		d = -d
	}
	var s string
	switch {
	case d >= 48*time.Hour:
		s = v.N(int(d.Hours()/24), "one day", "%v days")
	case d >= time.Hour:
		s = v.N(int(d.Hours()), "one hour", "%v hours")
	default:
		s = v.N(max(1, int(d.Minutes())), "one minute", "%v minutes")
	}
	if past {
		return v.T("%v ago", s)
	}
	return v.T("in %v", s)
}

// Minutes writes a length of time: 1 h 20 min.
func (v Voice) Minutes(m int) string {
	switch {
	case m >= 2*24*60:
		return v.N(m/(24*60), "one day", "%v days")
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	}
	return fmt.Sprintf("%d h %d min", m/60, m%60)
}

type key struct{}

// With puts the voice of a page into its context, for T.
func With(ctx context.Context, v Voice) context.Context { return context.WithValue(ctx, key{}, v) }

// From returns the voice of a page.
func From(ctx context.Context) Voice {
	v, ok := ctx.Value(key{}).(Voice)
	if !ok {
		return For("en", nil)
	}
	return v
}

// T says a text in the voice of the page.
func T(ctx context.Context, k string, args ...any) string { return From(ctx).T(k, args...) }

// N says a count in the voice of the page.
func N(ctx context.Context, n int, one, many string) string { return From(ctx).N(n, one, many) }

// Escape is for the few places that build HTML outside a template.
func Escape(s string) string { return html.EscapeString(s) }
