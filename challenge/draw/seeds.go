package draw

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"strconv"
	"strings"

	"fairladle/challenge/ledger"
)

// Seeds is the method of sealed seeds: every party commits to a secret, and
// reveals it once the roster is frozen.
//
// The last party to reveal sees the outcome first and can refuse. No rule
// inside the method takes that away, so exactly one of two things is set
// beforehand: Later, a public value that appears after RevealBy and is mixed
// in, or the plan's Fallback, by which the draw goes on if a reveal is missing.
type Seeds struct {
	Parties  []string `json:"parties"` // roles, not names of people
	CommitBy Moment   `json:"commit_by"`
	RevealBy Moment   `json:"reveal_by"`
	Later    *Source  `json:"later,omitempty"`
}

const (
	maxParties = 200
	// MinLaterBits is the least surprise a later value has: among 2^20 equally
	// likely values, choosing between two keys moves a chance by about one in a
	// thousand at most.
	MinLaterBits = 20
)

func (s Seeds) check(fallback *Dice) error {
	if len(s.Parties) < 2 || len(s.Parties) > maxParties {
		return refuse(BadPlan, "Sealed seeds need 2 to %v parties.", maxParties)
	}
	seen := map[string]bool{}
	for _, p := range s.Parties {
		if p == "" || !plain(p, 100) || seen[p] {
			return refuse(BadPlan, "Each party needs a name of its own, in one line: “%v”.", p)
		}
		seen[p] = true
	}
	if s.CommitBy.IsZero() || !s.CommitBy.Before(s.RevealBy) {
		return refuse(BadPlan, "Secrets must be sealed before the time by which they are revealed.")
	}
	if (s.Later == nil) == (fallback == nil) {
		return refuse(BadPlan, "Say what happens if a secret is never revealed: either a public value that appears later is mixed in, or dice decide.")
	}
	if s.Later == nil {
		return nil
	}
	if !s.RevealBy.Before(s.Later.At) {
		return refuse(BadPlan, "The public value must appear after the time by which secrets are revealed.")
	}
	if s.Later.Bits < MinLaterBits {
		return refuse(BadPlan, "The public value needs at least %v bits of surprise, so that refusing to open a secret gains nothing worth having; “%v” has %v.", MinLaterBits, s.Later.Name, s.Later.Bits)
	}
	return s.Later.Check()
}

// SeedCommitment returns what a party publishes beforehand: the SHA-256 of five
// lines, each ended by a line feed except the last: "fairladle seed 1", the
// draw's name, the party's name, the nonce in hex, and the secret. The draw and
// the party are in it so that nobody can hand in a copy of another's.
func SeedCommitment(draw, party string, nonce ledger.Salt, secret string) ledger.Commitment {
	return sha256.Sum256([]byte(strings.Join([]string{"fairladle seed 1", draw, party, nonce.String(), secret}, "\n")))
}

// Share is what one party gave to a draw by sealed seeds.
type Share struct {
	Party      string
	Committed  bool
	Revealed   bool
	Commitment ledger.Commitment
	Nonce      ledger.Salt
	Secret     string
}

// SeedKey returns the 32-byte key a draw by sealed seeds follows from: the
// SHA-256 of lines, each ended by a line feed: "fairladle key 1", the draw's
// name, the roster's root in hex; then for each party in the plan's order its
// name, commitment, nonce and secret ("-" for each that is missing); then, if a
// later value is mixed in, that value as RFC 3797 writes it.
func SeedKey(draw string, root ledger.Hash, shares []Share, later string) [sha256.Size]byte {
	var b strings.Builder
	line := func(text string) { b.WriteString(text + "\n") }
	line("fairladle key 1")
	line(draw)
	line(root.String())
	for _, s := range shares {
		commitment, nonce, secret := "-", "-", "-"
		if s.Committed {
			commitment = s.Commitment.String()
		}
		if s.Revealed {
			nonce, secret = s.Nonce.String(), s.Secret
		}
		line(s.Party)
		line(commitment)
		line(nonce)
		line(secret)
	}
	if later != "" {
		line(later)
	}
	return sha256.Sum256([]byte(b.String()))
}

// seedDigest is HMAC-SHA-256 of the counter in decimal ASCII.
func seedDigest(key []byte, counter int64) []byte {
	return hmacSHA256(key, strconv.AppendInt(nil, counter, 10))
}

func hmacSHA256(key, msg []byte) []byte {
	m := hmac.New(sha256.New, key)
	m.Write(msg)
	return m.Sum(nil)
}

// below turns a digest into a number from 0 to n-1, or says "again": its first
// four bytes, big-endian, are taken if they lie below the largest multiple of n
// that fits 32 bits (the discard method of NIST SP 800-90A Rev. 1, A.5.1, with
// as many equal shares as fit), and then reduced modulo n.
func below(digest []byte, n int64) (value, limit, index int64, ok bool) {
	value = int64(binary.BigEndian.Uint32(digest))
	limit = 1<<32 - (1<<32)%n
	if value >= limit {
		return value, limit, -1, false
	}
	return value, limit, value % n, true
}

// drawSeeds fills every place from the key.
func (s *State) drawSeeds(key []byte) {
	for counter := int64(0); len(s.Result) < s.Plan.Places; counter++ {
		digest := seedDigest(key, counter)
		step := Step{Way: ByHMAC, Place: s.Place, Tickets: s.pool.tickets, Counter: counter, Digest: hex.EncodeToString(digest)}
		var ok bool
		step.Value, step.Limit, step.Index, ok = below(digest, s.pool.tickets)
		if !ok {
			s.Steps = append(s.Steps, step)
			continue
		}
		s.fill(step)
	}
}

// OneEach picks one of each group by the same rule as sealed seeds: one entry
// of each person who sent several. The counter runs through all groups. Groups
// of one need no draw and take no counter.
func OneEach(key [sha256.Size]byte, groups [][]int) []int {
	out := make([]int, 0, len(groups))
	counter := int64(0)
	for _, g := range groups {
		if len(g) == 0 {
			continue
		}
		index := int64(0)
		for ok := len(g) == 1; !ok; counter++ {
			_, _, index, ok = below(seedDigest(key[:], counter), int64(len(g)))
		}
		out = append(out, g[index])
	}
	return out
}
