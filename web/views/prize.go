package views

import (
	"time"

	"fairladle/challenge"
	"fairladle/challenge/wording"
	"fairladle/store"
)

// A PrizePage is where a host offers the prize.
type PrizePage struct {
	Frame     Frame
	Desk      string
	Challenge challenge.Challenge
	Given     store.PrizeGiven
	Typed     challenge.Prize
	Address   string // of whoever accepted, where it was asked for just now
	Mail      bool   // messages leave by themselves
	Now       time.Time
	Messages  Messages
}

// mayOffer says whether the next offer can be made by hand.
func (p PrizePage) mayOffer() bool {
	last, any := p.Given.Last()
	if !any {
		return true
	}
	state := last.State(p.Now)
	return state == challenge.Declined || state == challenge.Lapsed || state == challenge.Offered && !p.Now.Before(last.DueAt)
}

func offerWords(s challenge.OfferState) string {
	return map[challenge.OfferState]string{
		challenge.Offered:  wording.Key("offered, not answered yet"),
		challenge.Accepted: wording.Key("accepted"),
		challenge.Declined: wording.Key("declined"),
		challenge.Lapsed:   wording.Key("not answered in time"),
		challenge.Sent:     wording.Key("sent"),
	}[s]
}
