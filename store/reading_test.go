package store

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/shortlist"
)

// A readingBench is a challenge whose entries are in and about to be read.
type readingBench struct {
	*bench
	c       challenge.Challenge
	round   challenge.Round
	readers []challenge.Actor
}

// openReadingBench takes entries and invites readers; reader i has the address
// of entrant i, so that the first entries are the readers' own.
func openReadingBench(t *testing.T, entries, readers int, params challenge.Params) *readingBench {
	x := &readingBench{bench: openBench(t)}
	x.c = x.open()
	for i := 1; i <= entries; i++ {
		x.submit(i)
	}
	x.at = x.c.ClosesAt.Add(time.Hour)
	for i := 1; i <= readers; i++ {
		x.invite(i)
	}
	x.round = x.c.Rounds[0]
	x.round.Params = params
	require.NoError(t, x.EditRound(t.Context(), x.host, x.c.ID, x.round))
	return x
}

func (x *readingBench) submit(i int) {
	token, err := x.NewToken()
	require.NoError(x.t, err)
	_, _, err = x.Submit(x.t.Context(), x.c.ID, token, submission(i), "", nil)
	require.NoError(x.t, err)
}

func (x *readingBench) invite(i int) challenge.Actor {
	token, err := x.Invite(x.t.Context(), x.host, x.c.ID, challenge.Reader, fmt.Sprintf("Reader %d", i), fmt.Sprintf("Cook%d+read@example.org", i))
	require.NoError(x.t, err)
	l, err := x.FollowLink(x.t.Context(), ForReader, token)
	require.NoError(x.t, err)
	x.readers = append(x.readers, l.Actor())
	return l.Actor()
}

func (x *readingBench) begin() *readingBench {
	require.NoError(x.t, x.OpenRound(x.t.Context(), x.host, x.c.ID, x.round.ID))
	x.c = x.reload(x.c)
	x.round = x.c.Rounds[0]
	return x
}

func (x *readingBench) share(a challenge.Actor) Share {
	s, err := x.Share(x.t.Context(), a, x.c.ID, x.round.ID)
	require.NoError(x.t, err)
	return s
}

func (x *readingBench) mark(a challenge.Actor, dish int64, mark string) {
	x.at = x.at.Add(30 * time.Second)
	require.NoError(x.t, x.Mark(x.t.Context(), a, x.c.ID, x.round.ID, Mark{Dish: dish, Mark: mark}))
}

func (x *readingBench) dish(number int) int64 {
	id, err := x.EntryByNumber(x.t.Context(), x.c.ID, number)
	require.NoError(x.t, err)
	return id
}

func (x *readingBench) cut() Cut {
	cut, err := x.Cut(x.t.Context(), x.host, x.c.ID, x.round.ID)
	require.NoError(x.t, err)
	return cut
}

// loads counts what each reader has, and who has which entry.
func (x *readingBench) loads(readers ...challenge.Actor) (loads []int, by map[int][]int64) {
	by = map[int][]int64{}
	for _, a := range readers {
		s := x.share(a)
		loads = append(loads, len(s.Steps))
		for _, step := range s.Steps {
			by[step.Dish.Number] = append(by[step.Dish.Number], a.ID)
		}
	}
	return loads, by
}

func TestEntriesAreSharedOutEvenlyAndNoReaderGetsHisOwn(t *testing.T) {
	x := openReadingBench(t, 24, 4, challenge.Params{Keep: 5, PerEntry: 2}).begin()
	loads, by := x.loads(x.readers...)
	require.Equal(t, []int{12, 12, 12, 12}, loads)
	require.Len(t, by, 24)
	for number, readers := range by {
		require.Len(t, readers, 2, "No. %d", number)
	}
	for i, a := range x.readers {
		require.NotContains(t, by[i+1], a.ID, "a reader got his own entry")
	}
	require.Empty(t, x.share(x.host).Steps, "the host takes no share unless the round says so")
	err := x.Mark(t.Context(), x.readers[0], x.c.ID, x.round.ID, Mark{Dish: x.dish(1), Mark: "keep"})
	require.ErrorContains(t, err, "not among those that you read")
}

func TestEveryReaderReadsAllInAnotherOrder(t *testing.T) {
	x := openReadingBench(t, 20, 2, challenge.Params{Keep: 5}).begin()
	first, second, host := x.share(x.readers[0]), x.share(x.readers[1]), x.share(x.host)
	require.Len(t, first.Steps, 19)
	require.Len(t, second.Steps, 19)
	require.Len(t, host.Steps, 20)
	order := func(s Share) (ns []int) {
		for _, step := range s.Steps {
			if step.Dish.Number > 2 {
				ns = append(ns, step.Dish.Number)
			}
		}
		return ns
	}
	require.NotEqual(t, order(first), order(second))
	require.NotEqual(t, order(first), order(host))
}

func TestLateReadersAndDropOutsLoseNoMarks(t *testing.T) {
	x := openReadingBench(t, 24, 3, challenge.Params{Keep: 5, PerEntry: 2}).begin()
	gone := x.readers[0]
	for _, step := range x.share(gone).Steps[:5] {
		x.mark(gone, step.Dish.ID, "keep")
	}
	late := x.invite(4)
	require.NotEmpty(t, x.share(late).Steps)
	require.NoError(t, x.Remove(t.Context(), x.host, x.c.ID, gone.ID))
	marks, err := x.Marks(t.Context(), x.host, x.c.ID, x.round.ID)
	require.NoError(t, err)
	require.Len(t, marks, 5)
	loads, by := x.loads(x.readers...)
	require.Equal(t, 5, loads[0], "what he marked is his, the rest went to others")
	require.LessOrEqual(t, slices.Max(loads[1:])-slices.Min(loads[1:]), 1)
	for number, readers := range by {
		require.Len(t, readers, 2, "No. %d", number)
	}
}

func TestEverybodyReadsAllIsNotSparedByOneWhoLeft(t *testing.T) {
	x := openReadingBench(t, 12, 2, challenge.Params{Keep: 5}).begin()
	x.mark(x.readers[0], x.share(x.readers[0]).Steps[0].Dish.ID, "keep")
	before := x.share(x.readers[1]).Steps
	require.NoError(t, x.Remove(t.Context(), x.host, x.c.ID, x.readers[0].ID))
	require.Equal(t, before, x.share(x.readers[1]).Steps)
	late := x.invite(3)
	require.Len(t, x.share(late).Steps, 11)
}

func TestConflictGoesToAnotherReader(t *testing.T) {
	x := openReadingBench(t, 12, 3, challenge.Params{Keep: 5, PerEntry: 2}).begin()
	a := x.readers[0]
	dish := x.share(a).Steps[0].Dish
	x.mark(a, dish.ID, "keep")
	require.Error(t, x.DeclareConflict(t.Context(), a, x.c.ID, x.round.ID, dish.ID, " "))
	require.NoError(t, x.DeclareConflict(t.Context(), a, x.c.ID, x.round.ID, dish.ID, "My sister's."))
	_, by := x.loads(x.readers...)
	require.NotContains(t, by[dish.Number], a.ID)
	if dish.Number > len(x.readers) { // nobody else is kept from it
		require.Len(t, by[dish.Number], 2)
	}
	marks, err := x.Marks(t.Context(), x.host, x.c.ID, x.round.ID)
	require.NoError(t, err)
	require.Empty(t, marks)
	x.invite(4)
	_, by = x.loads(x.readers...)
	require.NotContains(t, by[dish.Number], a.ID, "a declared conflict holds when shares are dealt again")
}

func TestLateEntriesAreDealtOut(t *testing.T) {
	x := openReadingBench(t, 9, 3, challenge.Params{Keep: 3, PerEntry: 2}).begin()
	x.mark(x.readers[2], x.share(x.readers[2]).Steps[0].Dish.ID, "keep")
	now := x.at
	x.at = x.c.ClosesAt.Add(-time.Minute)
	x.submit(10)
	x.at = now
	late, err := x.LateEntries(t.Context(), x.c.ID, x.round.ID)
	require.NoError(t, err)
	require.Equal(t, 1, late)
	require.NoError(t, x.AdmitLate(t.Context(), x.host, x.c.ID, x.round.ID))
	_, by := x.loads(x.readers...)
	require.Len(t, by[10], 2)
	require.Equal(t, 1, x.share(x.readers[2]).Done)
}

func TestAFewComeBackToAReaderWhoReadsAlone(t *testing.T) {
	x := openReadingBench(t, 40, 0, challenge.Params{Keep: 5}).begin()
	steps := x.share(x.host).Steps
	for i, step := range steps[:30] {
		x.mark(x.host, step.Dish.ID, []string{"keep", "maybe", "out"}[i%3])
	}
	s := x.share(x.host)
	require.Len(t, s.Steps, 43)
	require.Equal(t, 30*time.Second, s.Pace)
	require.Equal(t, time.Duration(13)*30*time.Second, s.Left())
	back := 0
	for i, step := range s.Steps {
		if step.Again {
			back++
			require.Greater(t, i, 30)
			require.Empty(t, step.Mark)
			require.NoError(t, x.MarkAgain(t.Context(), x.host, x.c.ID, x.round.ID, Mark{Dish: step.Dish.ID, Mark: "out"}))
		}
	}
	require.Equal(t, 3, back)
	d := x.share(x.host).Drift
	require.Equal(t, shortlist.Drift{Repeats: 3, Same: 1, Down: 2}, shortlist.Drift{Repeats: d.Repeats, Same: d.Same, Up: d.Up, Down: d.Down})
	keeps := 0
	for _, l := range x.cut().Lines {
		keeps += l.Keep
	}
	require.Equal(t, 10, keeps, "the first mark counts")
}

func TestSkippedAndFlaggedEntriesComeRoundAgain(t *testing.T) {
	x := openReadingBench(t, 5, 0, challenge.Params{Keep: 2}).begin()
	steps := x.share(x.host).Steps
	for _, i := range []int{1, 2, 4} {
		x.mark(x.host, steps[i].Dish.ID, "maybe")
	}
	require.NoError(t, x.Flag(t.Context(), x.host, x.c.ID, x.round.ID, steps[1].Dish.ID, true))
	s := x.share(x.host)
	require.Equal(t, 1, s.Flagged)
	next, ok := s.Unmarked(2)
	require.True(t, ok)
	require.Equal(t, steps[3].Dish.ID, next.Dish.ID)
	x.mark(x.host, steps[3].Dish.ID, "out")
	next, ok = x.share(x.host).Unmarked(4)
	require.True(t, ok)
	require.Equal(t, steps[0].Dish.ID, next.Dish.ID)
	x.mark(x.host, steps[0].Dish.ID, "out")
	_, ok = x.share(x.host).Unmarked(0)
	require.False(t, ok)
}

func TestPaceLeavesPausesOut(t *testing.T) {
	at := func(seconds ...int) (ts []time.Time) {
		for _, s := range seconds {
			ts = append(ts, testStart.Add(time.Duration(s)*time.Second))
		}
		return ts
	}
	require.Zero(t, pace(at(0, 10, 20)))
	require.Equal(t, 20*time.Second, pace(at(0, 10, 30, 60, 80, 5000, 5020)))
}

func TestCalibratedRuleNeedsThreeReaders(t *testing.T) {
	rule := shortlist.Rule{Kind: shortlist.Calibrated, AtCut: shortlist.TakeAll}
	x := openReadingBench(t, 6, 1, challenge.Params{Keep: 2, Cut: &rule})
	require.ErrorContains(t, x.OpenRound(t.Context(), x.host, x.c.ID, x.round.ID), "at least three readers")
	x.invite(2)
	x.begin()
	for _, a := range append(x.readers, x.host) {
		for _, step := range x.share(a).Steps {
			mark := []string{"out", "maybe", "keep"}[(step.Dish.Number+int(a.ID))%3]
			x.mark(a, step.Dish.ID, mark)
		}
	}
	cut := x.cut()
	require.Equal(t, shortlist.Calibrated, cut.Used)
	require.Len(t, cut.Strict, 3)
	require.Positive(t, cut.Resampled)
	total := 0.0
	for _, l := range cut.Lines {
		total += l.Chance
	}
	require.InDelta(t, 2, total, 1e-9, "as many come in as there are places")
	require.Equal(t, []int{0, 0, 2, 4}, cut.Coverage, "two readers left out their own entry")
	err := x.EditRound(t.Context(), x.host, x.c.ID, x.round)
	require.ErrorContains(t, err, "locked")
}

func TestMovingByHandNeedsAReason(t *testing.T) {
	x := openReadingBench(t, 4, 0, challenge.Params{Keep: 2}).begin()
	for i, mark := range []string{"keep", "keep", "maybe", "out"} {
		x.mark(x.host, x.dish(i+1), mark)
	}
	move := func(dish int64, chosen bool, reason string) error {
		return x.MoveByHand(t.Context(), x.host, x.c.ID, x.round.ID, []Choice{{Dish: dish, Chosen: chosen, Reason: reason}})
	}
	require.ErrorContains(t, move(x.dish(3), true, ""), "Give a reason")
	require.Equal(t, 0, x.cut().ByHand)
	require.NoError(t, move(x.dish(3), true, "Nobody else sent a vegan one."))
	require.Equal(t, 3, x.cut().Chosen)
	require.Equal(t, "Nobody else sent a vegan one.", x.cut().Lines[2].Why)
	require.NoError(t, move(x.dish(1), true, ""), "where hand and marks agree, no reason is needed")
	x.mark(x.host, x.dish(1), "out")
	require.False(t, x.cut().Lines[3].Chosen, "and later marks still count")
	require.Error(t, x.MoveByHand(t.Context(), x.readers0(), x.c.ID, x.round.ID, nil), "a reader does not cut")
}

func (x *readingBench) readers0() challenge.Actor {
	return challenge.Actor{Role: challenge.Reader, ID: 99, Challenge: x.c.ID}
}

func TestOneMoreReadingGoesToWhoHasLeastLeft(t *testing.T) {
	x := openReadingBench(t, 12, 3, challenge.Params{Keep: 4, PerEntry: 1}).begin()
	quick := x.readers[1]
	for _, step := range x.share(quick).Steps {
		x.mark(quick, step.Dish.ID, "keep")
	}
	other := x.share(x.readers[0]).Steps[0].Dish
	if other.Number == 2 {
		other = x.share(x.readers[0]).Steps[1].Dish
	}
	given, err := x.OneMoreReading(t.Context(), x.host, x.c.ID, x.round.ID, []int64{other.ID})
	require.NoError(t, err)
	require.Equal(t, 1, given)
	require.GreaterOrEqual(t, x.share(quick).Find(other.ID, false), 0)
	x.invite(4)
	require.GreaterOrEqual(t, x.share(quick).Find(other.ID, false), 0, "a reading asked for on top stays when shares are dealt again")
	for range 5 {
		_, err = x.OneMoreReading(t.Context(), x.host, x.c.ID, x.round.ID, []int64{other.ID})
	}
	require.ErrorContains(t, err, "Invite one more reader")
}

func TestEffortNamesWhatTheKitchenLacks(t *testing.T) {
	x := openReadingBench(t, 1, 0, challenge.Params{Keep: 1})
	p := prepare("Crisp parcels\n\nServes 4\n\n12 vine leaves\n2 tbsp epazote\n1 cup rice\n\nSoak the leaves overnight.\n\nSimmer the rice for 20 minutes.\n\nFry the parcels in a deep fryer for 5 minutes.", nil, nil)
	e := EffortOf(p.reading, x.c.Kitchen, Prices{})
	require.Equal(t, []string{"deep fryer"}, e.Lacking)
	require.Equal(t, []string{"epazote"}, e.Special)
	require.GreaterOrEqual(t, e.DaysAhead, 1)
	require.GreaterOrEqual(t, e.Total, 20)
	require.GreaterOrEqual(t, e.Total, e.Active)
}
