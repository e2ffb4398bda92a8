package challenge

import (
	"fmt"
	"time"

	"fairladle/challenge/ledger"
)

// An Event is the body of one ledger leaf: a decision that matters, as it was
// when it was made. Its JSON bytes are stored and never written again.
type Event struct {
	Kind string `json:"kind"`
	At   string `json:"at"` // RFC 3339, UTC, milliseconds
	// Round is the round's position, 0 for what concerns the whole challenge.
	Round int `json:"round,omitempty"`
	// Entry is the public number of the entry it is about.
	Entry   int    `json:"entry,omitempty"`
	Version int    `json:"version,omitempty"`
	By      Role   `json:"by,omitempty"`
	Content string `json:"content,omitempty"` // hex commitment to a content kept elsewhere
	Detail  any    `json:"detail,omitempty"`
	Reason  string `json:"reason,omitempty"`
}

// The kinds of events.
const (
	EventAnnounced      = "challenge-announced"
	EventSettings       = "settings-changed"
	EventEntriesClosed  = "entries-closed"
	EventReceived       = "entry-received"
	EventChanged        = "entry-changed"
	EventWithdrawn      = "entry-withdrawn"
	EventRoundOpened    = "round-opened"
	EventRoundClosed    = "round-closed"
	EventReopened       = "round-reopened"
	EventCorrected      = "round-corrected"
	EventLateAdmitted   = "late-admitted"
	EventBarred         = "entry-barred"
	EventReadmitted     = "entry-readmitted"
	EventPickPlan       = "pick-plan-changed"
	EventRoundsChanged  = "rounds-changed"
	EventPickSealed     = "pick-sealed"
	EventRosterFrozen   = "roster-frozen"
	EventDraw           = "draw-event"
	EventDishFixed      = "house-dish-fixed"
	EventPlateWithdrawn = "plate-withdrawn"
	EventSheetSealed    = "sheet-sealed"
	EventSheetAmended   = "sheet-amended"
	EventConflict       = "judge-kept-apart"
	EventConflictLifted = "judge-served-again"
	EventPostponed      = "tasting-postponed"
	EventBallots        = "ballots-committed"
	EventReleaseChanged = "release-changed"
	EventErased         = "erased"
	EventTickets        = "tickets-set"
	EventOneEach        = "one-each-drawn"
	EventRehearsal      = "rehearsal"
	EventPrizeOffered   = "prize-offered"
	EventPrizeAnswered  = "prize-answered"
)

// Stamp is how moments are written in events.
const Stamp = "2006-01-02T15:04:05.000Z"

// Body is the event's stored bytes, stamped with at.
func (e Event) Body(at time.Time) []byte {
	e.At = at.UTC().Format(Stamp)
	b, err := ledger.Canonical(e)
	if err != nil {
		panic(fmt.Sprintf("an event holds only plain values: %v", err))
	}
	return b
}

// OpenTo says whether the body of an event of a kind, in the round at a
// position, may be shown to role now. Before release only what gives no
// outcome away is: the rest stands as a commitment.
func (c Challenge) OpenTo(kind string, round int, role Role, now time.Time) bool {
	switch kind {
	case EventAnnounced, EventSettings, EventEntriesClosed, EventRoundsChanged, EventReleaseChanged, EventReceived, EventErased, EventRehearsal:
		return true
	case EventChanged, EventWithdrawn, EventOneEach, EventBarred, EventReadmitted, EventPrizeOffered, EventPrizeAnswered:
		return role == Host
	case EventTickets, EventPickPlan:
		// Of a round that was taken out of the plan nothing can be given away
		// any more once everything else is known.
		if round == 0 {
			return role == Host || c.Stage(now) == Finished
		}
	case EventRoundOpened:
		return round == 1 || c.positionShown(round-1, role, now)
	}
	return c.positionShown(round, role, now)
}

func (c Challenge) positionShown(position int, role Role, now time.Time) bool {
	s := c.Shows(role, now)
	for _, r := range c.Rounds {
		if r.Position == position {
			return s.Outcome(r.ID)
		}
	}
	return false
}
