package views

import (
	"net/url"

	"fairladle/challenge"
	"fairladle/store"
)

type FieldPage struct {
	Frame Frame
	Base  string
	Total int
	Query store.FieldQuery
	Page  store.Page
	Next  string
}

// sorted is the address of the list sorted by a column, the other way round
// where it is sorted by it already.
func (p FieldPage) sorted(by string) string {
	v := url.Values{"sort": {by}}
	if p.Query.Search != "" {
		v.Set("q", p.Query.Search)
	}
	if p.Query.Sort == by && !p.Query.Descending {
		v.Set("down", "1")
	}
	return p.Base + "/entries?" + v.Encode()
}

// direction is the aria-sort value of a column.
func (p FieldPage) direction(by string) string {
	switch {
	case p.Query.Sort != by && (p.Query.Sort != "" || by != "number"):
		return "none"
	case p.Query.Descending:
		return "descending"
	}
	return "ascending"
}

type EntryPage struct {
	Frame        Frame
	Base         string
	Recipe       store.Recipe
	Reading      Reading
	Origin       *store.Origin // nil for one that came through the form
	MaySeeSender bool
	Sender       *Sender // nil unless a host asked for it
	MayDecide    bool    // on the entry's part, and ask its author
	State        string  // in, withdrawn, barred
	Bars         []store.Bar
	Told         store.Told
	Typed        store.Bar // of a form that was not taken
	Lifted       string
	Questions    []store.Question
	Question     string
	Messages     Messages
}

// Sender is who sent an entry. Only the page that answers a host's question
// holds one.
type Sender struct {
	Name, Email, Credit, Spoken string
	Origin                      challenge.Origin
	OriginNote                  string
	Consents                    challenge.Consents
}

type OutboxPage struct {
	Frame    Frame
	Messages []store.Message
	Failed   []store.Message
	Names    map[string]string // of the kinds
	ByMail   bool              // a mail server is set up
	ByHand   int               // those that can be taken out
	Last     int64             // the newest of them
}

func pressed(on bool) string {
	if on {
		return "true"
	}
	return "false"
}
