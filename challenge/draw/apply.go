package draw

import (
	"slices"
	"strings"
)

// roll takes one throw. An outcome made of several throws fills its place, or
// means "again", with its last one.
func (s *State) roll(e Event) error {
	if s.Method != ByDice {
		return refuse(NotAwaited, "This draw is not made with dice.")
	}
	if err := s.afterFreeze(e); err != nil {
		return err
	}
	if e.Place < s.Place {
		return refuse(PlaceFilled, "Place %v is filled already; the next roll is for place %v.", e.Place, s.Place)
	}
	if e.Place > s.Place {
		return refuse(NotAwaited, "The next roll is for place %v.", s.Place)
	}
	if err := s.Dice.check(e.Dice); err != nil {
		return err
	}
	s.group = append(s.group, e.N)
	s.value = s.value*s.Dice.Combos() + s.Dice.value(e.Dice)
	s.Rolls = append(s.Rolls, Roll{N: e.N, Place: s.Place, Throw: s.Throw, Dice: slices.Clone(e.Dice), By: e.By})
	if s.Throw++; s.Throw > s.Throws {
		s.outcome(&s.Rolls[len(s.Rolls)-1])
	}
	return nil
}

// outcome reads a complete outcome off the table.
func (s *State) outcome(r *Roll) {
	t := tableFor(s.Dice, s.pool.tickets, 0, nil)
	step := Step{
		Way: ByRoll, Place: s.Place, Tickets: t.Tickets, Rolls: s.group,
		Value: s.value, Limit: t.Limit(), Index: -1,
	}
	r.Complete = true
	if s.value < t.Limit() {
		step.Index = s.value / t.Share
		s.fill(step)
		r.Number = s.Result[len(s.Result)-1]
		if !s.Done && s.pool.entries == 1 {
			s.fill(Step{Way: ByRest, Place: s.Place, Tickets: s.pool.tickets})
		}
	} else {
		s.Steps = append(s.Steps, step)
	}
	s.newOutcome()
}

func (s *State) newOutcome() {
	s.group, s.value, s.Throw, s.Throws = nil, 0, 1, 1
	if s.pool != nil && s.pool.tickets > 0 {
		s.Throws = tableFor(s.Dice, s.pool.tickets, 0, nil).Throws
	}
}

func (s *State) commit(e Event) error {
	share, err := s.share(e.Party)
	if err != nil {
		return err
	}
	switch {
	case share.Committed:
		return refuse(Repeated, "%v has sealed a secret already; it cannot be exchanged.", e.Party)
	case s.Plan.Seeds.CommitBy.Before(e.At):
		return refuse(TooLate, "Secrets had to be sealed by %v.", s.Plan.Seeds.CommitBy)
	case slices.ContainsFunc(s.Shares, func(o Share) bool { return o.Revealed }):
		return refuse(TooLate, "The first secret has been opened; none can be sealed any more.")
	}
	share.Committed, share.Commitment = true, *e.Commitment
	return nil
}

func (s *State) reveal(e Event) error {
	share, err := s.share(e.Party)
	if err != nil {
		return err
	}
	if err := s.afterFreeze(e); err != nil {
		return err
	}
	seeds := s.Plan.Seeds
	switch {
	case !s.sealed(e.At):
		return refuse(TooEarly, "Secrets are opened when all are sealed, or after %v.", seeds.CommitBy)
	case seeds.RevealBy.Before(e.At):
		return refuse(TooLate, "Secrets had to be opened by %v.", seeds.RevealBy)
	case !share.Committed:
		return refuse(NoSuchParty, "%v sealed no secret in time and takes no part.", e.Party)
	case share.Revealed:
		return refuse(Repeated, "%v has opened the secret already.", e.Party)
	case s.tooFew():
		return refuse(NotAwaited, "Fewer than two secrets were sealed, so this draw has to be declared void.")
	case e.Secret == "" || !plain(e.Secret, 1000) || SeedCommitment(s.Plan.Draw, e.Party, *e.Nonce, e.Secret) != share.Commitment:
		return refuse(WrongReveal, "This is not the secret that %v sealed. Check it letter by letter, blanks too.", e.Party)
	}
	share.Revealed, share.Nonce, share.Secret = true, *e.Nonce, e.Secret
	if seeds.Later == nil && s.missing() == 0 {
		key := SeedKey(s.Plan.Draw, s.Plan.Roster.Root, s.Shares, "")
		s.drawSeeds(key[:])
	}
	return nil
}

func (s *State) publish(e Event) error {
	sources := s.sources()
	if s.Method == ByDice || e.Source > len(sources) {
		return refuse(NotAwaited, "This draw has no such public source.")
	}
	if err := s.afterFreeze(e); err != nil {
		return err
	}
	source := sources[e.Source-1]
	if e.At.Before(source.At) {
		return refuse(TooEarly, "“%v” appears at %v.", source.Name, source.At)
	}
	if s.Values[e.Source-1] != nil {
		return refuse(Repeated, "“%v” has been typed already.", source.Name)
	}
	if _, err := source.written(e.Values); err != nil {
		return err
	}
	s.Values[e.Source-1] = slices.Clone(e.Values)
	if slices.ContainsFunc(s.Values, func(v []string) bool { return v == nil }) {
		return nil
	}
	if s.Method == BySeeds {
		key := SeedKey(s.Plan.Draw, s.Plan.Roster.Root, s.Shares, s.PublicKey())
		s.drawSeeds(key[:])
		return nil
	}
	s.drawPublic(s.PublicKey())
	return nil
}

// PublicKey returns the values typed so far as RFC 3797 writes them, one source
// after the other.
func (s *State) PublicKey() string {
	var b strings.Builder
	for i, source := range s.sources() {
		if s.Values[i] != nil {
			text, _ := source.written(s.Values[i]) // checked when it was typed
			b.WriteString(text)
		}
	}
	return b.String()
}

func (s *State) share(party string) (*Share, error) {
	if s.Method != BySeeds {
		return nil, refuse(NotAwaited, "This draw is not made with sealed secrets.")
	}
	i := slices.IndexFunc(s.Shares, func(o Share) bool { return o.Party == party })
	if i < 0 {
		return nil, refuse(NoSuchParty, "“%v” is not among the parties of this draw.", party)
	}
	return &s.Shares[i], nil
}

// sealed reports whether no further secret can be sealed at the moment now.
func (s *State) sealed(now Moment) bool {
	return s.Plan.Seeds.CommitBy.Before(now) ||
		!slices.ContainsFunc(s.Shares, func(o Share) bool { return !o.Committed })
}

// missing counts the secrets that were sealed and not opened.
func (s *State) missing() (n int) {
	for _, o := range s.Shares {
		if o.Committed && !o.Revealed {
			n++
		}
	}
	return n
}

// tooFew reports whether a draw without a later value has fewer than two sealed
// secrets: one party alone would choose the outcome.
func (s *State) tooFew() bool {
	n := 0
	for _, o := range s.Shares {
		if o.Committed {
			n++
		}
	}
	return n < 2 && s.Plan.Seeds.Later == nil
}

func (s *State) awaitsSeeds(now Moment) Awaits {
	later := s.Plan.Seeds.Later
	switch {
	case !s.sealed(now):
		return ForCommitments
	case s.tooFew():
		return ForVoid
	case s.pool == nil:
		return ForRoster
	case s.missing() > 0 && !s.Plan.Seeds.RevealBy.Before(now):
		return ForReveals
	case later == nil:
		return ForVoid
	}
	return ForSources
}
