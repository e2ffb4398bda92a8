package store

import (
	"database/sql"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/intake"
)

// requireAgreed compares what is kept of every entry with the answers that
// hold, and what waits for the host with both.
func (b *bench) requireAgreed(c challenge.Challenge, waiting ...int) {
	type entry struct {
		dish   int64
		agreed bool
	}
	all, err := rows(b.t.Context(), b.reads, func(r *sql.Rows) (e entry, err error) { return e, r.Scan(&e.dish, &e.agreed) }, `SELECT dish_id, agreed FROM entry`)
	require.NoError(b.t, err)
	for _, e := range all {
		cs, err := consents(b.t.Context(), b.reads, e.dish)
		require.NoError(b.t, err)
		require.Equal(b.t, cs.Eligible(), e.agreed, "entry of dish %d", e.dish)
	}
	numbers, err := b.Unanswered(b.t.Context(), c.ID)
	require.NoError(b.t, err)
	require.Equal(b.t, waiting, numbers)
	w, err := b.Waits(b.t.Context(), b.host, c.ID)
	require.NoError(b.t, err)
	require.Equal(b.t, len(waiting), w.Consent)
}

func TestWhatIsAgreedIsKeptWithTheAnswers(t *testing.T) {
	b := openBench(t)
	c := b.open()
	b.choose(c, b.stageBox(c, boxOf(3)), intake.Entry)
	require.Equal(t, 3, b.makeSome(9))
	ctx := t.Context()
	_, token, err := b.Submit(ctx, c.ID, "", submission(8), "", nil)
	require.NoError(t, err)
	b.requireAgreed(c, 1, 2, 3)

	ms, err := b.Waiting(ctx, 10)
	require.NoError(t, err)
	sender, err := b.FollowLink(ctx, ForEntrant, ms[0].Token)
	require.NoError(t, err)
	both := map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}
	require.Error(t, b.SetConsents(ctx, sender.Actor(), map[challenge.ConsentKind]bool{challenge.Considered: true}, "", ""))
	b.requireAgreed(c, 1, 2, 3)
	require.NoError(t, b.SetConsents(ctx, sender.Actor(), both, "", ""))
	b.requireAgreed(c, 2, 3)
	require.NoError(t, b.Erase(ctx, b.host, c.ID, 2))
	require.NoError(t, b.Erase(ctx, b.host, c.ID, 1))
	b.requireAgreed(c, 3)

	// What a barred entry's author takes back is missing once it takes part again.
	own, err := b.FollowLink(ctx, ForEntrant, token)
	require.NoError(t, err)
	require.NoError(t, b.Bar(ctx, b.host, c.ID, own.Actor().ID, Bar{Cause: challenge.CauseConsent, Reason: "Asked for.", Words: "As you asked."}, 0))
	require.NoError(t, b.SetConsents(ctx, own.Actor(), nil, "", ""))
	b.requireAgreed(c, 3)
	require.NoError(t, b.LiftBar(ctx, b.host, c.ID, own.Actor().ID, "Asked for again."))
	b.requireAgreed(c, 3, 4)
	in, err := goesIn(ctx, b.reads, b.reload(c), challenge.Round{Kind: challenge.Draw})
	require.NoError(t, err)
	require.Empty(t, in)
	require.NoError(t, b.SetConsents(ctx, own.Actor(), both, "", ""))
	b.requireAgreed(c, 3)
}

func TestQuestionsWaitForAnAnswer(t *testing.T) {
	b := openBench(t)
	c, other := b.open(), b.open()
	asked := func(x challenge.Challenge, i int) (challenge.Actor, func() int) {
		_, token, err := b.Submit(t.Context(), x.ID, "", submission(i), "", nil)
		require.NoError(t, err)
		own, err := b.FollowLink(t.Context(), ForEntrant, token)
		require.NoError(t, err)
		require.NoError(t, b.Ask(t.Context(), b.host, x.ID, own.Actor().ID, "Fresh mint, or dried?"))
		return own.Actor(), func() int {
			w, err := b.Waits(t.Context(), b.host, x.ID)
			require.NoError(t, err)
			return w.Questions
		}
	}
	asked(c, 1)
	asked(other, 2)
	author, open := asked(c, 3)
	require.Equal(t, 2, open())
	o, err := b.OwnQuestions(t.Context(), author)
	require.NoError(t, err)
	require.NoError(t, b.Answer(t.Context(), author, o[0].ID, "Dried."))
	require.Equal(t, 1, open())
}

// The page of a challenge reads what is open alone, however many entries came.
func TestWaitsReadOnlyWhatIsOpen(t *testing.T) {
	plan := strings.Join(openBench(t).plan(waitsSelect, 1), "\n")
	require.Contains(t, plan, "entry USING COVERING INDEX entry_unagreed")
	require.Contains(t, plan, "question USING COVERING INDEX question_open")
	require.Contains(t, plan, "message USING INDEX message_failed")
	require.Equal(t, 1, strings.Count(plan, "SEARCH entry USING INTEGER PRIMARY KEY"), plan)
}
