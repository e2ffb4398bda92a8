package recipe

import (
	"fairladle/challenge/measure"
	"fairladle/challenge/wording"
)

// Version is the reader's version. It is raised whenever a text may be read
// differently, so that stored breakdowns can be derived again.
const Version = 3

// Place is a byte range [Start, End) in the text that was read. The zero Place
// stands for something that the text does not say.
type Place struct {
	Start int `json:"start"`
	End   int `json:"end"`
}

// In returns the text at p, or "" where p lies outside.
func (p Place) In(text string) string {
	if p.Start < 0 || p.End < p.Start || p.End > len(text) {
		return ""
	}
	return text[p.Start:p.End]
}

// IsZero reports whether p points nowhere.
func (p Place) IsZero() bool { return p == Place{} }

// Breakdown is the structured recipe derived from an entry's text.
type Breakdown struct {
	Reader     int          `json:"reader"`
	Title      string       `json:"title"`
	TitleAt    Place        `json:"title_at"`
	TitleSure  float64      `json:"title_sure"` // 0..1; low where the title is only the first words
	Intro      []Place      `json:"intro,omitempty"`
	Yield      Yield        `json:"yield,omitzero"`
	Times      []HeaderTime `json:"times,omitempty"`
	Components []Component  `json:"components,omitempty"`
	Equipment  []Place      `json:"equipment,omitempty"` // lines of a list of utensils
	Notes      []Place      `json:"notes,omitempty"`
	Allergens  []Allergen   `json:"allergens,omitempty"`
	// Unrecognised are ingredient names without a word that the tables know; for
	// them neither allergens nor diets can be told.
	Unrecognised []string  `json:"unrecognised,omitempty"`
	Diets        []Diet    `json:"diets,omitempty"`
	Findings     []Finding `json:"findings,omitempty"`
}

// Yield is what the recipe makes. Servings is zero where only a count of pieces
// or a volume is given ("makes 20 cookies": Pieces "cookies").
type Yield struct {
	Text     string        `json:"text"`
	Servings measure.Range `json:"servings,omitzero"`
	Count    measure.Range `json:"count,omitzero"`
	Pieces   string        `json:"pieces,omitempty"`
	At       Place         `json:"at"`
}

// Span is a length of time in minutes.
type Span struct {
	Min float64 `json:"min"`
	Max float64 `json:"max"`
}

// HeaderTime is a time given for the whole recipe. Kind is "prep", "cook",
// "total", "rest" or the word in the text.
type HeaderTime struct {
	Kind    string `json:"kind"`
	Minutes Span   `json:"minutes"`
	At      Place  `json:"at"`
}

// Component is a part of a recipe made on its own; the first may have no name.
type Component struct {
	Name        string       `json:"name,omitempty"`
	At          Place        `json:"at,omitzero"` // of the name
	Optional    bool         `json:"optional,omitempty"`
	Ingredients []Ingredient `json:"ingredients,omitempty"`
	Steps       []Step       `json:"steps,omitempty"`
}

// Measure is one amount with its unit, as in "200 g / 7 oz".
type Measure struct {
	Amount measure.Range `json:"amount"`
	Unit   string        `json:"unit,omitempty"`
	At     Place         `json:"at"`
	// Plus marks an amount that comes on top ("1 cup plus 2 tbsp"); the others
	// say the same amount again.
	Plus bool `json:"plus,omitempty"`
}

// Ingredient is one ingredient line, or one amount found in a sentence. Where a
// line lists several with their amounts, the first has the whole line as its Text.
type Ingredient struct {
	Text         string        `json:"text"`
	At           Place         `json:"at"`
	Amount       measure.Range `json:"amount,omitzero"` // zero: none given
	About        bool          `json:"about,omitempty"`
	Unit         string        `json:"unit,omitempty"` // short form; empty for a count
	AmountAt     Place         `json:"amount_at,omitzero"`
	Also         []Measure     `json:"also,omitempty"`
	Pack         *Measure      `json:"pack,omitempty"` // what one container holds: "1 (14.5 oz) can"
	Name         string        `json:"name"`
	NameAt       Place         `json:"name_at,omitzero"`
	Preparation  string        `json:"preparation,omitempty"`
	PartOf       string        `json:"part_of,omitempty"` // "juice of": what of the named thing is used
	Size         string        `json:"size,omitempty"`
	Alternatives []string      `json:"alternatives,omitempty"`
	Note         string        `json:"note,omitempty"`
	Link         string        `json:"link,omitempty"` // a link in the line, to another recipe
	Optional     bool          `json:"optional,omitempty"`
	ToTaste      bool          `json:"to_taste,omitempty"`
	Divided      bool          `json:"divided,omitempty"`
	FromProse    bool          `json:"from_prose,omitempty"`
	SameLine     bool          `json:"same_line,omitempty"` // its text is part of the line before it
	Added        bool          `json:"added,omitempty"`     // by a correction
	Sure         float64       `json:"sure"`                // 0..1
}

// Measure writes the amount the way a cook does ("1 1/2 cups", "2-3 tbsp"), or
// "" where the line gives none.
func (i Ingredient) Measure() string {
	if i.Amount.IsZero() {
		return ""
	}
	return measure.Write(i.Amount, i.Unit)
}

// Step is one step of the method.
type Step struct {
	Text         string        `json:"text"`
	At           Place         `json:"at"`
	Durations    []Duration    `json:"durations,omitempty"`
	Temperatures []Temperature `json:"temperatures,omitempty"`
	OvenWords    string        `json:"oven_words,omitempty"` // "moderate": an oven without a number
	Overnight    bool          `json:"overnight,omitempty"`
	Heats        bool          `json:"heats,omitempty"` // bakes, boils or the like, so a time is wanted
	Until        string        `json:"until,omitempty"` // "golden brown"
	Equipment    []string      `json:"equipment,omitempty"`
	Attended     Attention     `json:"attended"`
	Uses         []int         `json:"uses,omitempty"`            // ingredients, numbered through all components from 0
	UsesParts    []int         `json:"uses_components,omitempty"` // other components, by index
}

// Attention says whether a step holds the cook.
type Attention string

// Somebody must be there, look in now and then, or may leave.
const (
	Attended   Attention = "attended"
	Part       Attention = "part"
	Unattended Attention = "unattended"
)

// Duration is a time in a step, in minutes. Every marks an interval ("stir
// every 10 minutes"), Keeps a storage time ("keeps up to a week"): neither is
// work.
type Duration struct {
	MinMinutes float64 `json:"min_minutes"`
	MaxMinutes float64 `json:"max_minutes"`
	Text       string  `json:"text"`
	At         Place   `json:"at"`
	Every      bool    `json:"every,omitempty"`
	Keeps      bool    `json:"keeps,omitempty"`
	Each       bool    `json:"each,omitempty"` // per side, per batch
	About      bool    `json:"about,omitempty"`
}

// Temperature is one temperature in a step. Value and Max are as written in
// Unit: "C", "F", "gas", or "" where the text does not say. Kind is "oven",
// "oil", "internal" or "other".
type Temperature struct {
	Value float64 `json:"value"`
	Max   float64 `json:"max,omitempty"` // of a range, else 0
	Unit  string  `json:"unit"`
	Kind  string  `json:"kind"`
	Fan   bool    `json:"fan,omitempty"`
	Text  string  `json:"text"`
	At    Place   `json:"at"`
}

// Finding is something to look at: one plain sentence for the entrant. Level is
// "look", "missing" or "caution"; a caution has the Source of its rule.
type Finding struct {
	Code    string           `json:"code"`
	Text    wording.Sentence `json:"text"`
	Level   string           `json:"level"`
	At      Place            `json:"at,omitzero"`
	Source  string           `json:"source,omitempty"`
	Settled bool             `json:"settled,omitempty"` // a person has looked at it
}

// The levels of a Finding.
const (
	Look    = "look"
	Missing = "missing"
	Caution = "caution"
)

// Allergen is one allergen that words of the recipe name, with those words.
// Level is "sure" or "may". What is not listed is not recognised, which never
// means that it is not there.
type Allergen struct {
	Name  string   `json:"name"`
	Level string   `json:"level"`
	Words []string `json:"words"`
	At    []Place  `json:"at"`
}

// Diet says which ingredients speak against a diet ("vegetarian", "vegan").
// Level "against" or "check"; a diet that is not listed is not promised.
type Diet struct {
	Name  string   `json:"name"`
	Level string   `json:"level"`
	Words []string `json:"words"`
}

// Ingredients gives all ingredients of all components in order; Step.Uses
// numbers this list.
func (b Breakdown) Ingredients() []Ingredient {
	n := 0
	for _, c := range b.Components {
		n += len(c.Ingredients)
	}
	out := make([]Ingredient, 0, n)
	for _, c := range b.Components {
		out = append(out, c.Ingredients...)
	}
	return out
}

// Steps gives all steps of all components in order.
func (b Breakdown) Steps() []Step {
	var out []Step
	for _, c := range b.Components {
		out = append(out, c.Steps...)
	}
	return out
}
