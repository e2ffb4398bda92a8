package draw

import (
	"fmt"
	"strconv"
	"strings"
)

// Protocol is a draw told on one page of paper; every field is plain text.
type Protocol struct {
	Challenge string
	Draw      string
	Rehearsal bool // print a watermark: it decides nothing
	Method    string
	Announced string
	Fixed     string
	Entries   int
	Tickets   int64
	Places    int
	Lines     []string // what happened, in order
	More      int      // events and steps left out to fit one page
	Result    []ProtocolPlace
	Void      bool
	Root      string // of the list, hex
	Head      string // of the ledger
	Caveats   []string
}

// ProtocolPlace is one line of the result.
type ProtocolPlace struct {
	Place  string // "Drawn", "1st alternate", ...
	Number int
}

// protocolLines is what fits on one page of A4 beside the rest.
const protocolLines = 24

// NewProtocol tells a record, which should have been verified, on one page.
func NewProtocol(rec Record) Protocol {
	p := Protocol{
		Challenge: rec.Plan.Challenge, Draw: rec.Plan.Draw, Rehearsal: rec.Plan.Rehearsal,
		Method: methodText(rec.Plan), Announced: rec.Plan.AnnouncedAt.String(), Fixed: rec.Plan.FrozenAt.String(),
		Entries: rec.Plan.Roster.Entries, Tickets: rec.Plan.Roster.Tickets, Places: rec.Plan.Places,
		Void: rec.Void, Root: rec.Plan.Roster.Root.String(), Caveats: rec.cannotShow(Options{}),
	}
	if lines := strings.SplitN(rec.Ledger.Checkpoint, "\n", 4); len(lines) == 4 {
		p.Head = strings.Join(lines[:3], " ")
	}
	for _, e := range rec.Events {
		p.Lines = append(p.Lines, e.At.String()+"  "+e.tell())
	}
	for _, s := range rec.Steps {
		p.Lines = append(p.Lines, s.tell())
	}
	if n := len(p.Lines); n > protocolLines {
		p.Lines, p.More = p.Lines[:protocolLines], n-protocolLines
	}
	for i, n := range rec.Result[:min(len(rec.Result), protocolLines)] {
		p.Result = append(p.Result, ProtocolPlace{placeText(i), n})
	}
	return p
}

func methodText(p Plan) string {
	switch {
	case p.Dice != nil:
		return "Dice on camera: " + p.Dice.text()
	case p.Seeds != nil && p.Seeds.Later != nil:
		return "Sealed seeds of " + strings.Join(p.Seeds.Parties, ", ") + ", mixed with " + p.Seeds.Later.Name
	case p.Seeds != nil:
		return "Sealed seeds of " + strings.Join(p.Seeds.Parties, ", ") + "; dice if one is never opened"
	}
	names := make([]string, len(p.Sources))
	for i, s := range p.Sources {
		names[i] = s.Name
	}
	return "Public sources (RFC 3797): " + strings.Join(names, "; ")
}

func (d Dice) text() string {
	dice := make([]string, len(d.Faces))
	for i, f := range d.Faces {
		dice[i] = "one with " + strconv.Itoa(f) + " faces"
	}
	text := strings.Join(dice, ", ")
	if d.Reading != "" {
		text += ", read " + d.Reading
	}
	return text
}

func (e Event) tell() string {
	switch e.Kind {
	case Rolled:
		return fmt.Sprintf("%s typed the roll %s for place %d (event %d)", e.By, joined(e.Dice), e.Place, e.N)
	case Confirmed:
		return fmt.Sprintf("%s confirmed the roll of event %d", e.By, e.Roll)
	case Committed:
		return fmt.Sprintf("%s sealed a secret", e.Party)
	case Revealed:
		return fmt.Sprintf("%s opened the secret %q", e.Party, e.Secret)
	case Published:
		return fmt.Sprintf("%s typed source %d: %s", e.By, e.Source, strings.Join(e.Values, ", "))
	case Voided:
		return fmt.Sprintf("%s declared the draw void: %s", e.By, e.Reason)
	}
	return string(e.Kind)
}

func (s Step) tell() string {
	switch {
	case s.Number == 0:
		return fmt.Sprintf("Place %d: %d is not below %d, so once more", s.Place, s.Value, s.Limit)
	case s.Way == ByRest:
		return fmt.Sprintf("Place %d: No. %d, the only one left", s.Place, s.Number)
	case s.Way == ByMD5:
		return fmt.Sprintf("Place %d: %s modulo %d is %d: No. %d", s.Place, s.Digest, s.Tickets, s.Index, s.Number)
	}
	return fmt.Sprintf("Place %d: %d of %d gives ticket %d of %d: No. %d", s.Place, s.Value, s.Limit, s.Index+1, s.Tickets, s.Number)
}

func joined(n []int) string {
	out := make([]string, len(n))
	for i, v := range n {
		out[i] = strconv.Itoa(v)
	}
	return strings.Join(out, " ")
}

func placeText(i int) string {
	switch i {
	case 0:
		return "Drawn"
	case 1:
		return "1st alternate"
	case 2:
		return "2nd alternate"
	case 3:
		return "3rd alternate"
	}
	if tens := i % 100; tens >= 11 && tens <= 13 {
		return strconv.Itoa(i) + "th alternate"
	}
	return strconv.Itoa(i) + [...]string{"th", "st", "nd", "rd", "th", "th", "th", "th", "th", "th"}[i%10] + " alternate"
}
