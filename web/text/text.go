package text

import (
	"context"
	"html"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"

	"fairladle/challenge/wording"
)

// A Voice speaks one language in one time zone. Its methods are safe for
// concurrent use.
type Voice struct {
	Tag     language.Tag
	zone    *time.Location
	printer *message.Printer
	words   map[string]string // from the English sentence; nil in English
}

// For returns the voice of a language and zone. An unknown language speaks
// English; a nil zone is UTC.
func For(lang string, zone *time.Location) Voice {
	_, i := language.MatchStrings(matcher, lang)
	tag := Languages[i]
	if zone == nil {
		zone = time.UTC
	}
	return Voice{Tag: tag, zone: zone, printer: message.NewPrinter(tag), words: tables[tag]}
}

// In is the same voice in another zone.
func (v Voice) In(zone *time.Location) Voice {
	v.zone = zone
	return v
}

// T says a text. Numbers in args are said as they are written: an entry's
// number is a name and takes no separators; use Number for amounts. Sentences
// of the domain in args are said in the voice's language.
func (v Voice) T(key string, args ...any) string {
	format := v.translated(key)
	if len(args) == 0 {
		return format
	}
	said := make([]any, len(args))
	for i, a := range args {
		said[i] = v.arg(a)
	}
	return v.printer.Sprintf(format, said...)
}

func (v Voice) arg(a any) any {
	switch x := a.(type) {
	case int:
		return strconv.Itoa(x)
	case int64:
		return strconv.FormatInt(x, 10)
	case time.Time:
		return v.Moment(x)
	case interface{ Time() time.Time }:
		return v.Moment(x.Time())
	case wording.Sentence:
		return v.Say(x)
	case wording.List:
		return v.List(x...)
	}
	return a
}

// Say says a sentence of the domain.
func (v Voice) Say(s wording.Sentence) string {
	if s.IsZero() {
		return ""
	}
	return v.T(s.Text, s.Args...)
}

// Tell says a sentence of the domain that may begin with a name: its first
// letter is a capital.
func (v Voice) Tell(s wording.Sentence) string { return wording.Capital(v.Say(s)) }

// List says some things one after another: "eggs, milk and wheat".
func (v Voice) List(things ...any) string {
	words := make([]string, len(things))
	for i, x := range things {
		words[i] = v.T("%v", x)
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return v.T("%v and %v", strings.Join(words[:last], ", "), words[last])
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

// Decimal writes a number with so many digits behind the language's point.
func (v Voice) Decimal(x float64, digits int) string {
	s := strconv.FormatFloat(x, 'f', digits, 64)
	if v.calendar().comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
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
