package store

import (
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// crash closes the database and opens it again, as after a crash between two
// steps, and checks that nothing of the draw was lost or done anew.
func (b *bench) crash(r challenge.Round) {
	before, err := b.DrawState(b.t.Context(), r.ID)
	require.NoError(b.t, err)
	require.NoError(b.t, b.Close())
	b.reopen()
	after, err := b.DrawState(b.t.Context(), r.ID)
	require.NoError(b.t, err)
	require.Equal(b.t, before.Events, after.Events)
	require.Equal(b.t, before.State.Result, after.State.Result)
	require.Equal(b.t, before.State.Plan, after.State.Plan)
	require.Equal(b.t, before.Awaits, after.Awaits)
}

// finished closes a draw, twice over, and verifies its record.
func (b *bench) finished(c challenge.Challenge, r challenge.Round) draw.Record {
	ctx := b.t.Context()
	b.crash(r)
	_, err := b.CloseRound(ctx, b.host, c.ID, r.ID)
	require.NoError(b.t, err)
	b.crash(r)
	_, err = b.CloseRound(ctx, b.host, c.ID, r.ID)
	require.Equal(b.t, challenge.Stale, why(b.t, err))
	if b.at.Before(c.ReleaseAt) {
		b.at = c.ReleaseAt
	}
	c = b.reload(c)
	doc, err := b.DrawRecord(ctx, c, c.Rounds[0])
	require.NoError(b.t, err)
	report := draw.Verify(doc, draw.Options{})
	require.True(b.t, report.Holds(), report.First())
	require.Zero(b.t, b.states(c)[ledger.Tampered])
	return report.Record
}

func TestCrashBetweenAnyTwoStepsOfADrawByDice(t *testing.T) {
	b := openBench(t)
	c, r := b.drawing(3, nil)
	for i, roll := range []struct{ place, face int }{{1, 19}, {1, 8}, {2, 20}} {
		b.crash(r)
		require.NoError(t, b.roll(c, r, i+1, roll.place, roll.face))
		require.NoError(t, b.roll(c, r, i+1, roll.place, roll.face), "sent again after a lost answer")
	}
	require.Len(t, b.finished(c, r).Events, 3)
}

func TestCrashBetweenAnyTwoStepsOfADrawBySecrets(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.drawing(4, func(r *challenge.Round) {
		r.Params.Method, r.Params.Places, r.Params.Parties, r.Params.Minutes = "seeds", 3, []string{"host", "audience", ServerParty}, 30
	})
	name := drawName(c, r)
	salts := map[string]ledger.Salt{"host": {1}, "audience": {2}}
	for i, party := range []string{"host", "audience"} {
		b.crash(r)
		content := draw.SeedCommitment(name, party, salts[party], "a secret of "+party)
		require.NoError(t, b.DrawEvent(ctx, b.host, c.ID, r.ID, draw.Event{N: i + 2, Kind: draw.Committed, Party: party, Commitment: &content}))
	}
	b.crash(r)
	require.NoError(t, b.Freeze(ctx, b.host, c.ID, r.ID))
	b.crash(r)
	require.NoError(t, b.RevealServerSeed(ctx, b.host, c.ID, r.ID))
	for i, party := range []string{"audience", "host"} { // in another order than they were sealed
		b.crash(r)
		salt := salts[party]
		require.NoError(t, b.DrawEvent(ctx, b.host, c.ID, r.ID, draw.Event{N: i + 5, Kind: draw.Revealed, Party: party, Nonce: &salt, Secret: "a secret of " + party}))
	}
	require.Len(t, b.finished(c, r).Result, 3)
}

func TestCrashBetweenAnyTwoStepsOfADrawByPublicSources(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	at := b.at.AddDate(0, 0, 40)
	c, r := b.drawing(4, func(r *challenge.Round) {
		r.Params.Method, r.Params.Sources = "public", []draw.Source{draw.Lottery("One", draw.At(at), "Its page", 6, 1, 49), draw.Lottery("Two", draw.At(at), "Its page", 6, 1, 49)}
	})
	b.at = at.Add(time.Minute)
	for i, n := range []int{2, 1} { // in another order than they were announced
		b.crash(r)
		e := draw.Event{N: i + 1, Kind: draw.Published, Source: n, Values: []string{"1", "2", "3", "4", "5", "6"}}
		require.NoError(t, b.DrawEvent(ctx, b.host, c.ID, r.ID, e))
		require.NoError(t, b.DrawEvent(ctx, b.host, c.ID, r.ID, e))
	}
	require.Len(t, b.finished(c, r).Events, 2)
}

// A step that fails at its end leaves nothing: opening, rolling, closing.
func TestFailedStepLeavesNothing(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.planned(3, func(r *challenge.Round) { r.Params.OneEach = true })
	size, err := ledgerSize(ctx, b.reads, c.ID)
	require.NoError(t, err)
	_, err = b.writer.Exec(`CREATE TRIGGER power_cut BEFORE UPDATE OF leaf ON draw BEGIN SELECT RAISE(ABORT, 'the power went'); END`)
	require.NoError(t, err)
	require.ErrorContains(t, b.OpenRound(ctx, b.host, c.ID, r.ID), "the power went")
	after, err := ledgerSize(ctx, b.reads, c.ID)
	require.NoError(t, err)
	require.Equal(t, size, after, "no leaf, no choice of one each, no closing")
	_, err = b.DrawState(ctx, r.ID)
	require.Equal(t, challenge.Missing, why(t, err))
	_, err = b.writer.Exec(`DROP TRIGGER power_cut`)
	require.NoError(t, err)
	require.NoError(t, b.OpenRound(ctx, b.host, c.ID, r.ID))
	require.NoError(t, b.roll(c, r, 1, 1, 1))
	require.NoError(t, b.roll(c, r, 2, 2, 1))
	b.finished(c, r)
}

// Two hosts who open, and close, the same draw at once make one of it.
func TestTwoHostsOpenAndCloseAtOnce(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.planned(3, nil)
	at := func(step func() error) {
		var together sync.WaitGroup
		errs := make([]error, 6)
		for i := range errs {
			together.Go(func() { errs[i] = step() })
		}
		together.Wait()
		done := 0
		for _, err := range errs {
			if err == nil {
				done++
				continue
			}
			require.Equal(t, challenge.Stale, why(t, err))
		}
		require.Equal(t, 1, done)
	}
	at(func() error { return b.OpenRound(ctx, b.host, c.ID, r.ID) })
	require.NoError(t, b.roll(c, r, 1, 1, 1))
	require.NoError(t, b.roll(c, r, 2, 2, 1))
	at(func() error { _, err := b.CloseRound(ctx, b.host, c.ID, r.ID); return err })
	kinds, err := b.LeafKinds(ctx, c.ID)
	require.NoError(t, err)
	count := map[string]int{}
	for _, k := range kinds {
		count[k]++
	}
	require.Equal(t, []int{1, 1, 3}, []int{count[challenge.EventRosterFrozen], count[challenge.EventRoundClosed], count[challenge.EventDraw]})
}
