package views

import (
	"context"

	"fairladle/challenge"
	"fairladle/store"
)

// A MessagesPage is what a challenge tells people, and in which words.
type MessagesPage struct {
	Frame    Frame
	Base     string
	Mailings []store.Mailing
	Kinds    []MessageKind
	ByMail   bool
	Messages Messages
}

// A MessageKind is a sort of message in a list.
type MessageKind struct {
	ID, Name string
	Own      bool // worded by the host
}

// A LetterPage is one kind of message to be worded.
type LetterPage struct {
	Frame    Frame
	Base     string
	Kind     MessageKind
	Messages Messages
	Letter   challenge.Letter
	Preview  challenge.Letter
	Example  int // number of the entry the preview is filled from, 0 for a made-up one
	Stops    bool
}

func mailingName(k challenge.MailingKind) string {
	switch k {
	case challenge.Shortlisted:
		return "Goes on"
	case challenge.NotThisTime:
		return "Not this time"
	case challenge.WasDrawn:
		return "Drawn"
	case challenge.ResultIsOut:
		return "The results are out"
	}
	return "Reminder"
}

func mailingTells(k challenge.MailingKind) string {
	switch k {
	case challenge.Shortlisted:
		return "To everyone whose recipe goes on from this round."
	case challenge.NotThisTime:
		return "To everyone whose recipe does not go on from this round."
	case challenge.WasDrawn:
		return "To the person whose recipe was drawn."
	case challenge.ResultIsOut:
		return "To everyone who took part, once each."
	}
	return "To those who have not finished in this round."
}

// when says from when on a released mailing leaves.
func when(ctx context.Context, m store.Mailing) string {
	switch {
	case m.Ready:
		return t(ctx, "It is public, so the messages leave at once.")
	case m.From.IsZero():
		return t(ctx, "You can release it now. The messages are made when the outcome is public, not before.")
	}
	return t(ctx, "You can release it now. The messages are made when the outcome is public: %v, not before.", voice(ctx).Moment(m.From))
}
