package challenge

import (
	"strings"
	"time"
	"unicode/utf8"
)

// Turn is whose order decides to whom a prize is offered.
type Turn string

// The turns.
const (
	ByDraw  Turn = "draw"  // as the draw placed them: the drawn entry, then its alternates
	ByFinal Turn = "final" // as the final result places them; house dishes are passed over
)

// A Prize is what is given, in which order it is offered, and how many days
// somebody has to accept it.
type Prize struct {
	What string
	Turn Turn
	Days int
}

// Limits of a prize and of an address.
const (
	maxPrize        = 300
	maxPostal       = 500
	AddressKeptDays = 90 // an address that nobody used is deleted after so many days
)

// Check refuses a prize that cannot be offered.
func (p Prize) Check() error {
	var bad Refusals
	switch n := utf8.RuneCountInString(strings.TrimSpace(p.What)); {
	case n == 0:
		bad.Add("what", "Say what the prize is.")
	case n > maxPrize:
		bad.Add("what", "This is too long: at most %v characters.", maxPrize)
	}
	if p.Turn != ByDraw && p.Turn != ByFinal {
		bad.Add("turn", "Choose one of the two orders.")
	}
	if p.Days < 1 || p.Days > 60 {
		bad.Add("days", "Say how many days there are to accept it: 1 to 60.")
	}
	return bad.Err()
}

// CheckPostal refuses what cannot be an address to send something to.
func CheckPostal(address string) error {
	switch n := utf8.RuneCountInString(strings.TrimSpace(address)); {
	case n < 10:
		return Refuse(Invalid, "address", "Write the whole address, with your name and country.")
	case n > maxPostal:
		return Refuse(Invalid, "address", "This is too long: at most %v characters.", maxPostal)
	}
	return nil
}

// OfferState is where an offer stands.
type OfferState string

// The states of an offer.
const (
	Offered  OfferState = "offered"
	Accepted OfferState = "accepted" // an address may be given
	Declined OfferState = "declined"
	Lapsed   OfferState = "lapsed" // its date passed without an answer
	Sent     OfferState = "sent"   // the address is deleted
)

// grace is how long after the message about it was sent an offer stands at
// least, so that a message that waited in an outbox costs nobody a prize.
const grace = 3 * 24 * time.Hour

// An Offer is one prize offered to the author of one entry.
type Offer struct {
	Number     int // of the entry
	Dish       int64
	OfferedAt  time.Time
	DueAt      time.Time
	ToldAt     time.Time // when the message was sent; zero while it waits
	Answer     string    // accepted, declined, lapsed; empty while there is none
	AnsweredAt time.Time
	AddressAt  time.Time // when an address was given, zero for none
	SentAt     time.Time
}

// Until is when the offer lapses: its date, or later where the message went
// out late; zero while it has not gone out.
func (o Offer) Until() time.Time {
	if o.ToldAt.IsZero() {
		return time.Time{}
	}
	if late := o.ToldAt.Add(grace); late.After(o.DueAt) {
		return late
	}
	return o.DueAt
}

// State is where the offer stands at now.
func (o Offer) State(now time.Time) OfferState {
	switch {
	case !o.SentAt.IsZero():
		return Sent
	case o.Answer != "":
		return OfferState(o.Answer)
	case !o.Until().IsZero() && !now.Before(o.Until()):
		return Lapsed
	}
	return Offered
}
