package challenge

import (
	"regexp"
	"slices"
	"strings"
	"time"

	"fairladle/challenge/tasting"
	"fairladle/challenge/wording"
)

// Settings is what a host types to create or change a challenge. Times are
// wall-clock times in Zone.
type Settings struct {
	Title, Brief, Rules, Zone  string
	Language                   string // "" for the community's
	OpensAt, ClosesAt, Release time.Time
	EntriesPerPerson           int
	Photos, Prize              bool
	Kitchen                    []Equipment
	Criteria                   []tasting.Criterion
	Reason                     string // asked once the challenge is announced
}

// Limits of what is typed into a challenge.
const (
	MaxTitle = 120
	MaxBrief = 20_000
)

// Languages are those that pages and messages are written in.
var Languages = []string{"en", "de"}

// Check refuses settings that a challenge cannot run with.
func (s Settings) Check() error {
	var bad Refusals
	switch {
	case strings.TrimSpace(s.Title) == "":
		bad.Add("title", "Give the challenge a title.")
	case len(s.Title) > MaxTitle:
		bad.Add("title", "The title is too long: at most %v characters.", MaxTitle)
	}
	if len(s.Brief) > MaxBrief {
		bad.Add("brief", "The brief is too long: at most %v characters.", MaxBrief)
	}
	if len(s.Rules) > MaxBrief {
		bad.Add("rules", "The rules are too long: at most %v characters.", MaxBrief)
	}
	if _, err := time.LoadLocation(s.Zone); err != nil || s.Zone == "" || s.Zone == "Local" {
		bad.Add("zone", "Choose a time zone from the list, such as Europe/Berlin.")
	}
	if s.Language != "" && !slices.Contains(Languages, s.Language) {
		bad.Add("language", "Choose a language from the list.")
	}
	s.checkTimes(&bad)
	if s.EntriesPerPerson < 1 || s.EntriesPerPerson > 100 {
		bad.Add("entries_per_person", "Say how many entries one person may send: 1 to 100.")
	}
	checkKitchen(s.Kitchen, &bad)
	checkCriteria(s.Criteria, &bad)
	return bad.Err()
}

func (s Settings) checkTimes(bad *Refusals) {
	switch {
	case s.OpensAt.IsZero():
		bad.Add("opens_at", "Say when entries open.")
	case s.ClosesAt.IsZero():
		bad.Add("closes_at", "Say when entries close.")
	case !s.ClosesAt.After(s.OpensAt):
		bad.Add("closes_at", "Entries must close after they open.")
	case s.Release.IsZero():
		bad.Add("release_at", "Say when the results may be shown to everyone.")
	case s.Release.Before(s.ClosesAt):
		bad.Add("release_at", "Results can be shown only after entries have closed.")
	}
}

// DefaultCriteria are the criteria a new challenge starts with.
func DefaultCriteria() []tasting.Criterion {
	scale := tasting.Halves()
	return []tasting.Criterion{
		{Key: "taste", Name: wording.Key("Taste"), Weight: 4, Scale: scale, LowWord: wording.Key("I would not finish it"), HighWord: wording.Key("I would ask for more"), NeedsTasting: true},
		{Key: "theme", Name: wording.Key("Answer to the theme"), Weight: 2, Scale: scale, LowWord: wording.Key("beside it"), HighWord: wording.Key("spot on"), NeedsTasting: true},
		{Key: "texture", Name: wording.Key("Texture"), Weight: 2, Scale: scale, LowWord: wording.Key("unpleasant"), HighWord: wording.Key("just right"), NeedsTasting: true},
		{Key: "look", Name: wording.Key("Look of the plate"), Weight: 1, Scale: scale, LowWord: wording.Key("careless"), HighWord: wording.Key("inviting")},
		{Key: "idea", Name: wording.Key("Idea"), Weight: 1, Scale: scale, LowWord: wording.Key("seen often"), HighWord: wording.Key("new to me")},
	}
}

func checkKitchen(list []Equipment, bad *Refusals) {
	for _, e := range list {
		if e.Count < 0 || e.Count > 100 {
			bad.Add("kitchen", "Say how many there are of each thing in the kitchen: 0 to 100.")
			return
		}
		if e.Holds < 0 || e.Holds > 1000 {
			bad.Add("kitchen", "Say how many portions a thing takes at once: 1 to 1000, or leave it empty.")
			return
		}
	}
}

// DefaultKitchen is a home kitchen.
func DefaultKitchen() []Equipment {
	return []Equipment{{Name: "oven", Count: 1}, {Name: "oven shelf", Count: 2}, {Name: "burner", Count: 4}, {Name: "microwave", Count: 1},
		{Name: "fridge", Count: 1}, {Name: "freezer", Count: 1}, {Name: "stand mixer"}, {Name: "food processor", Count: 1}, {Name: "deep fryer"}}
}

// DefaultRule is the tally rule a new tasting starts with: the weighted mean,
// ties settled head to head, then by lowest variance, then by a draw.
func DefaultRule() tasting.Rule {
	return tasting.Rule{Kind: tasting.WeightedMean, Missing: tasting.Renormalise, SmallestPanel: 3, Below: tasting.NotesOnly,
		TieBreaks: []tasting.TieBreak{tasting.HeadToHead, tasting.LowestVariance, tasting.Draw}}
}

var notInSlug = regexp.MustCompile(`[^a-z0-9]+`)

// Slug makes the address of a challenge from its title: lower-case ASCII
// letters, digits and hyphens, at most 60 bytes, never empty.
func Slug(title string) string {
	s := strings.Trim(notInSlug.ReplaceAllString(strings.ToLower(plainLetters(title)), "-"), "-")
	if len(s) > 60 {
		s = strings.Trim(s[:60], "-")
	}
	if s == "" {
		return "challenge"
	}
	return s
}
