package challenge

import "time"

// ReleaseOf is when the outcome of r may be seen by the public.
func (c Challenge) ReleaseOf(r Round) time.Time {
	if r.ReleaseAt.IsZero() {
		return c.ReleaseAt
	}
	return r.ReleaseAt
}

// Released says whether the outcome of r is public at now: the round is over,
// its release time is set and has come, and nothing held before it is still
// withheld, since a later outcome gives an earlier one away.
func (c Challenge) Released(r Round, now time.Time) bool {
	if r.State != Done {
		return false
	}
	for _, p := range c.Rounds {
		if p.Position > r.Position {
			continue
		}
		at := c.ReleaseOf(p)
		if p.State != Done || at.IsZero() || now.Before(at) {
			return false
		}
	}
	return true
}

// PublicFrom is from when on the outcome of a closed round is public: its
// release, or that of an earlier round, or the closing of any of them, whichever
// comes last. It is zero while a round up to it is not closed or has no release.
func (c Challenge) PublicFrom(r Round) (at time.Time) {
	for _, p := range c.Rounds {
		if p.Position > r.Position {
			continue
		}
		release := c.ReleaseOf(p)
		if p.State != Done || release.IsZero() {
			return time.Time{}
		}
		for _, t := range []time.Time{release, p.ClosedAt} {
			if t.After(at) {
				at = t
			}
		}
	}
	return at
}

// Showing is what one audience may see of a challenge at one moment. Pages,
// feeds, exports, messages and the public ledger all ask it and nothing else.
type Showing struct {
	Page     bool // the challenge has a page for this audience
	Outcomes map[int64]bool
	// Drawn says that the drawn entry may be named as such.
	Drawn bool
	// Final says that a result may be called final.
	Final bool
	// Results says that there is a result to be read.
	Results bool
	// Credits says that people may be named and their recipes shown, each as
	// they agreed: results are out, and nobody reads, picks or tastes blind any
	// more.
	Credits bool
	// Cooked says that what was cooked may be told, and how: names may stand,
	// and no draw that chose it is withheld.
	Cooked bool
	// Next is the earliest release time still to come, zero if none.
	Next time.Time
}

// Outcome says whether the outcome of the round may be seen.
func (s Showing) Outcome(round int64) bool { return s.Outcomes[round] }

// Shows answers what role may see of c at now. Hosts and co-hosts see the
// outcome of a round as soon as it is closed: until then marks stay with the
// readers, and sheets, picks and ballots stay sealed, from the host too.
func (c Challenge) Shows(role Role, now time.Time) Showing {
	s := Showing{Outcomes: map[int64]bool{}, Page: role == Host || role == Cohost || !c.AnnouncedAt.IsZero()}
	insider := role == Host || role == Cohost
	for _, r := range c.Rounds {
		released := c.Released(r, now)
		s.Outcomes[r.ID] = r.State == Done && (insider || released)
		if r.Kind == Draw && s.Outcomes[r.ID] {
			s.Drawn = true
		}
		if at := c.ReleaseOf(r); now.Before(at) && (s.Next.IsZero() || at.Before(s.Next)) {
			s.Next = at
		}
	}
	s.Final = len(c.Rounds) > 0 && c.Stage(now) == Finished
	s.Results = c.anyReleased(now)
	s.Credits = s.Results && c.nothingBlind(s)
	s.Cooked = s.Credits && c.nothingHeld(s)
	return s
}

// nothingBlind says whether every round in which names would matter is over
// and shown.
func (c Challenge) nothingBlind(s Showing) bool {
	for _, r := range c.Rounds {
		blind := r.Kind == Reading || r.Kind == Pick || r.Kind == Tasting
		if blind && !s.Outcome(r.ID) {
			return false
		}
	}
	return true
}

// nothingHeld says whether no draw or cooking that has begun is still withheld.
func (c Challenge) nothingHeld(s Showing) bool {
	for _, r := range c.Rounds {
		if (r.Kind == Draw || r.Kind == Cook) && r.State != Planned && !s.Outcome(r.ID) {
			return false
		}
	}
	return true
}

func (c Challenge) anyReleased(now time.Time) bool {
	for _, r := range c.Rounds {
		if r.Kind != Cook && r.State == Done && c.Released(r, now) {
			return true
		}
	}
	return false
}
