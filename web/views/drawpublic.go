package views

import (
	"context"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/wording"
	"fairladle/store"
)

// A PublicDrawPage is a draw as everyone sees it now.
type PublicDrawPage struct {
	Frame     Frame
	Base      string
	Slug      string
	Challenge string
	Round     challenge.Round
	Prize     bool
	Release   time.Time
	Draw      store.PublicDraw
	Key       string
	List      Stretch // of the list
	Table     []FaceRow
	More      int // lines of the table that are left out
}

func (p PublicDrawPage) label(ctx context.Context, number int) string {
	return label(ctx, p.Round.Kind == challenge.Tasting, number)
}

// notes are the plan's own sentences; the caution about prizes stands only
// where there is a prize.
func (p PublicDrawPage) notes() []wording.Sentence {
	var out []wording.Sentence
	for _, s := range p.Draw.Plan.Notes() {
		if s.Text != draw.PrizeCaution || p.Prize {
			out = append(out, s)
		}
	}
	return out
}

// A DrawCheck is the page on which a browser does the draw again.
type DrawCheck struct {
	Frame     Frame
	Base      string
	Slug      string
	Round     string
	Challenge string
	Tie       bool
	Inline    string // the record, fit to stand in a script element
}

// A DrawProtocol is the draw on one page of paper.
type DrawProtocol struct {
	Frame    Frame
	Base     string
	Tie      bool
	Level    bool // it settled the last places of a reading
	Protocol draw.Protocol
}

// A PublicRoll is a released roll.
type PublicRoll struct{ At, Dice, Means, By string }

// rolls are the released rolls in their order.
func (p PublicDrawPage) rolls(ctx context.Context) []PublicRoll {
	var out []PublicRoll
	for _, r := range p.Draw.State.Rolls {
		by := t(ctx, "typed by the %v", r.By)
		for _, other := range r.ConfirmedBy {
			by += ", " + t(ctx, "confirmed by the %v", other)
		}
		out = append(out, PublicRoll{voice(ctx).Moment(p.Draw.Events[r.N-1].At.Time()), joinInts(r.Dice), rollMeans(ctx, r, p.label), by})
	}
	return out
}

func (p PublicDrawPage) placeName(ctx context.Context, place int) string {
	if p.Round.Kind == challenge.Reading {
		return t(ctx, "On the shortlist")
	}
	if p.Round.Kind == challenge.Tasting {
		return t(ctx, "Place %v among the tied", place)
	}
	return PlaceName(ctx, place)
}

// sealedSoFar counts the secrets that have been sealed.
func (p PublicDrawPage) sealedSoFar() (n int) {
	for _, s := range p.Draw.Shares {
		if s.Commitment != nil {
			n++
		}
	}
	return n
}

func (p DrawProtocol) placeName(ctx context.Context, place int, name string) string {
	if p.Level {
		return t(ctx, "On the shortlist")
	}
	if p.Tie {
		return t(ctx, "Place %v among the tied", place)
	}
	return name
}

// lastValue is when the last public value appears.
func (p PublicDrawPage) lastValue() (last time.Time) {
	for _, s := range p.Draw.Plan.PublicValues() {
		if s.At.Time().After(last) {
			last = s.At.Time()
		}
	}
	return last
}
