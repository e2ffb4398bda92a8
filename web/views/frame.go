package views

import (
	"context"
	"errors"
	"strconv"

	"fairladle/challenge"
	"fairladle/challenge/wording"
	"fairladle/web/text"
)

// A Frame is what stands around every page.
type Frame struct {
	Title    string
	Site     string
	Language string
	SignedIn bool
	Wide     bool // uses the width of a large screen
	Quiet    bool // without navigation
	Desk     *Desk
	Scripts  []string // embedded files loaded by this page
	Said     string   // what the last action did
	Onward   bool     // that action ended a round: the desk says what comes next
	About    string   // one sentence for search engines, of a public page without a Share
	Share    *Share   // of a public page
}

// A Share is what a public page says of itself where its address is passed on.
type Share struct {
	Title   string
	About   string // one sentence
	Address string // whole
	Picture string // whole address of a card; empty for none
}

// A Desk says where somebody works on a challenge.
type Desk struct {
	Base      string
	Role      challenge.Role
	Challenge string
	Slug      string
}

// A Message is a sentence beside a field.
type Message struct {
	Text string
	Args []any
}

// Messages are the refusals of a form by field; "" holds those of the whole.
type Messages map[string][]Message

func (m Messages) wrong(field string) string {
	if len(m[field]) > 0 {
		return "field wrong"
	}
	return "field"
}

func t(ctx context.Context, key string, args ...any) string { return text.T(ctx, key, args...) }

func n(ctx context.Context, count int, one, many string) string { return text.N(ctx, count, one, many) }

// say says a sentence of the domain in the page's language.
func say(ctx context.Context, s wording.Sentence) string { return text.From(ctx).Say(s) }

// tell is say with a capital first letter: the sentence may begin with a name.
func tell(ctx context.Context, s wording.Sentence) string { return text.From(ctx).Tell(s) }

// refused says a refusal in the page's language.
func refused(ctx context.Context, err error) string {
	if rs, ok := errors.AsType[challenge.Refusals](err); ok && len(rs) > 0 {
		return t(ctx, rs[0].Text, rs[0].Args...)
	}
	if re, ok := errors.AsType[*challenge.Refusal](err); ok {
		return t(ctx, re.Text, re.Args...)
	}
	return t(ctx, "Something went wrong")
}

func voice(ctx context.Context) text.Voice { return text.From(ctx) }

// leadingLine keeps a text's first line feed: HTML drops the one that follows
// <textarea>.
func leadingLine(s string) string {
	if len(s) > 0 && s[0] == '\n' {
		return "\n" + s
	}
	return s
}

func itoa(n int) string { return strconv.Itoa(n) }

func itoa64(n int64) string { return strconv.FormatInt(n, 10) }
