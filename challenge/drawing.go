package challenge

import (
	"errors"
	"fmt"
	"time"

	"fairladle/challenge/draw"
)

// FallbackDice are the dice that decide when a sealed secret is never opened:
// those of the round, or one with twenty faces.
func (p Params) FallbackDice() []int {
	if len(p.Faces) == 0 {
		return []int{20}
	}
	return p.Faces
}

func (p Params) checkDraw(bad *Refusals) {
	if p.Places < 1 || p.Places > 100 {
		bad.Add("places", "Say how many places are drawn: the first and its alternates, 1 to 100 in all.")
	}
	switch draw.Method(p.Method) {
	case draw.ByDice:
		if len(p.Faces) == 0 {
			bad.Add("faces", "Name one to six dice by their number of faces, such as 20 or 10, 10.")
		}
		p.checkFaces(bad)
	case draw.BySeeds:
		p.checkSeeds(bad)
	case draw.ByPublics:
		if len(p.Sources) == 0 {
			bad.Add("sources", "Describe at least one public source, such as the numbers of a lottery.")
		}
		for _, s := range p.Sources {
			addSource(bad, "sources", s.Check())
		}
	default:
		bad.Add("method", "Choose dice, sealed seeds or public sources.")
	}
}

func (p Params) checkFaces(bad *Refusals) {
	if len(p.Faces) > 6 {
		bad.Add("faces", "Name one to six dice by their number of faces, such as 20 or 10, 10.")
	}
	for _, f := range p.Faces {
		if f < 2 || f > 1000 {
			bad.Add("faces", "A die has between 2 and 1000 faces.")
			return
		}
	}
}

func (p Params) checkSeeds(bad *Refusals) {
	if len(p.Parties) < 2 {
		bad.Add("parties", "Sealed seeds need at least two parties, so that no one alone knows the outcome.")
	}
	if p.Minutes < 1 || p.Minutes > 7*24*60 {
		bad.Add("minutes", "Say how many minutes there are for sealing, and again for revealing: 1 to 10080.")
	}
	if p.Later == nil {
		p.checkFaces(bad)
		return
	}
	addSource(bad, "later", p.Later.Check())
	if p.Later.Bits > 0 && p.Later.Bits < draw.MinLaterBits {
		bad.Add("later", "The later value needs at least %v bits of surprise, so that refusing to open a secret gains nothing worth having.", draw.MinLaterBits)
	}
}

// addSource adds what package draw refuses about a source.
func addSource(bad *Refusals, field string, err error) {
	if refused, ok := errors.AsType[draw.Refusal](err); ok {
		bad.Add(field, refused.Text, refused.Args...)
	}
}

// ShownFrom is when the outcome of r can be seen by the public at the
// earliest: a later round is never shown before an earlier one.
func (c Challenge) ShownFrom(r Round) time.Time {
	at := c.ReleaseOf(r)
	for _, p := range c.Rounds {
		if p.Position < r.Position && c.ReleaseOf(p).After(at) {
			at = c.ReleaseOf(p)
		}
	}
	return at
}

// CheckSources refuses a draw by public sources that is to be kept until after
// the last source has appeared: anyone can compute it from then on.
func (c Challenge) CheckSources(r Round) error {
	if r.Kind != Draw || draw.Method(r.Params.Method) != draw.ByPublics {
		return nil
	}
	var last time.Time
	for _, s := range r.Params.Sources {
		if s.At.Time().After(last) {
			last = s.At.Time()
		}
	}
	if c.ShownFrom(r).After(last) {
		return Refuse(Invalid, "release_at", "Anyone can work out this draw as soon as the public values appear, so its outcome, and that of every round before it, must be public by then. Set an earlier time here and in those rounds, or choose another way to draw.")
	}
	return nil
}

// ExpectedIn is how many entries go into r if the rounds before it run as they
// are planned.
func (c Challenge) ExpectedIn(r Round) int {
	n := c.Entries
	for _, p := range c.Rounds {
		switch {
		case p.Position >= r.Position:
			return n
		case p.Kind == Draw:
			n = min(n, 1)
		case p.Kind != Reading && p.Kind != Pick:
		case n == 0 || p.Params.Keep < n:
			n = p.Params.Keep
		}
	}
	return n
}

// OneEachSaid announces in public that one entry of each person was drawn for
// a list; leaf is where the ledger commits to how.
func OneEachSaid(leaf int64) string {
	return fmt.Sprintf("Everyone has one chance: one entry of each person was drawn for this list. How is committed to in leaf %d of the ledger; it stays closed, because it would show which numbers belong together.", leaf)
}
