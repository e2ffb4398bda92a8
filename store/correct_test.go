package store

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

func (x *readingBench) holds() {
	x.t.Helper()
	found, err := x.CheckLedger(x.t.Context(), x.c.ID)
	require.NoError(x.t, err)
	for _, f := range found {
		require.Equal(x.t, ledger.Holds, f.State, "%s", f.Detail)
	}
}

func (x *readingBench) through(round int64) (labels []int64) {
	out, err := x.Outcome(x.t.Context(), round)
	require.NoError(x.t, err)
	return challenge.Through(out)
}

func (x *readingBench) closeFirst() {
	_, err := x.CloseRound(x.t.Context(), x.host, x.c.ID, x.round.ID)
	require.NoError(x.t, err)
}

func TestAClosedReadingIsOpenedAgainUntilTheNextRoundBegins(t *testing.T) {
	x := openReadingBench(t, 4, 0, challenge.Params{Keep: 2}).begin()
	undo := func(reason string) error { return x.ReopenRound(t.Context(), x.host, x.c.ID, x.round.ID, reason) }
	for i, m := range []string{"keep", "keep", "maybe", "out"} {
		x.mark(x.host, x.dish(i+1), m)
	}
	require.Error(t, undo("Not closed yet."))
	x.closeFirst()
	require.ErrorContains(t, undo(" "), "why it is opened again")
	require.NoError(t, undo("Two marks were still missing."))
	require.Empty(t, x.through(x.round.ID))
	x.holds()
	x.mark(x.host, x.dish(4), "keep")
	x.mark(x.host, x.dish(2), "out")
	x.closeFirst()
	require.Equal(t, []int64{x.dish(1), x.dish(4)}, x.through(x.round.ID))
	x.holds()

	require.NoError(t, x.OpenRound(t.Context(), x.host, x.c.ID, x.c.Rounds[1].ID))
	require.ErrorContains(t, undo("Too late."), "has begun since then")
	_, err := x.writer.Exec(`UPDATE round_reopened SET document = x'00'`)
	require.NoError(t, err)
	found, err := x.CheckLedger(t.Context(), x.c.ID)
	require.NoError(t, err)
	require.Equal(t, 1, tampered(found))
}

func TestErasingShortensTheRecordOfAClosingThatWasTakenBack(t *testing.T) {
	x := openReadingBench(t, 3, 0, challenge.Params{Keep: 2}).begin()
	for i, m := range []string{"keep", "keep", "out"} {
		require.NoError(t, x.Mark(t.Context(), x.host, x.c.ID, x.round.ID, Mark{Dish: x.dish(i + 1), Mark: m, Note: "grandmother's words"}))
	}
	x.closeFirst()
	require.NoError(t, x.ReopenRound(t.Context(), x.host, x.c.ID, x.round.ID, "Too early."))
	require.NoError(t, x.MoveByHand(t.Context(), x.host, x.c.ID, x.round.ID, []Choice{{Dish: x.dish(1), Reason: "It came twice."}}))
	x.closeFirst()
	require.NoError(t, x.Erase(t.Context(), x.host, x.c.ID, 1))
	found, err := x.CheckLedger(t.Context(), x.c.ID)
	require.NoError(t, err)
	require.Zero(t, tampered(found))
	var left int
	require.NoError(t, x.reads.QueryRow(`SELECT count(*) FROM round_reopened, json_each(CAST(document AS TEXT), '$.marks')
		WHERE json_extract(value, '$.Note') <> ''`).Scan(&left))
	require.Equal(t, 2, left, "of three notes")
}

func tampered(found []ledger.Finding) (n int) {
	for _, f := range found {
		if f.State == ledger.Tampered {
			n++
		}
	}
	return n
}

func TestACorrectionMovesAnEntryWhileTheNextRoundCanTakeIt(t *testing.T) {
	x, pick, picker, _ := openPicking(t)
	correct := func(number int, move challenge.Move, reason string) error {
		return x.CorrectRound(t.Context(), x.host, x.c.ID, x.round.ID, Correction{Number: number, Move: move, Reason: reason})
	}
	inPick := func() []int64 {
		ds, err := x.PickDishes(t.Context(), pick.ID)
		require.NoError(t, err)
		var ids []int64
		for _, d := range ds {
			ids = append(ids, d.ID)
		}
		return ids
	}
	require.ErrorContains(t, correct(4, challenge.MoveIn, ""), "what is corrected and why")
	require.ErrorContains(t, correct(9, challenge.MoveIn, "No such."), "part of the round")
	require.ErrorContains(t, correct(1, challenge.MoveIn, "It is in."), "stands already")
	require.NoError(t, correct(4, challenge.MoveIn, "A mark was meant for No. 4."))
	require.NoError(t, x.Choose(t.Context(), picker, x.c.ID, pick.ID, Choice{Dish: x.dish(3), Chosen: true, Reason: "Good."}))
	require.NoError(t, correct(3, challenge.MoveOut, "That mark was meant for No. 4."))
	require.Equal(t, []int64{x.dish(1), x.dish(2), x.dish(4)}, inPick())
	require.NoError(t, correct(0, challenge.MoveNone, "The two were mixed up on a printed list."))
	x.holds()
	all, err := x.Corrections(t.Context(), x.round.ID)
	require.NoError(t, err)
	require.Len(t, all, 3)
	require.Equal(t, []int{4, 3, 0}, []int{all[0].Number, all[1].Number, all[2].Number})

	for _, n := range []int{1, 2} {
		require.NoError(t, x.Choose(t.Context(), picker, x.c.ID, pick.ID, Choice{Dish: x.dish(n), Chosen: true, Reason: "Good."}))
	}
	require.NoError(t, x.SealPick(t.Context(), picker, x.c.ID, pick.ID))
	require.ErrorContains(t, correct(3, challenge.MoveIn, "Back."), "is sealed")
	_, err = x.CloseRound(t.Context(), x.host, x.c.ID, pick.ID)
	require.NoError(t, err)
	require.ErrorContains(t, correct(3, challenge.MoveIn, "Back."), "on record only")
	require.NoError(t, correct(3, challenge.MoveNone, "It should have stayed in."))

	require.NoError(t, x.ReopenRound(t.Context(), x.host, x.c.ID, pick.ID, "Opened by mistake."))
	state, err := x.PickState(t.Context(), picker, x.c.ID, pick.ID)
	require.NoError(t, err)
	require.True(t, state.SealedAt.IsZero())
	require.Len(t, state.Choices, 2, "the draft is kept")
	require.NoError(t, x.SealPick(t.Context(), picker, x.c.ID, pick.ID))
	_, err = x.CloseRound(t.Context(), x.host, x.c.ID, pick.ID)
	require.NoError(t, err)
	x.holds()
	_, err = x.writer.Exec(`UPDATE round_correction SET reason = 'Nothing.' WHERE id = 1`)
	require.NoError(t, err)
	found, err := x.CheckLedger(t.Context(), x.c.ID)
	require.NoError(t, err)
	require.Equal(t, 1, tampered(found))
}

func TestAReleaseMovesUntilItHasCome(t *testing.T) {
	x := openReadingBench(t, 2, 0, challenge.Params{Keep: 1}).begin()
	move := func(to time.Time, reason string) error {
		return x.MoveRelease(t.Context(), x.host, x.c.ID, x.round.ID, to, reason)
	}
	require.ErrorContains(t, move(x.at.Add(-time.Hour), "Late."), "in the future")
	require.ErrorContains(t, move(x.at.Add(time.Hour), ""), "why")
	require.NoError(t, move(x.at.Add(time.Hour), "The video is ready sooner."))
	x.mark(x.host, x.dish(1), "keep")
	x.closeFirst()
	require.NoError(t, move(x.at.Add(2*time.Hour), "The video is not ready."))
	x.at = x.at.Add(3 * time.Hour)
	require.ErrorContains(t, move(x.at.Add(time.Hour), "Again."), "what was shown stays shown")
	require.ErrorContains(t, x.ReopenRound(t.Context(), x.host, x.c.ID, x.round.ID, "Undo."), "public has seen")
	require.NoError(t, x.CorrectRound(t.Context(), x.host, x.c.ID, x.round.ID, Correction{Reason: "A mark was missing."}))
	x.holds()
}
