package challenge

import "time"

// ConsentKind is one thing an entrant agrees to, or not, on its own.
type ConsentKind string

// The consents. Each is asked for by itself, dated, and can be changed later.
const (
	Considered ConsentKind = "considered" // the recipe takes part
	Filmed     ConsentKind = "filmed"     // it may be cooked and filmed
	Published  ConsentKind = "published"  // the recipe's text may be shown with the results
	Credited   ConsentKind = "credited"   // the name may be shown, as written in Credit
	Contacted  ConsentKind = "contacted"  // the address may be used for other things than this challenge
	OfAge      ConsentKind = "of-age"     // adult, or a guardian agrees
)

// ConsentKinds lists every consent in the order they are asked.
var ConsentKinds = []ConsentKind{Considered, OfAge, Filmed, Published, Credited, Contacted}

// Needed says which consents an entry cannot do without.
func (k ConsentKind) Needed() bool { return k == Considered || k == OfAge }

// A Consent is one answer, and when it was given.
type Consent struct {
	Kind  ConsentKind `json:"kind"`
	Given bool        `json:"given"`
	At    time.Time   `json:"at"`
}

// Consents are the answers that hold now.
type Consents map[ConsentKind]Consent

// Given says whether k is agreed to now.
func (cs Consents) Given(k ConsentKind) bool { return cs[k].Given }

// Eligible says whether an entry with these consents may go into a round.
func (cs Consents) Eligible() bool { return agreed(cs.Given) }

// Agreed says the same of the answers of a form.
func Agreed(answers map[ConsentKind]bool) bool {
	return agreed(func(k ConsentKind) bool { return answers[k] })
}

func agreed(given func(ConsentKind) bool) bool {
	for _, k := range ConsentKinds {
		if k.Needed() && !given(k) {
			return false
		}
	}
	return true
}

// Origin is where a recipe comes from, as the entrant says.
type Origin string

// The origins an entrant can choose from.
const (
	OriginOwn     Origin = "own"
	OriginAdapted Origin = "adapted" // from a source, named in words
	OriginFamily  Origin = "family"
)
