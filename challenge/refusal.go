package challenge

import "fmt"

// Why is the class of a refusal; a web page's status follows from it.
type Why int

// The classes of refusals.
const (
	Invalid Why = iota // what was typed cannot be taken as it is
	Shut               // too early or too late for this
	Stale              // someone, or another tab, was faster
	Barred             // this role or link may not do that
	Missing            // there is no such thing
	Over               // a link that was used, revoked or has expired
	Sealed             // it exists, and may not be seen yet
	Often              // asked too often in a short time
)

// A Refusal is an answer to a person: a full sentence that says what is wrong
// and what to do. Text is the catalogue's English key; Args fill its verbs.
// Field names the form field it belongs to, or is empty.
type Refusal struct {
	Why   Why
	Field string
	Text  string
	Args  []any
}

func (r *Refusal) Error() string { return fmt.Sprintf(r.Text, r.Args...) }

// Refuse makes a refusal.
func Refuse(why Why, field, text string, args ...any) *Refusal {
	return &Refusal{Why: why, Field: field, Text: text, Args: args}
}

// NotFound refuses because there is nothing of that kind.
func NotFound(text string) *Refusal { return Refuse(Missing, "", text) }

// Refusals are all that is wrong with a form at once, so that a person mends
// it in one go.
type Refusals []*Refusal

func (rs Refusals) Error() string {
	if len(rs) == 0 {
		return "nothing refused"
	}
	return rs[0].Error()
}

// Add collects a refusal of a field.
func (rs *Refusals) Add(field, text string, args ...any) {
	*rs = append(*rs, Refuse(Invalid, field, text, args...))
}

// Err is nil where nothing was refused.
func (rs Refusals) Err() error {
	if len(rs) == 0 {
		return nil
	}
	return rs
}
