package challenge

import (
	"time"

	"fairladle/challenge/tasting"
)

// A Challenge is one themed call for recipes.
type Challenge struct {
	ID    int64
	Slug  string
	Title string
	// Brief and Rules are Markdown as the host typed them.
	Brief, Rules string
	// Zone is an IANA name; every time below is kept in UTC and shown there.
	Zone string
	// Language is the one its visitors read, such as "de"; empty for the
	// community's own.
	Language string
	// AnnouncedAt is zero while the challenge is a draft nobody else can see.
	AnnouncedAt         time.Time
	OpensAt, ClosesAt   time.Time
	ReleaseAt           time.Time // the release of every round that names no other
	EntriesPerPerson    int
	Photos              bool
	Prize               bool
	Kitchen             []Equipment
	Criteria            []tasting.Criterion
	Entries             int // submitted and not withdrawn
	LastNumber          int // the highest entry number given out
	Rounds              []Round
	HostWords           string // the host's own words on the result page, Markdown
	SettingsVersion     int    // raised by each change, to notice a stale page
	CriteriaLocked      bool
	FirstRoundHasOpened bool
}

// Equipment is one kind of thing the kitchen has, and how many of it.
type Equipment struct {
	Name  string `json:"name"`
	Count int    `json:"count"`
	Holds int    `json:"holds,omitempty"` // portions that one takes at once; 0: not said
}

// Stage is where a challenge stands at a moment.
type Stage string

// The stages, in the order a challenge passes them.
const (
	Draft    Stage = "draft"    // only its host sees it
	Waiting  Stage = "waiting"  // announced, entries not taken yet
	Open     Stage = "open"     // takes entries
	Closed   Stage = "closed"   // entries are in, no round has opened
	Running  Stage = "running"  // between the first round's opening and the last one's closing
	Finished Stage = "finished" // every round is closed and every outcome released
)

// Stage derives where c stands at now; nothing else decides it.
func (c Challenge) Stage(now time.Time) Stage {
	switch {
	case c.AnnouncedAt.IsZero():
		return Draft
	case now.Before(c.OpensAt):
		return Waiting
	case now.Before(c.ClosesAt):
		return Open
	}
	opened, closed, released := 0, 0, 0
	for _, r := range c.Rounds {
		if r.State != Planned {
			opened++
		}
		if r.State == Done {
			closed++
		}
		if c.Released(r, now) {
			released++
		}
	}
	switch {
	case opened == 0:
		return Closed
	case closed == len(c.Rounds) && released == len(c.Rounds):
		return Finished
	}
	return Running
}

// Location is the challenge's time zone; UTC where the name is unknown, which
// [Settings.Check] refuses beforehand.
func (c Challenge) Location() *time.Location {
	loc, err := time.LoadLocation(c.Zone)
	if err != nil {
		return time.UTC
	}
	return loc
}

// Round returns the round with that id.
func (c Challenge) Round(id int64) (Round, error) {
	for _, r := range c.Rounds {
		if r.ID == id {
			return r, nil
		}
	}
	return Round{}, NotFound("There is no such round in this challenge.")
}

// Of returns the rounds of one kind, in order.
func (c Challenge) Of(k Kind) []Round {
	var rs []Round
	for _, r := range c.Rounds {
		if r.Kind == k {
			rs = append(rs, r)
		}
	}
	return rs
}

// TakesEntries says whether an entry may be sent, changed or withdrawn at now,
// as a refusal that names the reason.
func (c Challenge) TakesEntries(now time.Time) error {
	switch c.Stage(now) {
	case Draft:
		return NotFound("There is no challenge at this address.")
	case Waiting:
		return Refuse(Shut, "", "This challenge is not open yet. Entries are taken from the opening time on.")
	case Open:
		return nil
	}
	return Refuse(Shut, "", "This challenge has closed and takes no more entries or changes. Nothing you typed was sent; copy your text if you want to keep it.")
}
