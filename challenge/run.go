package challenge

import "time"

// The generic life cycle of a round, the same for every kind: planned, open,
// closed; in order; never back. What a kind adds is only what it needs before
// it may open or close, and that lives with its engine in the store.

// Next is the round that is under way, or else the first that is still
// planned; ok is false when all are done.
func (c Challenge) Next() (r Round, ok bool) {
	for _, r := range c.Rounds {
		if r.State == UnderWay || r.State == Planned {
			return r, true
		}
	}
	return Round{}, false
}

// Before returns the last round ahead of r that was held, and ok false where
// r is the first.
func (c Challenge) Before(r Round) (prev Round, ok bool) {
	for _, p := range c.Rounds {
		if p.Position < r.Position && p.State == Done {
			prev, ok = p, true
		}
	}
	return prev, ok
}

// MayOpen refuses to open r at now, with the reason.
func (c Challenge) MayOpen(r Round, now time.Time) error {
	if now.Before(c.ClosesAt) {
		return Refuse(Shut, "", "Rounds begin when entries have closed.")
	}
	if c.AnnouncedAt.IsZero() {
		return Refuse(Shut, "", "Open the challenge to entries first.")
	}
	switch r.State {
	case UnderWay:
		return Refuse(Stale, "", "This round is open already; nothing was changed.")
	case Done:
		return Refuse(Stale, "", "This round is over and cannot be opened again.")
	}
	next, _ := c.Next()
	if next.ID != r.ID {
		return Refuse(Shut, "", "The round “%s” comes first.", next.Title)
	}
	return c.mayOpenVote(r, now)
}

// mayOpenVote keeps the ballot paper, which names the dishes, from giving a
// result away before its release.
func (c Challenge) mayOpenVote(r Round, now time.Time) error {
	if r.Kind != Vote {
		return nil
	}
	for _, p := range c.Rounds {
		if p.Position < r.Position && p.State == Done && !c.Released(p, now) {
			return Refuse(Shut, "", "The vote can open when “%s” has been released; before that the ballot would give it away.", p.Title)
		}
	}
	return nil
}

// MayClose refuses to close r, with the reason.
func (c Challenge) MayClose(r Round) error {
	switch r.State {
	case Planned:
		return Refuse(Shut, "", "This round has not been opened yet.")
	case Done:
		return Refuse(Stale, "", "This round is closed already; nothing was changed.")
	}
	return nil
}

// MayEdit refuses to change the plan of r once it has begun.
func (c Challenge) MayEdit(r Round) error {
	if r.State != Planned {
		return Refuse(Shut, "", "“%s” has begun; what it does is locked.", r.Title)
	}
	return nil
}
