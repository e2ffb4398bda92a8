package challenge

import (
	"slices"
	"strings"
	"unicode/utf8"

	"fairladle/challenge/ballot"
)

// A Theme is what the next challenge may be about.
type Theme struct {
	ID    int64 // 0 before it is stored
	Title string
	About string // a sentence; may be empty
}

// Limits of a vote on themes.
const (
	MaxThemes   = 20
	maxAboutOne = 300
)

// ParseThemes reads themes as a host types them: one on each line, with what it
// is about behind a colon. A comma or a dash in a title stays in it.
func ParseThemes(typed string) (ts []Theme) {
	for line := range strings.Lines(typed) {
		title, about, _ := strings.Cut(strings.TrimSpace(line), ":")
		if title = strings.TrimSpace(title); title != "" {
			ts = append(ts, Theme{Title: title, About: strings.TrimSpace(about)})
		}
	}
	return ts
}

// CheckThemes refuses a vote that cannot be held; hours is how long it lasts.
func CheckThemes(ts []Theme, m ballot.Method, hours int) error {
	var bad Refusals
	switch {
	case len(ts) < 2:
		bad.Add("themes", "A vote needs at least two themes, each on a line of its own.")
	case len(ts) > MaxThemes:
		bad.Add("themes", "At most %v themes can be put to the vote.", MaxThemes)
	}
	for i, t := range ts {
		same := func(o Theme) bool { return strings.EqualFold(o.Title, t.Title) }
		switch {
		case utf8.RuneCountInString(t.Title) > MaxTitle || utf8.RuneCountInString(t.About) > maxAboutOne:
			bad.Add("themes", "“%v” is too long.", t.Title[:min(len(t.Title), 40)])
		case slices.ContainsFunc(ts[:i], same):
			bad.Add("themes", "“%v” stands there twice.", t.Title)
		}
	}
	if !slices.Contains(ballot.Methods(), m) {
		bad.Add("method", "Choose one of the methods in the list.")
	}
	if hours < 1 || hours > 24*31 {
		bad.Add("hours", "Say how many hours the vote lasts: 1 to 744.")
	}
	return bad.Err()
}
