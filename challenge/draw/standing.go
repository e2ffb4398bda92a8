package draw

import (
	"fmt"
	"slices"

	"fairladle/challenge/ledger"
)

// Standing tells an entrant whether the entry of a slip stands unaltered in the
// list of a record. It says nothing about the record itself: verify that first.
func (rec Record) Standing(s ledger.Slip) ledger.Claim {
	c := ledger.Claim{What: fmt.Sprintf("No. %d is in the list fixed on %s, unaltered", s.Entry, rec.Plan.FrozenAt)}
	i := slices.IndexFunc(rec.Roster, func(t Ticket) bool { return t.Number == s.Entry })
	switch {
	case i < 0:
		c.Detail = fmt.Sprintf("No. %d is not in the list", s.Entry)
	case rec.Roster[i].Commitment != s.Commitment():
		c.Detail = fmt.Sprintf("the list holds another content for No. %d: look for the slip of its newest version", s.Entry)
	default:
		c.Holds = true
		c.Detail = fmt.Sprintf("line %d of %d, commitment %s", i+1, len(rec.Roster), s.Commitment())
	}
	return c
}
