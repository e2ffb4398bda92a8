package store

import (
	"errors"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// drawing opens a draw among all of n entries as the challenge's only round.
func (b *bench) drawing(n int, plan func(*challenge.Round)) (challenge.Challenge, challenge.Round) {
	ctx, c := b.t.Context(), b.open()
	for i := len(c.Rounds); i > 0; i-- {
		if c.Rounds[i-1].Kind != challenge.Draw {
			require.NoError(b.t, b.RemoveRound(ctx, b.host, c.ID, c.Rounds[i-1].ID))
		}
	}
	r := b.reload(c).Rounds[0]
	if plan != nil {
		plan(&r)
		require.NoError(b.t, b.EditRound(ctx, b.host, c.ID, r))
	}
	for i := range n {
		_, _, err := b.Submit(ctx, c.ID, "", submission(i+1), "", nil)
		require.NoError(b.t, err)
	}
	b.at = b.at.AddDate(0, 0, 15)
	require.NoError(b.t, b.OpenRound(ctx, b.host, c.ID, r.ID))
	c = b.reload(c)
	return c, c.Rounds[0]
}

func (b *bench) roll(c challenge.Challenge, r challenge.Round, n, place int, faces ...int) error {
	return b.DrawEvent(b.t.Context(), b.host, c.ID, r.ID, draw.Event{N: n, Kind: draw.Rolled, Place: place, Dice: faces})
}

func why(t *testing.T, err error) challenge.Why {
	re, ok := errors.AsType[*challenge.Refusal](err)
	require.True(t, ok, "%v", err)
	return re.Why
}

func TestPublicDrawHoldsNothingOfTheOutcomeBeforeItsRelease(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.drawing(3, nil)
	before, err := b.PublicDraw(ctx, c, r)
	require.NoError(t, err)
	require.Len(t, before.Roster, 3)
	require.NoError(t, b.roll(c, r, 1, 1, 8))
	require.NoError(t, b.roll(c, r, 2, 2, 20))
	sealed := func(p PublicDraw) {
		require.False(t, p.Released)
		require.Nil(t, p.State)
		require.Nil(t, p.Events)
		require.Nil(t, p.Document)
		require.Nil(t, p.Dishes)
	}
	during, err := b.PublicDraw(ctx, c, r)
	require.NoError(t, err)
	sealed(during)
	during.Checkpoint = before.Checkpoint
	require.Equal(t, before, during, "only the head of the ledger has moved")
	closed, err := b.CloseRound(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.True(t, closed)
	c = b.reload(c)
	r = c.Rounds[0]
	over, err := b.PublicDraw(ctx, c, r)
	require.NoError(t, err)
	sealed(over)
	require.NotNil(t, over.Outcome)
	_, err = b.DrawRecord(ctx, c, r)
	require.Equal(t, challenge.Sealed, why(t, err))

	b.at = c.ReleaseAt
	doc, err := b.DrawRecord(ctx, c, r)
	require.NoError(t, err)
	require.True(t, draw.Verify(doc, draw.Options{}).Holds())
	rec, err := draw.Parse(doc)
	require.NoError(t, err)
	body, err := draw.OutcomeBody(rec.Plan.Draw, rec.Result)
	require.NoError(t, err)
	require.Equal(t, over.Outcome.Content, ledger.Commit(rec.Ledger.Outcome.Salt, body), "the outcome is the one that was committed to")
	found, err := b.CheckLedger(ctx, c.ID)
	require.NoError(t, err)
	for _, f := range found {
		require.Equal(t, ledger.Holds, f.State, f.Detail)
	}
}

// Whatever is sent, in whatever order and however often: a draw keeps at most
// one event a number, never changes one, and ends as its events replay.
func TestDrawKeepsWhatWasRecorded(t *testing.T) {
	b := openBench(t)
	cohost := challenge.Actor{Role: challenge.Cohost, ID: 1}
	c, r := b.drawing(4, func(r *challenge.Round) { r.Params.Places = 4 })
	cohost.Challenge = c.ID
	require.NoError(t, b.roll(c, r, 1, 1, 20))
	d, err := b.DrawState(t.Context(), r.ID)
	require.NoError(t, err)
	kept, place := d.Events, d.State.Place
	rapid.Check(t, func(rt *rapid.T) {
		e := draw.Event{N: len(kept) + rapid.IntRange(-1, 2).Draw(rt, "n"), Kind: draw.Rolled, Place: place + rapid.IntRange(-1, 1).Draw(rt, "place"),
			Dice: []int{rapid.IntRange(0, 21).Draw(rt, "face")}}
		a := b.host
		if rapid.Bool().Draw(rt, "confirms") {
			a, e = cohost, draw.Event{N: e.N, Kind: draw.Confirmed, Roll: rapid.IntRange(0, len(kept)+1).Draw(rt, "roll")}
		}
		err := b.DrawEvent(t.Context(), a, c.ID, r.ID, e)
		d, loadErr := b.DrawState(t.Context(), r.ID)
		require.NoError(rt, loadErr)
		require.GreaterOrEqual(rt, len(d.Events), len(kept))
		require.LessOrEqual(rt, len(d.Events), len(kept)+1)
		require.Equal(rt, kept, d.Events[:len(kept)], "what was recorded stays")
		if err != nil {
			require.Len(rt, d.Events, len(kept), "what was refused left nothing")
		}
		for i, e := range d.Events {
			require.Equal(rt, i+1, e.N)
		}
		kept, place = d.Events, d.State.Place
	})
	found, err := b.CheckLedger(t.Context(), c.ID)
	require.NoError(t, err)
	for _, f := range found {
		require.Equal(t, ledger.Holds, f.State, f.Detail)
	}
}

func TestManyHostsRollAtOnce(t *testing.T) {
	b := openBench(t)
	c, r := b.drawing(3, nil)
	var together sync.WaitGroup
	errs := make([]error, 20)
	for i := range errs {
		together.Go(func() { errs[i] = b.roll(c, r, 1, 1, i+1) })
	}
	together.Wait()
	taken := 0
	for _, err := range errs {
		if err == nil {
			taken++
			continue
		}
		require.Equal(t, challenge.Stale, why(t, err))
	}
	require.Equal(t, 1, taken)
	d, err := b.DrawState(t.Context(), r.ID)
	require.NoError(t, err)
	require.Len(t, d.Events, 1)
}

// A unit that fails behind the ledger's leaf leaves neither: the leaf and the
// event stand or fall together.
func TestDrawEventAndItsLeafStandOrFallTogether(t *testing.T) {
	b := openBench(t)
	c, r := b.drawing(3, nil)
	size := func() (n int) {
		require.NoError(t, b.reads.QueryRow(`SELECT count(*) FROM ledger_leaf WHERE challenge_id = ?`, c.ID).Scan(&n))
		return n
	}
	before := size()
	failed := errors.New("the power went")
	err := b.write(t.Context(), func(tx *Tx) error {
		x, err := drawOf(t.Context(), tx, r.ID)
		require.NoError(t, err)
		require.NoError(t, x.add(t.Context(), tx, c, r, draw.Event{N: 1, Kind: draw.Rolled, By: "host", Place: 1, Dice: []int{7}}))
		return failed
	})
	require.ErrorIs(t, err, failed)
	require.Equal(t, before, size())
	require.NoError(t, b.Close())
	b.reopen()
	d, err := b.DrawState(t.Context(), r.ID)
	require.NoError(t, err)
	require.Empty(t, d.Events)
	require.NoError(t, b.roll(c, r, 1, 1, 7))
	require.Equal(t, before+1, size())
}

func TestWhoMayDoWhatInADraw(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.drawing(3, nil)
	roll := draw.Event{N: 1, Kind: draw.Rolled, Place: 1, Dice: []int{8}}
	for _, role := range challenge.Roles {
		a := challenge.Actor{Role: role, ID: 1, Challenge: c.ID}
		if role == challenge.Host {
			continue
		}
		for _, e := range []draw.Event{roll, {N: 1, Kind: draw.Voided, Reason: "no"}, {N: 1, Kind: draw.Revealed, Party: "host"}, {N: 1, Kind: draw.Committed, Party: ServerParty}} {
			require.Equal(t, challenge.Barred, why(t, b.DrawEvent(ctx, a, c.ID, r.ID, e)), "%s %s", role, e.Kind)
		}
		require.Equal(t, challenge.Barred, why(t, b.Freeze(ctx, a, c.ID, r.ID)))
		require.Equal(t, challenge.Barred, why(t, b.RevealServerSeed(ctx, a, c.ID, r.ID)))
		_, err := b.Drawn(ctx, a, c.ID, r.ID)
		require.Equal(t, challenge.Barred, why(t, err))
		_, err = b.DrawnCredit(ctx, a, c.ID, r.ID)
		require.Equal(t, challenge.Barred, why(t, err))
	}
	other := challenge.Actor{Role: challenge.Cohost, ID: 1, Challenge: c.ID + 1}
	require.Equal(t, challenge.Barred, why(t, b.DrawEvent(ctx, other, c.ID, r.ID, draw.Event{N: 1, Kind: draw.Confirmed, Roll: 1})))
}

// The credit is there only after the draw, only for who asks, and only while
// the entrant agrees.
func TestCreditOfTheDrawnEntry(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.drawing(3, func(r *challenge.Round) { r.Params.Places = 1 })
	_, err := b.DrawnCredit(ctx, b.host, c.ID, r.ID)
	require.Equal(t, challenge.Shut, why(t, err))
	require.NoError(t, b.roll(c, r, 1, 1, 8))
	none, err := b.DrawnCredit(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.Equal(t, Credit{}, none)
	drawn, err := b.Drawn(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.Equal(t, Drawn{Number: 2}, drawn, "nothing of a recipe that may not be filmed")

	dish, err := b.EntryByNumber(ctx, c.ID, 2)
	require.NoError(t, err)
	entrant := challenge.Actor{Role: challenge.Entrant, ID: dish, Challenge: c.ID}
	agree := map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true, challenge.Filmed: true, challenge.Credited: true}
	require.NoError(t, b.SetConsents(ctx, entrant, agree, "Cook Two", "cook number two"))
	named, err := b.DrawnCredit(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.Equal(t, Credit{"Cook Two", "cook number two"}, named)
	drawn, err = b.Drawn(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.Contains(t, drawn.Recipe.Text, "2 cups rice")
	require.NotContains(t, drawn.Recipe.Text, "Medlar")
	agree[challenge.Credited] = false
	require.NoError(t, b.SetConsents(ctx, entrant, agree, "Cook Two", "cook number two"))
	none, err = b.DrawnCredit(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.Equal(t, Credit{}, none)
}

func TestContinuationBetweenAnyTwoSizes(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.drawing(5, nil)
	require.NoError(t, b.roll(c, r, 1, 1, 3))
	size, err := ledgerSize(ctx, b.reads, c.ID)
	require.NoError(t, err)
	for to := int64(1); to <= size; to++ {
		for from := int64(1); from <= to; from++ {
			p, err := b.Continuation(ctx, c, from, to)
			require.NoError(t, err)
			require.NoError(t, ledger.VerifyConsistency(p.Proof, ledger.Checkpoint{Size: to, Root: p.ToRoot}, ledger.Checkpoint{Size: from, Root: p.FromRoot}))
		}
	}
	_, err = b.Continuation(ctx, c, 1, size+1)
	require.Equal(t, challenge.Invalid, why(t, err))
}

func TestStandingNoticesAnExchangedList(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, _ := b.drawing(3, nil)
	dish, err := b.EntryByNumber(ctx, c.ID, 2)
	require.NoError(t, err)
	entrant := challenge.Actor{Role: challenge.Entrant, ID: dish, Challenge: c.ID}
	lists, err := b.Standings(ctx, entrant)
	require.NoError(t, err)
	require.True(t, lists[0].In && lists[0].Unaltered)
	require.True(t, lists[0].FixedAt.Equal(b.at.Truncate(time.Second)))
	// Someone with the file in hand exchanges the leaf that the entry's newest
	// version names.
	_, err = b.writer.Exec(`UPDATE dish_version SET leaf = (SELECT leaf FROM dish_version WHERE dish_id <> ? AND leaf >= 0 LIMIT 1) WHERE dish_id = ?`, dish, dish)
	require.NoError(t, err)
	lists, err = b.Standings(ctx, entrant)
	require.NoError(t, err)
	require.True(t, lists[0].In)
	require.False(t, lists[0].Unaltered)
}
