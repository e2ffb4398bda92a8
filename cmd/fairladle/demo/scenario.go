package demo

import "time"

// Scenario is everything the demo shows.
type Scenario struct {
	Name, Programme, About string // the community, its programme, who they are
	Season                 string
	Zone                   string // IANA name
	Host, Cohost           Person
	Readers, Judges        []Person
	Kitchen                []Equipment
	Challenges             []Challenge // the main one first
}

// Person is someone who takes part by invitation. Key is how marks and sheets
// name them.
type Person struct {
	Key, Name, Email string
}

// Equipment is what the kitchen has, and how many of it.
type Equipment struct {
	Name  string
	Count int
}

// Stage is how far a challenge has come.
type Stage string

// The stages. In each, all that came before has happened.
const (
	Draft       Stage = "draft"
	Open        Stage = "open"
	Reading     Stage = "reading"       // closed; readers are at work
	Pick        Stage = "pick"          // shortlist made; the pick is due
	ReadyToDraw Stage = "ready-to-draw" // finalists picked; the roster can be frozen
	Tasting     Stage = "tasting"       // drawn and cooked; some sheets are in
	Released    Stage = "released"      // tasted, voted, published
)

// Stages lists the stages in their order.
var Stages = []Stage{Draft, Open, Reading, Pick, ReadyToDraw, Tasting, Released}

// Challenge is one call for recipes. Opens, Closes and Release are distances
// from now, negative for the past; Release is zero unless Stage is Released.
type Challenge struct {
	Slug, Title            string
	Stage                  Stage
	Brief, Rules           string // Markdown
	Opens, Closes, Release time.Duration
	EntriesPerPerson       int
	Photos                 bool
	Criteria               []Criterion
	House                  []HouseDish
	Entries                []Entry // Entries[i].Number is i+1
	Marks                  []Mark
	Picks                  []Choice // the finalists with the reason, best first; in stage Pick they are still to be made
	Sheets                 []Sheet
	Ballots                Ballots
}

// Criterion is what judges score, from 0 to 10, with words for both ends.
// Weights of a challenge sum to 100.
type Criterion struct {
	Name, Low, High string
	Weight          int
}

// HouseDish is a recipe of the host's; Cook is a Person's key.
type HouseDish struct {
	Title, Cook, Text string
}

// Entry is one recipe as it was sent.
type Entry struct {
	Number   int
	Slug     string
	Name     string // as the sender typed it
	Email    string
	Credit   string // as the credit is to be written
	Spoken   string // how it is said aloud; empty if as written
	Consents []string
	Guardian bool // consent "of-age" was given by a guardian
	Origin   string
	OriginOf string        // whose or from where, for "adapted" and "family"
	Picture  Subject       // empty: no photo was sent
	Odd      string        // "no-recipe", "link-only" or empty
	Sent     time.Duration // distance from now, negative
	Text     string        // ends with a newline
}

// Mark is a reader's verdict on an entry: "keep", "maybe" or "leave out".
type Mark struct {
	Entry   int
	Reader  string // a Person's key
	Verdict string
	Note    string
}

// Choice is a finalist and the reason given for it.
type Choice struct {
	Entry  int
	Reason string
}

// Sheet is one judge's form for one plate. Entry is 0 for the house dish.
// There are sheets for every finalist, whichever is drawn. Scores follow the
// challenge's criteria.
type Sheet struct {
	Entry   int
	Judge   string // a Person's key
	Scores  []int
	Comment string
}

// Ballots counts the audience's votes for the two plates.
type Ballots struct {
	Entry, House int
}
