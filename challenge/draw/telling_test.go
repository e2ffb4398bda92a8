package draw

import (
	"crypto/ed25519"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ledger"
)

func TestProtocolTellsTheDraw(t *testing.T) {
	for _, c := range []struct {
		sample string
		method string
		lines  []string
		result []ProtocolPlace
	}{
		{"dice, two finalists", "Dice on camera: one with 20 faces", []string{
			"2026-12-01T12:21:00Z  host typed the roll 13 for place 1 (event 1)",
			"2026-12-01T12:25:00Z  co-host confirmed the roll of event 1",
			"Place 1: 12 of 20 gives ticket 2 of 2: No. 42",
		}, []ProtocolPlace{{"Drawn", 42}}},
		{"dice, weights", "Dice on camera: one with 6 faces, one with 6 faces", []string{
			"2026-12-01T12:21:00Z  host typed the roll 4 4 for place 1 (event 1)",
			"Place 3: No. 8, the only one left",
		}, []ProtocolPlace{{"Drawn", 5}, {"1st alternate", 3}, {"2nd alternate", 8}}},
		{"dice, void", "Dice on camera: one with 20 faces", []string{
			"2026-12-01T12:22:00Z  host declared the draw void: The die fell from the table.",
		}, nil},
		{"dice, several throws", "Dice on camera: one with 10 faces, one with 10 faces, read tens, then ones", []string{
			"Place 1: 9989 of 10000 gives ticket 200 of 200: No. 200",
			"Place 3: 9998 is not below 9900, so once more",
		}, nil},
		{"seeds, missing reveal", "Sealed seeds of host, co-host, audience; dice if one is never opened", []string{
			"2026-12-01T12:05:00Z  co-host sealed a secret",
			`2026-12-01T12:40:00Z  audience opened the secret "no. 3"`,
		}, nil},
		{"seeds, later value", "Sealed seeds of host, judge, server, mixed with Saturday lottery", []string{
			"2026-12-01T13:30:00Z  host typed source 1: 9, 18, 26, 34, 41, 45",
		}, nil},
		{"public sources", "Public sources (RFC 3797): US national debt; Lottery A; Lottery B", []string{
			"Place 1: 990dd0a5692a029a98b5e01aa28f3459 modulo 25 is 16: No. 17",
		}, nil},
	} {
		s := sampleNamed(t, c.sample)
		rec, err := Parse(build(t, s.plan, s.roster, s.events...))
		require.NoError(t, err)
		p := NewProtocol(rec)
		require.Equal(t, c.method, p.Method, c.sample)
		for _, line := range c.lines {
			require.Contains(t, p.Lines, line, c.sample)
		}
		if c.result != nil {
			require.Equal(t, c.result, p.Result)
		}
		require.Equal(t, c.sample == "dice, void", p.Void)
		require.True(t, strings.HasPrefix(p.Head, "example.org/winter-pies "), p.Head)
		require.NotEmpty(t, p.Caveats)
	}
}

func TestProtocolFitsOnePage(t *testing.T) {
	s := sampleNamed(t, "seeds, whole order")
	s.roster = rosterUpTo(100)
	s.plan.Places = 100
	s.plan = s.plan.Freeze(s.roster, moment(10))
	s.events[3].Nonce = new(nonceOf("audience"))
	rec, err := Parse(build(t, s.plan, s.roster, s.events...))
	require.NoError(t, err)
	p := NewProtocol(rec)
	require.Len(t, p.Lines, protocolLines)
	require.Equal(t, len(rec.Events)+len(rec.Steps)-protocolLines, p.More)
	require.Len(t, p.Result, protocolLines)
}

func TestPlacesAreNamed(t *testing.T) {
	for i, want := range map[int]string{0: "Drawn", 1: "1st alternate", 4: "4th alternate", 11: "11th alternate", 12: "12th alternate", 21: "21st alternate", 102: "102nd alternate", 113: "113th alternate"} {
		require.Equal(t, want, placeText(i))
	}
}

func TestNotesSayWhatAPageMust(t *testing.T) {
	notes := func(p Plan) string {
		var b strings.Builder
		for _, s := range p.Notes() {
			b.WriteString(s.String() + "\n")
		}
		return b.String()
	}
	require.Contains(t, notes(dicePlan(1, 20)), "never changes a recorded roll")
	require.Contains(t, notes(seedsPlan(1, "a", "b")), "can have a second draw, once")
	require.Contains(t, notes(laterPlan(moment(80))), "refusing to open a secret gains next to nothing")
	require.Contains(t, notes(publicPlan(1, rfc3797Sources()...)), "cannot be kept for a later release")
	rehearsal := dicePlan(1, 20)
	rehearsal.Rehearsal = true
	require.Contains(t, notes(rehearsal), "It decides nothing")
	for _, p := range []Plan{dicePlan(1, 20), seedsPlan(1, "a", "b")} {
		require.Contains(t, notes(p), PrizeCaution)
	}
	require.True(t, dicePlan(1, 20).Bias().IsZero())
}

func TestVerifySaysWhatItCannotShow(t *testing.T) {
	says := map[string][]string{
		"dice, two finalists":   {"a typed roll is the one that was filmed"},
		"seeds, missing reveal": {"a typed roll is the one that was filmed", "Who the parties are", "can have a second draw"},
		"seeds, later value":    {"Who the parties are", "a public value was typed as it was published"},
		"public sources":        {"a public value was typed as it was published"},
		"rehearsal":             {"this is a rehearsal"},
	}
	for name, all := range says {
		s := sampleNamed(t, name)
		text := strings.Join(Verify(build(t, s.plan, s.roster, s.events...), Options{}).CannotShow, "\n")
		for _, want := range append(all, "every entry it should", "the only draw or rehearsal") {
			require.Contains(t, text, want, name)
		}
	}
	s := sampleNamed(t, "dice, two finalists")
	key := Options{Key: ledgerKey().Public().(ed25519.PublicKey)}
	text := strings.Join(Verify(build(t, s.plan, s.roster, s.events...), key).CannotShow, "\n")
	require.Contains(t, text, "whoever holds the ledger's key")
}

func TestStanding(t *testing.T) {
	rec := Record{Plan: dicePlan(1, 20), Roster: rosterOf(17, 42)}
	rec.Plan = rec.Plan.Freeze(rec.Roster, moment(10))
	slip := ledger.Slip{Entry: 17, Salt: ledger.Salt{17}, Body: `{"entry":17}`}
	c := rec.Standing(slip)
	require.True(t, c.Holds, c.Detail)
	require.Equal(t, "No. 17 is in the list fixed on 2026-12-01T12:10:00Z, unaltered", c.What)
	slip.Body = `{"entry":18}`
	require.False(t, rec.Standing(slip).Holds)
	slip.Entry = 18
	c = rec.Standing(slip)
	require.False(t, c.Holds)
	require.Equal(t, "No. 18 is not in the list", c.Detail)

	tree, extent := rec.Roster.Tree(), rec.Roster.Extent()
	p, err := tree.Inclusion(1)
	require.NoError(t, err)
	require.NoError(t, VerifyTicket(rec.Roster[1], 1, p, extent))
	require.ErrorIs(t, VerifyTicket(rec.Roster[1], 0, p, extent), ledger.ErrProof)
}

// Figures stay exact in any language: below 2^53 for the largest roster with the
// largest dice.
func TestFiguresStayExact(t *testing.T) {
	for _, faces := range [][]int{{2}, {6}, {20}, {100}, {1000, 1000}, {1000, 999}, {7, 11, 13, 17}} {
		for _, tickets := range []int64{2, 3, 1000, 99_999, 1_000_001, MaxTickets} {
			d := Dice{Faces: faces}
			require.NoError(t, d.Check())
			table := tableFor(d, tickets, 0, nil)
			require.Less(t, table.Outcomes, int64(1)<<53, fmt.Sprint(faces, tickets))
			require.GreaterOrEqual(t, table.Outcomes, tickets)
			require.Less(t, table.Outcomes/d.Combos(), tickets, "no throw more than needed")
		}
	}
	require.NoError(t, publicPlan(1, rfc3797Sources()...).Freeze(rosterUpTo(MaxPool), moment(10)).Check())
	require.NoError(t, rosterUpTo(MaxEntries).Check())
	require.ErrorIs(t, rosterUpTo(MaxEntries+1).Check(), Refusal{Code: BadRoster})
}
