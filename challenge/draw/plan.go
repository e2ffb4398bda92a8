package draw

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Method is a way to draw.
type Method string

// The ways to draw.
const (
	ByDice    Method = "dice"
	BySeeds   Method = "seeds"
	ByPublics Method = "public"
)

// Plan is everything that is fixed before a draw; the ledger commits to it when
// the roster is frozen, and nothing in it changes afterwards.
type Plan struct {
	// Draw names this draw for ever and in one line: two draws never share it.
	Draw      string `json:"draw"`
	Challenge string `json:"challenge"` // the title
	// Rehearsal marks a draw that decides nothing and runs on a made-up roster.
	Rehearsal bool     `json:"rehearsal,omitempty"`
	Method    Method   `json:"method"`
	Dice      *Dice    `json:"dice,omitempty"`    // method dice
	Seeds     *Seeds   `json:"seeds,omitempty"`   // method seeds
	Sources   []Source `json:"sources,omitempty"` // method public
	// Fallback names the dice by which a draw by sealed seeds goes on if a
	// reveal is missing.
	Fallback *Dice `json:"fallback,omitempty"`
	// Places is how many places are filled: the first, and after it the
	// alternates in their order.
	Places      int    `json:"places"`
	AnnouncedAt Moment `json:"announced_at"`
	FrozenAt    Moment `json:"frozen_at,omitzero"`
	// ReleaseAt is when the public may see the outcome; none means at once.
	ReleaseAt     Moment         `json:"release_at,omitzero"`
	Announcements []Announcement `json:"announcements,omitempty"`
	Roster        Extent         `json:"roster,omitzero"`
}

// Announcement is something said in public before the roster was frozen.
type Announcement struct {
	At   Moment `json:"at"`
	What string `json:"what"`
}

// Freeze returns the plan with the roster or list it draws from; from then on
// neither changes.
func (p Plan) Freeze(r interface{ Extent() Extent }, at Moment) Plan {
	p.Roster, p.FrozenAt = r.Extent(), at
	return p
}

// PublicValues returns the public sources that the draw waits for: those of the
// method, or the later value that is mixed with sealed seeds.
func (p Plan) PublicValues() []Source {
	if p.Seeds != nil && p.Seeds.Later != nil {
		return []Source{*p.Seeds.Later}
	}
	return p.Sources
}

// Bits returns the surprise that the plan's public sources are counted with.
func (p Plan) Bits() (bits int) {
	for _, s := range p.PublicValues() {
		bits += s.Bits
	}
	return bits
}

// Frozen reports whether the roster is fixed.
func (p Plan) Frozen() bool { return !p.FrozenAt.IsZero() }

// Check refuses (BadPlan) a plan that contradicts itself or a rule of its
// method. A plan whose roster is not frozen yet is checked as far as it goes.
func (p Plan) Check() error {
	switch {
	case p.Draw == "" || !plain(p.Draw, 200) || p.Challenge == "" || !plain(p.Challenge, 300):
		return refuse(BadPlan, "The draw needs a name and the challenge a title, each in one line.")
	case p.AnnouncedAt.IsZero():
		return refuse(BadPlan, "Say when the way to draw was announced.")
	case p.Frozen() && p.FrozenAt.Before(p.AnnouncedAt):
		return refuse(BadPlan, "The way to draw must be announced before the list is fixed.")
	case p.Places < 1 || p.Places > MaxEntries:
		return refuse(BadPlan, "A draw fills at least one place.")
	case p.Frozen() && p.Places > p.Roster.Entries:
		return refuse(BadPlan, "%v places cannot be filled from %v entries.", p.Places, p.Roster.Entries)
	}
	for _, a := range p.Announcements {
		if a.What == "" || !plain(a.What, 1000) || a.At.IsZero() || p.Frozen() && p.FrozenAt.Before(a.At) {
			return refuse(BadPlan, "Each announcement needs its words in one line and a time before the list is fixed.")
		}
	}
	return p.checkMethod()
}

func (p Plan) checkMethod() error {
	if (p.Dice != nil) != (p.Method == ByDice) || (p.Seeds != nil) != (p.Method == BySeeds) ||
		(len(p.Sources) > 0) != (p.Method == ByPublics) || p.Fallback != nil && p.Method != BySeeds {
		return refuse(BadPlan, "Choose one way to draw, and only what belongs to it.")
	}
	if p.Fallback != nil {
		if err := p.Fallback.Check(); err != nil {
			return err
		}
	}
	switch p.Method {
	case ByDice:
		return p.Dice.Check()
	case BySeeds:
		if p.Frozen() && !p.FrozenAt.Before(p.Seeds.RevealBy) {
			return refuse(BadPlan, "The list must be fixed before the time by which secrets are revealed.")
		}
		return p.Seeds.check(p.Fallback)
	case ByPublics:
		return p.checkPublic()
	}
	return refuse(BadPlan, "There is no way to draw called “%v”.", p.Method)
}

func (p Plan) checkPublic() error {
	if len(p.Sources) > maxSources {
		return refuse(BadPlan, "Use at most %v public sources.", maxSources)
	}
	bits, last := 0, p.Sources[0].At
	for _, s := range p.Sources {
		if err := s.Check(); err != nil {
			return err
		}
		if !p.AnnouncedAt.Before(s.At) || p.Frozen() && !p.FrozenAt.Before(s.At) {
			return refuse(BadPlan, "“%v” must appear after the list is fixed.", s.Name)
		}
		if last.Before(s.At) {
			last = s.At
		}
		bits += s.Bits
	}
	if last.Before(p.ReleaseAt) {
		return refuse(BadPlan, "Anyone can work out this draw as soon as the public values appear (%v), so it cannot be kept until %v.", last, p.ReleaseAt)
	}
	if !p.Frozen() {
		return nil
	}
	switch need := BitsNeeded(p.Roster.Entries, p.Places); {
	case p.Roster.Entries > MaxPool:
		return refuse(BadPlan, "Public sources can draw from at most %v entries; this list has %v.", MaxPool, p.Roster.Entries)
	case p.Roster.Tickets != int64(p.Roster.Entries):
		return refuse(BadPlan, "With public sources every entry has exactly one ticket.")
	case need > MaxBits:
		return refuse(BadPlan, "%v places among %v entries are more than this method can draw; set fewer places.", p.Places, p.Roster.Entries)
	case bits < need:
		return refuse(BadPlan, "%v places among %v entries need %v bits of surprise; the sources have %v.", p.Places, p.Roster.Entries, need, bits)
	}
	return nil
}

// checkList refuses a list that is not the one the plan names.
func (p Plan) checkList(l *List) error {
	switch {
	case l == nil:
		return refuse(BadRoster, "The list of this draw is missing.")
	case l.refuse != nil:
		return l.refuse
	case l.extent != p.Roster:
		return refuse(BadRoster, "This is not the list that was fixed for this draw.")
	case p.Rehearsal != l.madeUp:
		return refuse(BadRoster, "A rehearsal runs on a made-up list, and nothing else does.")
	}
	return nil
}

// plain reports whether text is UTF-8 in one line of at most most bytes: line
// feeds would make the hashed lines ambiguous.
func plain(text string, most int) bool {
	return len(text) <= most && utf8.ValidString(text) && !strings.ContainsFunc(text, unicode.IsControl)
}
