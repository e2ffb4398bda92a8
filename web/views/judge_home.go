package views

import (
	"time"

	"fairladle/challenge/kitchen"
	"fairladle/store"
)

// A HomePackPage is what a judge needs who cooks at home. It names no entrant,
// no entry and no cook.
type HomePackPage struct {
	Frame    Frame
	Desk     string
	Base     string // of the pack
	Score    string // of the sheets
	Pack     store.HomePack
	Dishes   []HomeDish
	Shopping kitchen.ShoppingList
	Plan     kitchen.RunSheet
	Serve    time.Time
	Messages Messages
	At       int // code of the dish the messages belong to
}

// A HomeDish is one recipe of the pack, for the judge's portions.
type HomeDish struct {
	store.HomeDish
	Reading Reading
	Parts   []SizedPart
}

func (p HomePackPage) messages(d HomeDish) Messages {
	if p.At == d.Code {
		return p.Messages
	}
	return nil
}

// homeClock is when a row begins: the clock, with the day where it is another.
func homeClock(p HomePackPage, at time.Time) string {
	at = at.In(p.Serve.Location())
	if at.Format(time.DateOnly) == p.Plan.Serve.In(p.Serve.Location()).Format(time.DateOnly) {
		return at.Format("15:04")
	}
	return at.Format("01-02 15:04")
}
