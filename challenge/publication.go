package challenge

import (
	"net/url"
	"strings"
	"unicode/utf8"
)

// A Publication is what a host adds to the result page besides words. It is
// shown with the first outcome that is released, and not before.
type Publication struct {
	VideoURL   string // where the video is; empty for none
	VideoTitle string
	Still      string // sum of an uploaded picture; empty: a card is drawn
	Sponsor    string // named and marked as a sponsor; empty for none
	SponsorURL string
	OpenScores bool // the scores of every plate, not of the finalists alone
}

// maxAddress bounds a web address that a host types.
const maxAddress = 500

// Check refuses what cannot stand on a public page.
func (p Publication) Check() error {
	var bad Refusals
	checkLine(&bad, "video_title", p.VideoTitle)
	checkLine(&bad, "sponsor", p.Sponsor)
	checkWebAddress(&bad, "video_url", p.VideoURL)
	checkWebAddress(&bad, "sponsor_url", p.SponsorURL)
	if p.VideoURL == "" && (p.VideoTitle != "" || p.Still != "") {
		bad.Add("video_url", "Give the address of the video, or leave its title and picture out.")
	}
	if p.Sponsor == "" && p.SponsorURL != "" {
		bad.Add("sponsor", "Name the sponsor whose address this is.")
	}
	return bad.Err()
}

func checkLine(bad *Refusals, field, typed string) {
	switch {
	case utf8.RuneCountInString(typed) > MaxTitle:
		bad.Add(field, "This is too long: at most %v characters.", MaxTitle)
	case strings.ContainsAny(typed, "\r\n\x00"):
		bad.Add(field, "This stands on one line.")
	}
}

func checkWebAddress(bad *Refusals, field, typed string) {
	if typed == "" {
		return
	}
	u, err := url.Parse(typed)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" || u.User != nil || len(typed) > maxAddress || strings.ContainsAny(typed, " \t\r\n") {
		bad.Add(field, "Write the whole address, beginning with https://.")
	}
}
