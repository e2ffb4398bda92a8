package views

import (
	"context"

	"fairladle/challenge"
	"fairladle/store"
)

// An AnnouncementsPage is where a host copies announcements from.
type AnnouncementsPage struct {
	Frame   Frame
	Desk    string
	Draft   bool
	Shows   challenge.Showing  // to the public
	Call    []AnnouncementForm // for recipes
	Results []AnnouncementForm // of what has been released; nil before
	Ahead   bool               // the host prepares
	Later   []AnnouncementForm // what will be told of the closed rounds
}

// An AnnouncementForm is one text in one form.
type AnnouncementForm struct {
	ID     string // of its field
	Suffix string
	Kind   string // content type
	Name   string
	Use    string
	Text   string
	File   string // below the page; empty for none
}

// PublicName is how a dish is called on a public page.
func PublicName(ctx context.Context, d store.PublicDish) string { return publicName(ctx, d) }

// PublicUnder is what stands below the name: number, credit or cook.
func PublicUnder(ctx context.Context, d store.PublicDish) string { return publicUnder(ctx, d) }

// QuoteUnder says whose words a quote is, as that judge chose.
func QuoteUnder(ctx context.Context, q store.Quote) string { return quoteUnder(ctx, q) }
