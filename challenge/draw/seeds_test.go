package draw

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/ledger"
)

// RFC 4231, sections 4.2 to 4.8.
func TestHMACAgainstRFC4231(t *testing.T) {
	times := func(b string, n int) string { return strings.Repeat(b, n) }
	ascii := func(text string) string { return hex.EncodeToString([]byte(text)) }
	for i, c := range []struct{ key, data, mac string }{
		{times("0b", 20), ascii("Hi There"), "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"},
		{ascii("Jefe"), ascii("what do ya want for nothing?"), "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"},
		{times("aa", 20), times("dd", 50), "773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe"},
		{"0102030405060708090a0b0c0d0e0f10111213141516171819", times("cd", 50), "82558a389a443c0ea4cc819899f2083a85f0faa3e578f8077a2e3ff46729665b"},
		{times("0c", 20), ascii("Test With Truncation"), "a3b6167473100ee06e0c796c2955552b"},
		{times("aa", 131), ascii("Test Using Larger Than Block-Size Key - Hash Key First"), "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54"},
		{times("aa", 131), ascii("This is a test using a larger than block-size key and a larger than block-size data. The key needs to be hashed before being used by the HMAC algorithm."), "9b09ffa71b942fcb27635fbcd5b0e944bfdc63644f0713938a7f51535c3a35e2"},
	} {
		key, err := hex.DecodeString(c.key)
		require.NoError(t, err)
		data, err := hex.DecodeString(c.data)
		require.NoError(t, err)
		got := hex.EncodeToString(hmacSHA256(key, data))
		require.Equal(t, c.mac, got[:len(c.mac)], "case %d", i+1)
	}
}

func TestBelowTakesEqualShares(t *testing.T) {
	word := func(v uint32) []byte { return []byte{byte(v >> 24), byte(v >> 16), byte(v >> 8), byte(v), 9, 9} }
	// 2^32 = 4294967296: modulo 10 it leaves 6, so 4294967290 and above go again.
	for _, c := range []struct {
		value uint32
		n     int64
		index int64
		ok    bool
	}{
		{0, 10, 0, true}, {4294967289, 10, 9, true}, {4294967290, 10, -1, false}, {4294967295, 10, -1, false},
		{4294967295, 2, 1, true}, {4294967295, 1, 0, true}, {2147483648, 2147483647, 1, true}, {4294967294, 2147483647, -1, false},
	} {
		_, limit, index, ok := below(word(c.value), c.n)
		require.Equal(t, c.index, index, "%d of %d", c.value, c.n)
		require.Equal(t, c.ok, ok)
		require.Zero(t, limit%c.n)
		require.Greater(t, limit+c.n, int64(1<<32))
	}
}

// The two hashed texts written out, so that a change of their form shows.
func TestSeedTexts(t *testing.T) {
	nonce := ledger.Salt{0xab}
	want := sha256.Sum256([]byte("fairladle seed 1\nd\nhost\nab000000000000000000000000000000\npinch"))
	require.Equal(t, ledger.Commitment(want), SeedCommitment("d", "host", nonce, "pinch"))

	shares := []Share{
		{Party: "host", Committed: true, Revealed: true, Commitment: want, Nonce: nonce, Secret: "pinch"},
		{Party: "judge", Committed: true, Commitment: want},
		{Party: "server"},
	}
	text := "fairladle key 1\nd\n" + ledger.Hash{}.String() + "\n" +
		"host\n" + ledger.Commitment(want).String() + "\nab000000000000000000000000000000\npinch\n" +
		"judge\n" + ledger.Commitment(want).String() + "\n-\n-\n" +
		"server\n-\n-\n-\n" + "9./\n"
	require.Equal(t, sha256.Sum256([]byte(text)), SeedKey("d", ledger.Hash{}, shares, "9./"))
	require.NotEqual(t, sha256.Sum256([]byte(text)), SeedKey("d", ledger.Hash{}, shares, ""))
}

func TestSeedsRefusals(t *testing.T) {
	roster := rosterUpTo(5)
	plan := seedsPlan(1, "host", "judge").Freeze(roster, moment(10))
	host, judge := commitEvent(plan, 1, "host", "a"), commitEvent(plan, 2, "judge", "b")
	at := func(e Event, minutes int) Event { e.At = moment(minutes); return e }
	as := func(e Event, n int) Event { e.N = n; return e }
	wrongNonce := revealEvent(3, "host", "a")
	wrongNonce.Nonce = &ledger.Salt{1}
	for name, c := range map[string]struct {
		before []Event
		e      Event
		code   Code
	}{
		"unknown party":         {nil, commitEvent(plan, 1, "guest", "x"), NoSuchParty},
		"second secret":         {[]Event{host}, as(commitEvent(plan, 2, "host", "x"), 2), Repeated},
		"late commitment":       {nil, at(host, 31), TooLate},
		"reveal before all":     {[]Event{host}, at(revealEvent(2, "host", "a"), 20), TooEarly},
		"reveal before freeze":  {[]Event{host, judge}, at(revealEvent(3, "host", "a"), 9), TooEarly},
		"late reveal":           {[]Event{host, judge}, at(revealEvent(3, "host", "a"), 61), TooLate},
		"wrong secret":          {[]Event{host, judge}, revealEvent(3, "host", "A"), WrongReveal},
		"empty secret":          {[]Event{host, judge}, revealEvent(3, "host", ""), WrongReveal},
		"wrong nonce":           {[]Event{host, judge}, wrongNonce, WrongReveal},
		"another's secret":      {[]Event{host, judge}, revealEvent(3, "judge", "a"), WrongReveal},
		"repeated reveal":       {[]Event{host, judge, revealEvent(3, "host", "a")}, revealEvent(4, "host", "a"), Repeated},
		"commit after a reveal": {[]Event{host, judge, revealEvent(3, "host", "a")}, commitEvent(plan, 4, "judge", "c"), Repeated},
		"alone":                 {[]Event{host}, at(revealEvent(2, "host", "a"), 40), NotAwaited},
		"never sealed":          {[]Event{host}, at(revealEvent(2, "judge", "b"), 40), NoSuchParty},
		"a roll":                {[]Event{host}, rollEvent(2, 1, 5), NotAwaited},
		"a source":              {[]Event{host}, sourceEvent(2, 1, "5"), NotAwaited},
	} {
		s, err := Replay(plan, roster, c.before)
		require.NoError(t, err, name)
		require.ErrorIs(t, s.Apply(c.e), Refusal{Code: c.code}, name)
	}
}

// With very many tickets some values are discarded, and the counter goes on.
func TestSeedsDiscard(t *testing.T) {
	c := sampleNamed(t, "seeds, many tickets")
	s, err := Replay(c.plan, c.roster, c.events)
	require.NoError(t, err)
	discarded := 0
	for i, step := range s.Steps {
		require.Equal(t, int64(i), step.Counter)
		if step.Number == 0 {
			discarded++
			require.GreaterOrEqual(t, step.Value, step.Limit)
		}
	}
	require.Positive(t, discarded)
	require.Len(t, s.Result, 3)
}

func TestSeedsAwait(t *testing.T) {
	roster := rosterUpTo(5)
	open := seedsPlan(1, "host", "judge")
	frozen := open.Freeze(roster, moment(10))
	host, judge := commitEvent(open, 1, "host", "a"), commitEvent(open, 2, "judge", "b")
	for name, c := range map[string]struct {
		plan   Plan
		events []Event
		now    int
		want   Awaits
	}{
		"one has sealed":               {frozen, []Event{host}, 20, ForCommitments},
		"all have sealed, no list yet": {open, []Event{host, judge}, 20, ForRoster},
		"all have sealed":              {frozen, []Event{host, judge}, 20, ForReveals},
		"only one sealed in time":      {frozen, []Event{host}, 31, ForVoid},
		"a reveal is missing":          {frozen, []Event{host, judge, revealEvent(3, "host", "a")}, 61, ForVoid},
		"dice decide":                  {frozen, []Event{host, judge, {N: 3, Kind: Voided, At: moment(61), By: "host", Reason: "missing"}}, 62, ForRoll},
		"done":                         {frozen, []Event{host, judge, revealEvent(3, "host", "a"), revealEvent(4, "judge", "b")}, 62, ForNothing},
	} {
		var r Roster
		if c.plan.Frozen() {
			r = roster
		}
		s, err := Replay(c.plan, r, c.events)
		require.NoError(t, err, name)
		require.Equal(t, c.want, s.AwaitsAt(moment(c.now)), name)
	}
}

// The order in which secrets are opened changes nothing; any other secret, and
// any other roster, changes the key.
func TestSeedsDependOnEverything(t *testing.T) {
	roster := rosterUpTo(6)
	run := func(r Roster, a, b string, swap bool) *State {
		p := seedsPlan(6, "host", "judge").Freeze(r, moment(10))
		events := []Event{commitEvent(p, 1, "host", a), commitEvent(p, 2, "judge", b), revealEvent(3, "host", a), revealEvent(4, "judge", b)}
		if swap {
			events[2], events[3] = revealEvent(3, "judge", b), revealEvent(4, "host", a)
		}
		s, err := Replay(p, r, events)
		require.NoError(t, err)
		return s
	}
	base := run(roster, "a", "b", false)
	require.Equal(t, base.Result, run(roster, "a", "b", true).Result)
	other := rosterUpTo(6)
	other[5].Commitment[0]++
	for _, s := range []*State{run(roster, "a", "c", false), run(roster, "c", "b", false), run(other, "a", "b", false)} {
		require.NotEqual(t, base.Steps[0].Digest, s.Steps[0].Digest)
	}
}

func TestOneEach(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		sizes := rapid.SliceOfN(rapid.IntRange(0, 4), 0, 12).Draw(rt, "sizes")
		groups, n, people := make([][]int, len(sizes)), 0, 0
		for i, size := range sizes {
			for range size {
				n++
				groups[i] = append(groups[i], n)
			}
			people += min(size, 1)
		}
		key := sha256.Sum256([]byte(rapid.String().Draw(rt, "key")))
		picked := OneEach(key, groups)
		require.Len(rt, picked, people)
		at := 0
		for _, g := range groups {
			if len(g) > 0 {
				require.Contains(rt, g, picked[at])
				at++
			}
		}
		require.Equal(rt, picked, OneEach(key, groups))
	})
}

func TestMomentIsStrict(t *testing.T) {
	var m Moment
	require.NoError(t, json.Unmarshal([]byte(`"2026-12-24T18:00:00Z"`), &m))
	require.Equal(t, "2026-12-24T18:00:00Z", m.String())
	require.Equal(t, time.Date(2026, 12, 24, 18, 0, 0, 0, time.UTC), m.Time())
	require.Equal(t, m, At(time.Date(2026, 12, 24, 19, 0, 0, 999, time.FixedZone("", 3600))))
	for _, bad := range []string{"", "2026-12-24", "2026-12-24T18:00:00+00:00", "2026-12-24T18:00:00.5Z", "2026-12-24t18:00:00z", "2026-02-30T18:00:00Z"} {
		require.Error(t, m.UnmarshalText([]byte(bad)), bad)
	}
}
