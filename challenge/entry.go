package challenge

import (
	"strings"
	"unicode/utf8"
)

// Limits of what an entrant sends.
const (
	MaxRecipe = 200_000 // bytes of recipe text; the longest real one is a tenth of this
	MaxName   = 100
)

// A Submission is what an entrant's form holds.
type Submission struct {
	Name, Spoken, Credit, Email string // display name; how it is said aloud; credit as written
	Text                        string
	Origin                      Origin
	OriginNote                  string // "adapted from ..."
	Consents                    map[ConsentKind]bool
}

// Normalise makes the text what is kept for ever: UTF-8 checked, CRLF and CR
// turned into LF, no NUL; otherwise byte for byte what was received.
func (s *Submission) Normalise() {
	s.Text = KeptText(s.Text)
	s.Name, s.Spoken, s.Credit = strings.TrimSpace(s.Name), strings.TrimSpace(s.Spoken), strings.TrimSpace(s.Credit)
	s.Email, s.OriginNote = strings.TrimSpace(s.Email), strings.TrimSpace(s.OriginNote)
}

// KeptText is the form in which a received recipe is stored.
func KeptText(t string) string {
	t = strings.ToValidUTF8(t, "\uFFFD")
	t = strings.ReplaceAll(t, "\r\n", "\n")
	t = strings.ReplaceAll(t, "\r", "\n")
	return strings.ReplaceAll(t, "\x00", "")
}

// Check refuses a submission that cannot become an entry, naming every field.
func (s Submission) Check() error {
	var bad Refusals
	checkName(&bad, "name", s.Name)
	checkCredit(&bad, s.Credit, s.Spoken)
	if s.Email == "" {
		bad.Add("email", "Give your e-mail address. Only the host's team can see it; it is never published.")
	} else if _, err := AddressKey(s.Email); err != nil {
		bad = append(bad, err.(*Refusal))
	}
	CheckRecipe(&bad, s.Text)
	switch s.Origin {
	case OriginOwn, OriginFamily:
	case OriginAdapted:
		if s.OriginNote == "" {
			bad.Add("origin_note", "Say where the recipe comes from, so that its author can be named.")
		}
	default:
		bad.Add("origin", "Say where the recipe comes from.")
	}
	for _, k := range ConsentKinds {
		if k.Needed() && !s.Consents[k] {
			bad.Add("consent-"+string(k), "An entry cannot take part without this. Tick it if you agree.")
		}
	}
	return bad.Err()
}

// CheckCredit refuses a credit that cannot be shown, as written or as said.
func CheckCredit(credit, spoken string) error {
	var bad Refusals
	checkCredit(&bad, credit, spoken)
	return bad.Err()
}

func checkCredit(bad *Refusals, credit, spoken string) {
	if utf8.RuneCountInString(spoken) > MaxName {
		bad.Add("spoken", "This is too long: at most %v characters.", MaxName)
	}
	if utf8.RuneCountInString(credit) > MaxName {
		bad.Add("credit", "This is too long: at most %v characters.", MaxName)
	}
}

func checkName(bad *Refusals, field, name string) {
	switch {
	case name == "":
		bad.Add(field, "Give the name you go by. Readers and judges do not see it.")
	case utf8.RuneCountInString(name) > MaxName:
		bad.Add(field, "This is too long: at most %v characters.", MaxName)
	case strings.ContainsAny(name, "\r\n\x00"):
		bad.Add(field, "A name stands on one line.")
	}
}

// CheckRecipe refuses a text that cannot be kept as a recipe.
func CheckRecipe(bad *Refusals, text string) {
	switch {
	case strings.TrimSpace(text) == "":
		bad.Add("text", "Paste or type your recipe here.")
	case len(text) > MaxRecipe:
		bad.Add("text", "This is longer than any recipe: at most %v characters are kept. Send the recipe alone.", MaxRecipe)
	}
}
