package store

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
)

func (x *readingBench) ownActor(number int) challenge.Actor {
	return challenge.Actor{Role: challenge.Entrant, ID: x.dish(number), Challenge: x.c.ID}
}

func (x *readingBench) waiting(kind messageKind) (n int) {
	ms, err := x.Waiting(x.t.Context(), 200)
	require.NoError(x.t, err)
	for _, m := range ms {
		if m.Kind == string(kind) {
			require.NotEmpty(x.t, m.Token)
			n++
		}
	}
	return n
}

func TestBarNeedsACauseAReasonAndWords(t *testing.T) {
	x := openReadingBench(t, 2, 0, challenge.Params{Keep: 1})
	err := x.Bar(t.Context(), x.host, x.c.ID, x.dish(1), Bar{Cause: "dislike"}, 0)
	var fields []string
	for _, re := range err.(challenge.Refusals) {
		fields = append(fields, re.Field)
	}
	require.Equal(t, []string{"cause", "reason", "words"}, fields)
	require.Error(t, x.Bar(t.Context(), x.readers0(), x.c.ID, x.dish(1), Bar{Cause: challenge.CauseSafety, Reason: "r", Words: "w"}, 0))
}

func TestBarredEntryIsNotReadAndItsAuthorIsTold(t *testing.T) {
	x := openReadingBench(t, 6, 0, challenge.Params{Keep: 3}).begin()
	bar := Bar{Cause: challenge.CauseSafety, Reason: "Beans are not boiled.", Words: "We cannot cook it as it stands."}
	require.NoError(t, x.Bar(t.Context(), x.host, x.c.ID, x.dish(4), bar, 0))
	require.Len(t, x.share(x.host).Steps, 5)
	require.Len(t, x.cut().Lines, 5)
	own, out, err := x.OwnBar(t.Context(), x.ownActor(4))
	require.NoError(t, err)
	require.True(t, out)
	require.Equal(t, "We cannot cook it as it stands.", own.Words)
	require.Empty(t, own.Reason, "the host's own reason is not the entrant's to read")
	require.Equal(t, 1, x.waiting(messageNews))
	require.ErrorContains(t, x.Bar(t.Context(), x.host, x.c.ID, x.dish(4), bar, 0), "takes no part any more")

	x.at = x.at.Add(time.Minute)
	require.ErrorContains(t, x.LiftBar(t.Context(), x.host, x.c.ID, x.dish(4), ""), "Say in a sentence")
	require.NoError(t, x.LiftBar(t.Context(), x.host, x.c.ID, x.dish(4), "I misread it."))
	require.Len(t, x.share(x.host).Steps, 6)
	_, out, err = x.OwnBar(t.Context(), x.ownActor(4))
	require.NoError(t, err)
	require.False(t, out)
	bars, err := x.Bars(t.Context(), x.host, x.c.ID, x.dish(4))
	require.NoError(t, err)
	require.Equal(t, "I misread it.", bars[0].Lifted)
}

func TestBarCannotBeLiftedOnceARoundWentOnWithoutTheEntry(t *testing.T) {
	x := openReadingBench(t, 4, 0, challenge.Params{Keep: 2}).begin()
	for i := 1; i <= 4; i++ {
		x.mark(x.host, x.dish(i), []string{"keep", "keep", "out", "out"}[i-1])
	}
	require.NoError(t, x.Bar(t.Context(), x.host, x.c.ID, x.dish(1), Bar{Cause: challenge.CauseCopied, Reason: "r", Words: "w"}, 0))
	x.at = x.at.Add(time.Minute)
	require.NoError(t, x.LiftBar(t.Context(), x.host, x.c.ID, x.dish(1), "not copied"))
	require.NoError(t, x.Bar(t.Context(), x.host, x.c.ID, x.dish(1), Bar{Cause: challenge.CauseCopied, Reason: "it is", Words: "w"}, 0))
	x.at = x.at.Add(time.Minute)
	_, err := x.CloseRound(t.Context(), x.host, x.c.ID, x.round.ID)
	require.NoError(t, err)
	require.ErrorContains(t, x.LiftBar(t.Context(), x.host, x.c.ID, x.dish(1), "after all"), "went on without this entry")
}

// parcels is a text that lightly rewritten stays a near-duplicate.
const parcels = "Leaf parcels\n\n30 vine leaves\n2 cups rice\n1 lemon\n3 tbsp olive oil\n2 onions\n1 tsp salt\n\n" +
	"Soak the leaves in warm water for ten minutes and dry them on a cloth. Fry the onions slowly in the oil until they are soft and golden. " +
	"Stir in the rice with the salt and let it cool on a plate. Roll a spoonful into each leaf and lay the parcels close together in a pan. " +
	"Pour over water and the juice of the lemon and simmer under a plate for forty minutes."

func (x *readingBench) submitText(i int, text string) {
	token, err := x.NewToken()
	require.NoError(x.t, err)
	s := submission(i)
	s.Text = text
	_, _, err = x.Submit(x.t.Context(), x.c.ID, token, s, "", nil)
	require.NoError(x.t, err)
}

func TestNearDuplicatesAreFoundByTheJobAndDecided(t *testing.T) {
	x := &readingBench{bench: openBench(t)}
	x.c = x.open()
	x.submitText(1, parcels)
	x.submitText(2, "Bread\n\n500 g flour\n10 g salt\n7 g yeast\n\nKnead everything with water and bake it at 220 C for 40 minutes.")
	x.submitText(3, "Grandmother's leaf parcels"+parcels[len("Leaf parcels"):]+" Serve cold.")
	pairs, err := x.AlikePairs(t.Context(), x.host, x.c.ID)
	require.NoError(t, err)
	require.Empty(t, pairs, "the acknowledgement does not wait for the comparison")
	_, err = x.RunJobs(t.Context())
	require.NoError(t, err)
	pairs, err = x.AlikePairs(t.Context(), x.host, x.c.ID)
	require.NoError(t, err)
	require.Len(t, pairs, 1)
	require.Equal(t, [2]int{1, 3}, [2]int{pairs[0].First.Number, pairs[0].Second.Number})
	require.Greater(t, pairs[0].Like, .7)
	beside, err := x.Beside(t.Context(), x.host, x.c.ID, x.dish(3), x.dish(1))
	require.NoError(t, err)
	require.Contains(t, beside.Overlap.Ingredients, "rice")
	require.NotEmpty(t, beside.Overlap.Passages)

	require.Error(t, x.KeepBoth(t.Context(), x.host, x.c.ID, x.dish(1), x.dish(3), ""))
	require.Error(t, x.KeepBoth(t.Context(), x.host, x.c.ID, x.dish(1), x.dish(2), "no pair"))
	require.NoError(t, x.KeepBoth(t.Context(), x.host, x.c.ID, x.dish(3), x.dish(1), "Two cooks of one family."))
	require.NoError(t, x.Bar(t.Context(), x.host, x.c.ID, x.dish(3), Bar{Cause: challenge.CauseDuplicate, Reason: "twice", Words: "w"}, x.dish(1)))
	pairs, err = x.AlikePairs(t.Context(), x.host, x.c.ID)
	require.NoError(t, err)
	require.Equal(t, "barred", pairs[0].Decision)

	nearest, err := x.NearestOf(t.Context(), []int64{x.dish(1), x.dish(2), x.dish(3)})
	require.NoError(t, err)
	require.Equal(t, x.dish(3), nearest[0].Other)
	require.Less(t, nearest[1].Like, .2)
}

func TestChangedEntryIsComparedAnew(t *testing.T) {
	x := &readingBench{bench: openBench(t)}
	x.c = x.open()
	x.submitText(1, parcels)
	x.submitText(2, parcels+" Serve cold.")
	_, err := x.RunJobs(t.Context())
	require.NoError(t, err)
	require.NoError(t, x.ChangeEntry(t.Context(), x.ownActor(2), 1, "Bread\n\n500 g flour\n\nKnead and bake it.", "", nil))
	_, err = x.RunJobs(t.Context())
	require.NoError(t, err)
	pairs, err := x.AlikePairs(t.Context(), x.host, x.c.ID)
	require.NoError(t, err)
	require.Empty(t, pairs)
}

func TestAnswersComeBackMaskedUnderTheNumber(t *testing.T) {
	x := openReadingBench(t, 2, 1, challenge.Params{Keep: 1})
	require.Error(t, x.Ask(t.Context(), x.host, x.c.ID, x.dish(1), " "))
	require.NoError(t, x.Ask(t.Context(), x.host, x.c.ID, x.dish(1), "How large are the leaves?"))
	require.Equal(t, 1, x.waiting(messageQuestion))
	own, err := x.OwnQuestions(t.Context(), x.ownActor(1))
	require.NoError(t, err)
	require.Len(t, own, 1)
	require.Error(t, x.Answer(t.Context(), x.ownActor(2), own[0].ID, "not mine"))
	require.NoError(t, x.Answer(t.Context(), x.ownActor(1), own[0].ID, "As a hand. Yours, Cook1 Medlar, cook1@example.org"))
	for _, a := range []challenge.Actor{x.host, x.readers[0]} {
		qs, err := x.Questions(t.Context(), a, x.c.ID, x.dish(1))
		require.NoError(t, err)
		require.Contains(t, qs[0].Answer, "As a hand.")
		require.NotContains(t, qs[0].Answer, "Medlar")
		require.NotContains(t, qs[0].Answer, "example.org")
	}
	all, err := x.AllQuestions(t.Context(), x.host, x.c.ID)
	require.NoError(t, err)
	require.Equal(t, 1, all[0].Number)
}

// picking is a challenge whose pick is open, with two co-hosts.
func openPicking(t *testing.T) (x *readingBench, pick challenge.Round, first, second challenge.Actor) {
	x = openReadingBench(t, 4, 0, challenge.Params{Keep: 3})
	var who []challenge.Actor
	for _, name := range []string{"first", "second"} {
		token, err := x.Invite(t.Context(), x.host, x.c.ID, challenge.Cohost, name, name+"@example.org")
		require.NoError(t, err)
		l, err := x.FollowLink(t.Context(), ForCohost, token)
		require.NoError(t, err)
		who = append(who, l.Actor())
	}
	x.begin()
	for i := 1; i <= 4; i++ {
		x.mark(x.host, x.dish(i), []string{"keep", "keep", "maybe", "out"}[i-1])
	}
	_, err := x.CloseRound(t.Context(), x.host, x.c.ID, x.round.ID)
	require.NoError(t, err)
	pick = x.c.Rounds[1]
	require.NoError(t, x.OpenRound(t.Context(), x.host, x.c.ID, pick.ID))
	return x, pick, who[0], who[1]
}

func TestPickRemindsOnceAndThenCallsTheStandIn(t *testing.T) {
	x, pick, first, second := openPicking(t)
	due := x.at.Add(72 * time.Hour)
	require.Error(t, x.SetPickPlan(t.Context(), x.host, x.c.ID, pick.ID, PickPlan{DueAt: x.at.Add(-time.Hour)}))
	require.Error(t, x.SetPickPlan(t.Context(), x.host, x.c.ID, pick.ID, PickPlan{DueAt: due, StandIn: 999}))
	require.NoError(t, x.SetPickPlan(t.Context(), x.host, x.c.ID, pick.ID, PickPlan{DueAt: due, StandIn: second.ID}))
	choose := func(a challenge.Actor, number int) error {
		return x.Choose(t.Context(), a, x.c.ID, pick.ID, Choice{Dish: x.dish(number), Chosen: true, Reason: "good"})
	}
	require.NoError(t, choose(first, 1))
	require.ErrorContains(t, choose(second, 2), "stand-in")
	require.NoError(t, x.RemindPickers(t.Context()))
	require.Equal(t, 0, x.waiting(messagePickDue))
	x.at = due.Add(-time.Hour)
	for range 3 {
		require.NoError(t, x.RemindPickers(t.Context()))
	}
	require.Equal(t, 1, x.waiting(messagePickDue))
	require.Equal(t, 0, x.waiting(messageStandIn))
	x.at = due
	for range 3 {
		require.NoError(t, x.RemindPickers(t.Context()))
	}
	require.Equal(t, 1, x.waiting(messageStandIn))
	require.ErrorContains(t, choose(first, 2), "deadline has passed")
	require.NoError(t, choose(second, 2))
	require.NoError(t, x.SealPick(t.Context(), second, x.c.ID, pick.ID))
	require.Error(t, x.SetPickPlan(t.Context(), x.host, x.c.ID, pick.ID, PickPlan{}))
}

func TestSealedPickOpensWithoutAFinalistWhoWithdrew(t *testing.T) {
	x, pick, first, _ := openPicking(t)
	for _, n := range []int{1, 2} {
		require.NoError(t, x.Choose(t.Context(), first, x.c.ID, pick.ID, Choice{Dish: x.dish(n), Chosen: true, Reason: "Good."}))
	}
	require.NoError(t, x.SealPick(t.Context(), first, x.c.ID, pick.ID))
	require.NoError(t, x.Withdraw(t.Context(), x.ownActor(2)))
	_, err := x.CloseRound(t.Context(), x.host, x.c.ID, pick.ID)
	require.NoError(t, err)
	out, err := x.Outcome(t.Context(), pick.ID)
	require.NoError(t, err)
	require.Equal(t, []int64{x.dish(1)}, challenge.Through(out))
}
