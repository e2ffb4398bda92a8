package challenge

import "time"

// A Move is what a correction does to an entry that came out of a closed round.
type Move string

// The moves. MoveNone only puts something on record.
const (
	MoveNone Move = ""
	MoveIn   Move = "in"  // it goes on after all
	MoveOut  Move = "out" // it does not
)

// MayReopen refuses to take back the closing of r, with the reason: an undo
// ends where the next round begins, where chance or a vote has spoken, and
// where the public has seen the outcome.
func (c Challenge) MayReopen(r Round, now time.Time) error {
	switch {
	case r.State != Done:
		return Refuse(Stale, "", "This round is not closed; nothing was changed.")
	case r.Kind == Draw:
		return Refuse(Shut, "", "What was drawn stands: a draw is never repeated. A correction can say what went wrong.")
	case r.Kind == Vote:
		return Refuse(Shut, "", "A counted vote stays counted, because its private links are forgotten. A correction can say what went wrong.")
	}
	for _, p := range c.Rounds {
		if p.Position > r.Position && p.State != Planned {
			return Refuse(Shut, "", "“%v” has begun since then. What came out of “%v” can only be corrected, with a reason.", p.Title, r.Title)
		}
	}
	if c.Released(r, now) {
		return Refuse(Shut, "", "The public has seen what came out of “%v”. It can only be corrected, with a reason.", r.Title)
	}
	return nil
}

// MayCorrect refuses a correction of r.
func (c Challenge) MayCorrect(r Round, move Move, reason string, now time.Time) error {
	switch {
	case r.State != Done:
		return Refuse(Stale, "", "This round is not closed; nothing was changed.")
	case c.MayReopen(r, now) == nil:
		return Refuse(Shut, "", "Nothing has come after “%v” yet: open it again instead.", r.Title)
	case reason == "":
		return Refuse(Invalid, "reason", "Say in a sentence what is corrected and why; it stays visible.")
	case move != MoveNone && move != MoveIn && move != MoveOut:
		return Refuse(Invalid, "move", "Choose what the correction does.")
	}
	if _, ok := c.Receiver(r); move != MoveNone && !ok {
		return Refuse(Shut, "move", "What comes after “%v” cannot take a recipe in or give one up any more. Put the correction on record only.", r.Title)
	}
	return nil
}

// Receiver is the open round into which a correction of r can still move an
// entry: the next one, where people read or pick in it.
func (c Challenge) Receiver(r Round) (next Round, ok bool) {
	for _, p := range c.Rounds {
		if p.Position > r.Position {
			return p, p.State == UnderWay && (p.Kind == Reading || p.Kind == Pick)
		}
	}
	return Round{}, false
}

// MayMoveRelease refuses another release time for r; zero is the challenge's
// own. It can move until the outcome has been shown, and only into the future.
func (c Challenge) MayMoveRelease(r Round, to time.Time, reason string, now time.Time) error {
	moved := r
	moved.ReleaseAt = to
	switch {
	case c.Released(r, now):
		return Refuse(Shut, "release_at", "The outcome of “%v” has been shown already; what was shown stays shown.", r.Title)
	case !c.ReleaseOf(moved).After(now):
		return Refuse(Invalid, "release_at", "The new time has to lie in the future.")
	case reason == "" && !c.AnnouncedAt.IsZero():
		return Refuse(Invalid, "release_reason", "Say in a sentence why; it stays visible.")
	}
	return nil
}
