package views

import (
	"context"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/store"
)

// A DrawDesk is the screen on which a draw is run, or a tie is settled.
type DrawDesk struct {
	Frame  Frame
	Base   string // of this screen
	Desk   string
	Public string // address of the public page, without host
	Round  challenge.Round
	Tie    bool // it settles the tie of a tasting
	Level  bool // it settles the last places of a reading
	Prize  bool
	// MayRun is for the host; whoever else sees the screen may confirm.
	MayRun   bool
	Actor    challenge.Actor
	As       string // how the person at the desk stands in the record
	Release  time.Time
	Draw     store.DrawState
	Now      time.Time
	Messages Messages
	// At says which form the messages belong to: roll, seal, reveal, source,
	// void.
	At    string
	Typed Typed
	// Nonces are fresh ones for the parties whose secrets can be sealed here.
	Nonces map[string]string
}

// Typed is what a refused form of the screen held.
type Typed struct {
	Dice                  []string
	Party, Nonce, Secret  string
	Sealed, Reason, Agree string
	Source                int // from 1
	Values                string
}

// typedValues is what stood in the form of a source.
func (p DrawDesk) typedValues(source int) string {
	if p.Typed.Source == source {
		return p.Typed.Values
	}
	return ""
}

func (p DrawDesk) sourceMessages(source int) Messages {
	if p.Typed.Source == source {
		return p.at("source")
	}
	return nil
}

// takes says whether the value of source number i, from 0, can be typed now.
func (p DrawDesk) takes(i int) bool {
	s := p.Draw.State
	return p.open() && p.MayRun && p.Draw.Awaits == draw.ForSources && s.Values[i] == nil && !p.Now.Before(s.Plan.PublicValues()[i].At.Time())
}

func (p DrawDesk) at(form string) Messages {
	if p.At == form {
		return p.Messages
	}
	return nil
}

// partyMessages belong to the form of one party.
func (p DrawDesk) partyMessages(form, party string) Messages {
	if p.Typed.Party == party {
		return p.at(form)
	}
	return nil
}

func (p DrawDesk) open() bool { return p.Round.State == challenge.UnderWay }

func (p DrawDesk) label(ctx context.Context, number int) string { return label(ctx, p.Tie, number) }

func (p DrawDesk) title(number int) string { return p.Draw.Dishes[number].Title }

// gives says whether the person at the desk types a party's secret here.
func (p DrawDesk) gives(party string) bool { return store.GivesSecret(p.Actor, party) }

// elsewhere says that a party's secret is given at another desk.
func (p DrawDesk) elsewhere(party string) bool {
	return p.open() && party != store.ServerParty && !p.gives(party)
}

// mayConfirm: a roll is confirmed once by each person other than who typed it.
func (p DrawDesk) mayConfirm(r draw.Roll) bool {
	if !p.open() || r.By == p.As {
		return false
	}
	for _, by := range r.ConfirmedBy {
		if by == p.As {
			return false
		}
	}
	return true
}

func (p DrawDesk) when(ctx context.Context, r draw.Roll) string {
	return voice(ctx).Clock(p.Draw.Events[r.N-1].At.Time())
}

// typed is what stood in a die's field of a refused roll.
func (p DrawDesk) typed(die int) string {
	if die < len(p.Typed.Dice) {
		return p.Typed.Dice[die]
	}
	return ""
}

// A FaceRow says which throws mean which entry; Number 0 means "roll again".
type FaceRow struct {
	Faces  string
	Number int
	Title  string
}

// mostRows is how many lines of a table or list a page shows.
const mostRows = 1000

// FaceRows writes a table of faces, at most most lines of it, with the titles
// that may be shown.
func FaceRows(ctx context.Context, table draw.Table, titles map[int]store.Dish, most int) (rows []FaceRow, more int) {
	if table.Tickets == 0 {
		return nil, 0
	}
	some, more := table.FirstRows(most)
	for _, r := range some {
		rows = append(rows, FaceRow{faceRange(ctx, table, r), r.Number, titles[r.Number].Title})
	}
	return rows, more
}

func faceRange(ctx context.Context, table draw.Table, r draw.Row) string {
	from, to := throws(ctx, table, r.From), throws(ctx, table, r.To)
	if from == to {
		return from
	}
	return t(ctx, "%v to %v", from, to)
}

// throws writes the faces of one outcome: dice of a throw with commas, one
// throw after the other with "then".
func throws(ctx context.Context, table draw.Table, faces []int) string {
	dice := len(table.Dice.Faces)
	var out []string
	for i := 0; i < len(faces); i += dice {
		out = append(out, joinInts(faces[i:i+dice]))
	}
	return strings.Join(out, " "+t(ctx, "then")+" ")
}

// diceText names the dice: "one die with 20 faces".
func diceText(ctx context.Context, d draw.Dice) string {
	if len(d.Faces) == 1 {
		return t(ctx, "one die with %v faces", d.Faces[0])
	}
	return t(ctx, "%v dice with %v faces, read in this order", len(d.Faces), joinInts(d.Faces))
}

// PlaceName is what a place of a draw is called, from 1.
func PlaceName(ctx context.Context, place int) string {
	if place == 1 {
		return t(ctx, "Drawn")
	}
	return t(ctx, "Alternate %v", place-1)
}

func (p DrawDesk) placeName(ctx context.Context, place int) string {
	switch {
	case p.Tie:
		return t(ctx, "Place %v among the tied", place)
	case p.Level:
		return t(ctx, "On the shortlist")
	}
	return PlaceName(ctx, place)
}

// A SeedCard is what a party keeps to open its secret later.
type SeedCard struct {
	Frame                Frame
	Back                 string
	Draw, Party          string
	Nonce, Secret, Seal  string
	RevealBy             time.Time
	MadeElsewhere, Typed bool
}

func (p DrawDesk) secretOf(party string) string {
	if p.Typed.Party == party {
		return p.Typed.Secret
	}
	return ""
}

func (p DrawDesk) sealedOf(party string) string {
	if p.Typed.Party == party {
		return p.Typed.Sealed
	}
	return ""
}

func (p DrawDesk) typedNonce(party string) string {
	if p.Typed.Party == party {
		return p.Typed.Nonce
	}
	return ""
}

// nonceOf is the number a party's form carries: as typed, or a fresh one.
func (p DrawDesk) nonceOf(party string) string {
	if typed := p.typedNonce(party); typed != "" {
		return typed
	}
	return p.Nonces[party]
}

// rollMeans says what a roll came to.
func rollMeans(ctx context.Context, r draw.Roll, label func(context.Context, int) string) string {
	switch {
	case !r.Complete:
		return t(ctx, "counts together with the next throw")
	case r.Number == 0:
		return t(ctx, "roll again")
	}
	return label(ctx, r.Number)
}

func valuesText(values []string) string { return strings.Join(values, ", ") }

// sourceAsks names what a source gives.
func sourceAsks(ctx context.Context, s draw.Source) string {
	switch {
	case s.Form == draw.Text:
		return t(ctx, "A name, a word or a code: only its letters a to z and its digits count")
	case s.Form == draw.Decimal:
		return n(ctx, s.Count, "The number, with a point before its decimals", "%v numbers, each with a point before its decimals")
	case s.High > 0:
		return t(ctx, "%v numbers from %v to %v", s.Count, s.Low, s.High)
	}
	return n(ctx, s.Count, "One whole number", "%v whole numbers")
}
