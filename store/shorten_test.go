package store

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// What readers and the picker wrote about an erased recipe goes from tables,
// file and the records of closed rounds; marks stay, and the ledger's check
// follows the shortened records.
func TestEraseTakesTheWordsOutOfClosedRounds(t *testing.T) {
	x := openReadingBench(t, 5, 1, challenge.Params{Keep: 4, HostReads: true}).begin()
	ctx := t.Context()
	for n := 2; n <= 5; n++ {
		m := Mark{Dish: x.dish(n), Mark: "keep", Note: "Smells of zwetsch and plumtang"}
		require.NoError(t, x.Mark(ctx, x.host, x.c.ID, x.round.ID, m))
	}
	require.NoError(t, x.MoveByHand(ctx, x.host, x.c.ID, x.round.ID, []Choice{{Dish: x.dish(1), Chosen: true, Reason: "the quincelike one"}}))
	_, err := x.CloseRound(ctx, x.host, x.c.ID, x.round.ID)
	require.NoError(t, err)
	pick := x.reload(x.c).Rounds[1]
	pick.Params.Keep, pick.Params.Sealed = 2, false
	require.NoError(t, x.EditRound(ctx, x.host, x.c.ID, pick))
	require.NoError(t, x.OpenRound(ctx, x.host, x.c.ID, pick.ID))
	for _, n := range []int{1, 2} {
		require.NoError(t, x.Choose(ctx, x.host, x.c.ID, pick.ID, Choice{Dish: x.dish(n), Chosen: true, Reason: "a gorbelled thing"}))
	}
	require.NoError(t, x.SealPick(ctx, x.host, x.c.ID, pick.ID))
	_, err = x.CloseRound(ctx, x.host, x.c.ID, pick.ID)
	require.NoError(t, err)
	require.Len(t, x.inFiles("plumtang", "quincelike", "gorbelled"), 3)
	before := x.states(x.c)
	require.Zero(t, before[ledger.Tampered])

	require.NoError(t, x.Erase(ctx, x.host, x.c.ID, 1))
	require.Empty(t, x.inFiles("quincelike"))
	require.Contains(t, x.words(1), "plumtang", "what was written about others stays")
	require.Contains(t, x.words(2), "gorbelled")
	require.NoError(t, x.Erase(ctx, x.host, x.c.ID, 2))
	require.NotContains(t, x.words(2), "gorbelled")
	for n := 3; n <= 5; n++ {
		require.NoError(t, x.Erase(ctx, x.host, x.c.ID, n))
	}
	require.Empty(t, x.inFiles("plumtang", "quincelike", "gorbelled"))
	require.Contains(t, x.words(1), `"Mark":"keep"`)
	after := x.states(x.c)
	require.Zero(t, after[ledger.Tampered], "each shortening is on record")
	require.Equal(t, 5, after[ledger.Erased])

	_, err = x.writer.Exec(`UPDATE round SET document = x'7b7d' WHERE id = ?`, x.round.ID)
	require.NoError(t, err)
	require.Equal(t, 1, x.states(x.c)[ledger.Tampered], "any other form is found")
}

func (x *readingBench) words(position int) string {
	b, err := x.Document(x.t.Context(), x.reload(x.c).Rounds[position-1].ID)
	require.NoError(x.t, err)
	return string(b)
}

// A pick sealed by an earlier version has its words in the leaf itself.
func TestEraseFindsWordsInASealedPick(t *testing.T) {
	x := openReadingBench(t, 2, 0, challenge.Params{Keep: 2, HostReads: true})
	body := challenge.Event{Kind: challenge.EventPickSealed, Round: 2, Detail: []pickedDish{{x.dish(1), "No. 1", "quincelike"}, {x.dish(2), "No. 2", ""}}}
	require.NoError(t, x.write(t.Context(), func(tx *Tx) error { return record(t.Context(), tx, x.c.ID, body) }))
	require.NoError(t, x.Erase(t.Context(), x.host, x.c.ID, 2))
	require.NotEmpty(t, x.inFiles("quincelike"))
	require.NoError(t, x.Erase(t.Context(), x.host, x.c.ID, 1))
	require.Empty(t, x.inFiles("quincelike"))
	require.Equal(t, map[ledger.State]int{ledger.Holds: 4, ledger.Erased: 3}, x.states(x.c))
}
