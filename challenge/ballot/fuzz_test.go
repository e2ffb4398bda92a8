package ballot_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ballot"
)

// Whatever a script sends, a ballot that passes the check is counted or blank,
// and one that fails it never adds more than one vote.
func FuzzBallot(f *testing.F) {
	f.Add([]byte("AB"), uint8(0))
	f.Add([]byte("AAAA"), uint8(1))
	f.Add([]byte{}, uint8(2))
	f.Add([]byte("ZQ\x00A"), uint8(3))
	f.Fuzz(func(t *testing.T, choices []byte, method uint8) {
		m := ballot.Methods()[int(method)%4]
		var b ballot.Ballot
		for _, c := range choices {
			b = append(b, int64(c))
		}
		o := options("ABCD")
		err := m.Check(o, b)
		r := mustCount(t, m, o, []ballot.Ballot{b, {'A'}})
		if err == nil {
			require.Zero(t, r.Spoilt)
		}
		total := 0
		for _, c := range r.Counts {
			require.LessOrEqual(t, c.Votes, 2)
			total += c.Votes
		}
		if m != ballot.Approval {
			require.LessOrEqual(t, total, 2)
		}
	})
}
