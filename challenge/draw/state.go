package draw

import "slices"

// Awaits is what a draw needs next.
type Awaits string

// What a draw can wait for.
const (
	ForRoster      Awaits = "roster"      // the list is not fixed yet
	ForCommitments Awaits = "commitments" // parties still seal their secrets
	ForReveals     Awaits = "reveals"     // parties still open their secrets
	ForSources     Awaits = "sources"     // public values have still to appear
	ForRoll        Awaits = "roll"
	ForVoid        Awaits = "void" // it cannot go on and has to be declared void
	ForNothing     Awaits = "nothing"
)

// The ways a step came about.
const (
	ByRoll = "roll"
	ByHMAC = "hmac"
	ByMD5  = "md5"
	ByRest = "only one left"
)

// Step is one step of the selection: a place filled, or an outcome that means
// "again".
type Step struct {
	Place   int    `json:"place"`           // from 1
	Way     string `json:"way"`             // roll, hmac, md5 or "only one left"
	Tickets int64  `json:"tickets"`         // left in the roster before the step
	Rolls   []int  `json:"rolls,omitempty"` // N of the roll events, for dice
	Counter int64  `json:"counter"`         // for hmac and md5
	Digest  string `json:"digest,omitempty"`
	Value   int64  `json:"value"` // drawn; not for md5, whose digest is the value
	Limit   int64  `json:"limit"` // values from here on mean "again"; not for md5
	// Index is the place of the ticket among those left, from 0; -1 for "again".
	Index  int64 `json:"index"`
	Number int   `json:"number"` // of the entry; 0 for "again"
}

// Roll is one throw with what it came to.
type Roll struct {
	N           int // of its event
	Place       int
	Throw       int // which throw of one outcome, from 1
	Dice        []int
	By          string
	ConfirmedBy []string
	// Complete says that the outcome was complete with this throw; Number is
	// then the entry it means, or 0 for "roll again".
	Complete bool
	Number   int
}

// State is a draw as far as its events have brought it. Its fields are for
// reading; only Apply changes them.
type State struct {
	Plan    Plan
	Method  Method // in force: dice after a fallback
	Dice    Dice   // in force, for method dice
	Place   int    // the next place to fill, from 1
	Throw   int    // the next throw of the outcome being rolled, from 1
	Throws  int    // throws that make one outcome
	Next    int    // the N of the next event
	Result  []int  // entry numbers, the first place first
	Steps   []Step
	Rolls   []Roll
	Shares  []Share    // of the parties, in the plan's order
	Values  [][]string // of the sources, nil until typed
	Done    bool       // every place is filled
	Void    bool       // it ended without a result
	Reasons []string   // of each declaration of void

	pool  *pool
	group []int // N of the rolls of the outcome being rolled
	value int64
}

// Start returns a draw before its first event. The roster is nil as long as the
// plan is not frozen. It refuses a bad plan, a bad roster, and a roster that is
// not the plan's.
func Start(p Plan, r Roster) (*State, error) {
	if r == nil && !p.Frozen() {
		return start(p, nil)
	}
	return start(p, NewList(r))
}

func start(p Plan, l *List) (*State, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	s := &State{Plan: p, Method: p.Method, Place: 1, Next: 1}
	if p.Frozen() {
		if err := p.checkList(l); err != nil {
			return nil, err
		}
		s.pool = l.pool()
	} else if l != nil {
		return nil, refuse(BadRoster, "The list has not been fixed for this draw yet.")
	}
	switch p.Method {
	case ByDice:
		s.useDice(*p.Dice)
	case BySeeds:
		for _, party := range p.Seeds.Parties {
			s.Shares = append(s.Shares, Share{Party: party})
		}
		s.Values = make([][]string, len(s.sources()))
	case ByPublics:
		s.Values = make([][]string, len(s.sources()))
	}
	return s, nil
}

// Replay returns the draw that these events give, or an EventError for the
// first that is refused.
func Replay(p Plan, r Roster, events []Event) (*State, error) {
	s, err := Start(p, r)
	if err != nil {
		return nil, err
	}
	return s.replay(events)
}

func (s *State) replay(events []Event) (*State, error) {
	for _, e := range events {
		if err := s.Apply(e); err != nil {
			return nil, EventError{N: s.Next, Err: err}
		}
	}
	return s, nil
}

// Apply moves the draw along by one event, or refuses it and leaves the draw as
// it was.
func (s *State) Apply(e Event) error {
	switch {
	case !e.fits():
		return refuse(BadEvent, "Something is missing in what was sent, or it does not belong together.")
	case e.N != s.Next:
		return refuse(Stale, "Something else was recorded in this draw meanwhile. Look at the page again before you go on.")
	case s.Void:
		return refuse(AlreadyVoid, "This draw was declared void; nothing can be added to it.")
	case s.Done && e.Kind != Confirmed:
		return refuse(AlreadyDone, "This draw is finished; every place is filled.")
	}
	var err error
	switch e.Kind {
	case Rolled:
		err = s.roll(e)
	case Confirmed:
		err = s.confirm(e)
	case Committed:
		err = s.commit(e)
	case Revealed:
		err = s.reveal(e)
	case Published:
		err = s.publish(e)
	case Voided:
		s.void(e)
	}
	if err == nil {
		s.Next++
	}
	return err
}

// AwaitsAt returns what the draw needs next at the moment now.
func (s *State) AwaitsAt(now Moment) Awaits {
	switch {
	case s.Done || s.Void:
		return ForNothing
	case s.Method == BySeeds:
		return s.awaitsSeeds(now)
	case s.pool == nil:
		return ForRoster
	case s.Method == ByDice:
		return ForRoll
	}
	return ForSources
}

// Table returns the table of faces for the next outcome. It is meaningful only
// while the draw waits for a roll.
func (s *State) Table() Table {
	if s.Method != ByDice || s.pool == nil || s.Done || s.Void {
		return Table{}
	}
	return tableFor(s.Dice, s.pool.tickets, s.pool.entries, s.pool.left)
}

// Left returns the entries that fill no place yet, in the order of the list.
func (s *State) Left() Roster {
	if s.pool == nil {
		return nil
	}
	return s.pool.left(s.pool.entries)
}

// fill gives the place of a step to the ticket at its index.
func (s *State) fill(step Step) {
	i := s.pool.at(step.Index)
	step.Number = s.pool.roster[i].Number
	s.pool.remove(i)
	s.Steps = append(s.Steps, step)
	s.Result = append(s.Result, step.Number)
	s.Done = len(s.Result) == s.Plan.Places
	if !s.Done {
		s.Place++
	}
}

func (s *State) void(e Event) {
	s.Reasons = append(s.Reasons, e.Reason)
	if s.Method == BySeeds && s.Plan.Fallback != nil {
		s.useDice(*s.Plan.Fallback)
		return
	}
	s.Void = true
}

func (s *State) useDice(d Dice) {
	s.Method, s.Dice = ByDice, d
	s.newOutcome()
}

// sources returns the public values the draw mixes in.
func (s *State) sources() []Source { return s.Plan.PublicValues() }

// afterFreeze refuses events that may come only once the list is fixed.
func (s *State) afterFreeze(e Event) error {
	if s.pool == nil || e.At.Before(s.Plan.FrozenAt) {
		return refuse(TooEarly, "The list has to be fixed first.")
	}
	return nil
}

func (s *State) confirm(e Event) error {
	i := slices.IndexFunc(s.Rolls, func(r Roll) bool { return r.N == e.Roll })
	if i < 0 {
		return refuse(NoSuchRoll, "There is no such roll to confirm.")
	}
	r := &s.Rolls[i]
	if r.By == e.By {
		return refuse(SamePerson, "A roll is confirmed by someone other than the person who typed it.")
	}
	if slices.Contains(r.ConfirmedBy, e.By) {
		return refuse(Repeated, "You have confirmed this roll already.")
	}
	r.ConfirmedBy = append(r.ConfirmedBy, e.By)
	return nil
}
