package draw

import (
	"crypto/sha256"
	"fmt"
	"strconv"

	"fairladle/challenge/ledger"
)

// Limits of a roster. Tickets stay below 2^31 so that every figure of a draw is
// exact in any language, and below the 32 bits that sealed seeds draw from.
const (
	MaxEntries = 100_000
	MaxTickets = 1<<31 - 1
)

// Ticket is one entry in a roster.
type Ticket struct {
	// Number is the entry's public number, from 1.
	Number int `json:"number"`
	// Weight is the number of tickets the entry has, 1 unless agreed otherwise.
	Weight int64 `json:"weight"`
	// Commitment is the salted commitment to the entry's content: the ledger's
	// leaf for the version that takes part, which the entrant's slip opens.
	Commitment ledger.Commitment `json:"commitment"`
}

// leaf is the roster's leaf data: number, weight and commitment in ASCII, with
// one blank between them, so that a shell can write it.
func (t Ticket) leaf() []byte {
	b := strconv.AppendInt(nil, int64(t.Number), 10)
	b = append(b, ' ')
	b = strconv.AppendInt(b, t.Weight, 10)
	b = append(b, ' ')
	return append(b, t.Commitment.String()...)
}

// Roster is the list a draw picks from, ordered by number.
type Roster []Ticket

// Check refuses (BadRoster) what is no roster: fewer than two or too many
// entries, numbers that are not ascending, weights below 1.
func (r Roster) Check() error {
	if len(r) < 2 || len(r) > MaxEntries {
		return refuse(BadRoster, "A draw needs 2 to %v entries; this list has %v.", MaxEntries, len(r))
	}
	last, tickets := 0, int64(0)
	for _, t := range r {
		if t.Number <= last {
			return refuse(BadRoster, "The list is not in order: No. %v follows No. %v.", t.Number, last)
		}
		if t.Weight < 1 || t.Weight > MaxTickets {
			return refuse(BadRoster, "No. %v has %v tickets; it needs at least one.", t.Number, t.Weight)
		}
		last = t.Number
		tickets += t.Weight
	}
	if last > MaxTickets || tickets > MaxTickets {
		return refuse(BadRoster, "The list has more tickets than the %v a draw can hold.", MaxTickets)
	}
	return nil
}

// Tickets returns the sum of the weights.
func (r Roster) Tickets() (sum int64) {
	for _, t := range r {
		sum += t.Weight
	}
	return sum
}

// Tree returns the roster's Merkle tree, in the order of the list.
func (r Roster) Tree() *ledger.Tree {
	t := &ledger.Tree{}
	for _, ticket := range r {
		t.Add(ticket.leaf())
	}
	return t
}

// Root returns the roster's Merkle root (RFC 9162, section 2.1).
func (r Roster) Root() ledger.Hash { return r.Tree().Root() }

// Extent is how a plan names the roster it draws from.
type Extent struct {
	Entries int         `json:"entries"`
	Tickets int64       `json:"tickets"`
	Root    ledger.Hash `json:"root"`
}

// Extent returns the roster's size and root.
func (r Roster) Extent() Extent {
	return Extent{Entries: len(r), Tickets: r.Tickets(), Root: r.Root()}
}

// VerifyTicket checks an inclusion proof: that the ticket is number index (from
// 0) in the list with this extent. It returns an error of package ledger.
func VerifyTicket(t Ticket, index int64, p ledger.Proof, e Extent) error {
	return ledger.VerifyInclusion(p, int64(e.Entries), e.Root, index, ledger.LeafHash(t.leaf()))
}

// RehearsalRoster returns a made-up roster of n entries, numbered from 1: a
// rehearsal must never run on the real one.
func RehearsalRoster(n int) Roster {
	r := make(Roster, n)
	for i := range r {
		r[i] = Ticket{Number: i + 1, Weight: 1, Commitment: rehearsalCommitment(i + 1)}
	}
	return r
}

func rehearsalCommitment(number int) ledger.Commitment {
	return sha256.Sum256(fmt.Appendf(nil, "rehearsal %d", number))
}

func (r Roster) madeUp() bool {
	for i, t := range r {
		if t.Number != i+1 || t.Commitment != rehearsalCommitment(t.Number) {
			return false
		}
	}
	return true
}
