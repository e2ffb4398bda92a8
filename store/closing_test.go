package store

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// The list of all entries is fixed once, at the closing, and later changes of
// who takes part do not reach it.
func TestClosingFixesTheListOfAllEntries(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	var slips []ledger.Slip
	var entrants []challenge.Actor
	for i := range 5 {
		_, token, err := b.Submit(ctx, c.ID, "", submission(i+1), "", nil)
		require.NoError(t, err)
		link, err := b.FollowLink(ctx, ForEntrant, token)
		require.NoError(t, err)
		entrants = append(entrants, link.Actor())
	}
	require.NoError(t, b.Withdraw(ctx, entrants[1]))
	_, err := b.ClosingList(ctx, c)
	require.Equal(t, challenge.Missing, why(t, err))
	before, err := b.Standings(ctx, entrants[0])
	require.NoError(t, err)
	require.Empty(t, before)

	b.at = c.ClosesAt
	require.NoError(t, b.CloseDue(ctx))
	require.NoError(t, b.CloseDue(ctx))
	for _, a := range []challenge.Actor{entrants[0], entrants[2]} {
		s, err := b.Slip(ctx, a)
		require.NoError(t, err)
		slips = append(slips, s)
	}
	require.NoError(t, b.Withdraw(ctx, entrants[3]))
	require.NoError(t, b.EraseOwn(ctx, entrants[4]))
	l, err := b.ClosingList(ctx, c)
	require.NoError(t, err)
	var numbers []int
	for _, ticket := range l.List.Roster() {
		numbers = append(numbers, ticket.Number)
	}
	require.Equal(t, []int{1, 3, 4, 5}, numbers)
	require.True(t, l.FixedAt.Equal(c.ClosesAt))

	public, err := b.Ledger(ctx, c, challenge.Public)
	require.NoError(t, err)
	var e struct {
		Kind   string
		Detail closing
	}
	require.NoError(t, json.Unmarshal(public.Leaves[l.Leaf].Opening.Body, &e))
	require.Equal(t, challenge.EventEntriesClosed, e.Kind)
	require.Equal(t, draw.Extent{Entries: 4, Tickets: 4, Root: l.List.Roster().Root()}, e.Detail.List)

	for i, a := range []challenge.Actor{entrants[0], entrants[2]} {
		all, err := b.Standings(ctx, a)
		require.NoError(t, err)
		require.Len(t, all, 1)
		s := all[0]
		require.True(t, s.In && s.Unaltered)
		require.Zero(t, s.Position)
		require.Equal(t, slips[i].Commitment(), s.Commitment, "the slip opens the line of the list")
		require.NoError(t, draw.VerifyTicket(draw.Ticket{Number: slips[i].Entry, Weight: 1, Commitment: s.Commitment}, s.Index, s.Proof, e.Detail.List))
	}
	out, err := b.Standings(ctx, entrants[1])
	require.NoError(t, err)
	require.False(t, out[0].In)
	require.Equal(t, OutWithdrawn, out[0].Out)
	still, err := b.Standings(ctx, entrants[3])
	require.NoError(t, err)
	require.True(t, still[0].In, "who withdraws later stood in the list")

	require.Zero(t, b.states(c)[ledger.Tampered])
	_, err = b.writer.Exec(`UPDATE closing_list SET roster = replace(roster, '"number":3', '"number":2')`)
	require.NoError(t, err)
	found, err := b.CheckLedger(ctx, c.ID)
	require.NoError(t, err)
	require.Equal(t, ledger.Tampered, found[l.Leaf].State)
}

// Closing without any entry fixes an empty list.
func TestClosingWithoutEntries(t *testing.T) {
	b := openBench(t)
	c := b.open()
	b.at = c.ClosesAt
	require.NoError(t, b.CloseDue(t.Context()))
	l, err := b.ClosingList(t.Context(), c)
	require.NoError(t, err)
	require.Empty(t, l.List.Roster())
	require.Equal(t, map[ledger.State]int{ledger.Holds: 2}, b.states(c))
}
