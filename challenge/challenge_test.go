package challenge_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge"
)

var start = time.Date(2026, 11, 2, 9, 0, 0, 0, time.UTC)

// season is a challenge with the usual run: entries for ten days, results
// public after thirty.
func season() challenge.Challenge {
	c := challenge.Challenge{ID: 1, Title: "Stuffed leaves", Zone: "Europe/Lisbon", AnnouncedAt: start, OpensAt: start.Add(time.Hour),
		ClosesAt: start.AddDate(0, 0, 10), ReleaseAt: start.AddDate(0, 0, 30), Rounds: challenge.UsualRun()}
	for i := range c.Rounds {
		c.Rounds[i].ID = int64(i + 1)
	}
	return c
}

// held closes the first n rounds.
func held(c challenge.Challenge, n int) challenge.Challenge {
	for i := range n {
		c.Rounds[i].State = challenge.Done
	}
	return c
}

func TestStages(t *testing.T) {
	c := season()
	draft := c
	draft.AnnouncedAt = time.Time{}
	require.Equal(t, challenge.Draft, draft.Stage(start))
	require.Equal(t, challenge.Waiting, c.Stage(start))
	require.Equal(t, challenge.Open, c.Stage(c.OpensAt))
	require.Equal(t, challenge.Open, c.Stage(c.ClosesAt.Add(-time.Millisecond)))
	require.Equal(t, challenge.Closed, c.Stage(c.ClosesAt), "the closing moment is closed")
	require.Equal(t, challenge.Running, held(season(), 1).Stage(c.ClosesAt))
	require.Equal(t, challenge.Running, held(season(), 6).Stage(c.ReleaseAt.Add(-time.Second)))
	require.Equal(t, challenge.Finished, held(season(), 6).Stage(c.ReleaseAt))
}

func TestRoundsOpenInOrderAfterTheClosing(t *testing.T) {
	c := season()
	require.ErrorContains(t, c.MayOpen(c.Rounds[0], start), "when entries have closed")
	require.NoError(t, c.MayOpen(c.Rounds[0], c.ClosesAt))
	require.ErrorContains(t, c.MayOpen(c.Rounds[1], c.ClosesAt), "comes first")
	c.Rounds[0].State = challenge.UnderWay
	require.ErrorContains(t, c.MayOpen(c.Rounds[0], c.ClosesAt), "open already")
	require.ErrorContains(t, c.MayOpen(c.Rounds[1], c.ClosesAt), "“Reading” comes first")
	c = held(season(), 1)
	require.ErrorContains(t, c.MayOpen(c.Rounds[0], c.ClosesAt), "over")
	require.NoError(t, c.MayOpen(c.Rounds[1], c.ClosesAt))
}

func TestVoteWaitsForTheRelease(t *testing.T) {
	c := held(season(), 5)
	require.ErrorContains(t, c.MayOpen(c.Rounds[5], c.ReleaseAt.Add(-time.Second)), "give it away")
	require.NoError(t, c.MayOpen(c.Rounds[5], c.ReleaseAt))
}

func TestPublicSeesNothingBeforeTheRelease(t *testing.T) {
	c := held(season(), 5)
	early := c.Shows(challenge.Public, c.ReleaseAt.Add(-time.Millisecond))
	for _, r := range c.Rounds {
		require.False(t, early.Outcome(r.ID), r.Title)
	}
	require.False(t, early.Drawn)
	require.False(t, early.Credits)
	require.Equal(t, c.ReleaseAt, early.Next)
	for _, role := range []challenge.Role{challenge.Judge, challenge.Reader, challenge.Entrant, challenge.Voter} {
		require.False(t, c.Shows(role, c.ReleaseAt.Add(-time.Millisecond)).Outcome(3), role)
	}
	released := c.Shows(challenge.Public, c.ReleaseAt)
	require.True(t, released.Outcome(3))
	require.True(t, released.Drawn)
	require.False(t, released.Outcome(6), "the vote is not over")
	require.False(t, released.Final)
}

func TestHostSeesAnOutcomeWhenItsRoundIsClosed(t *testing.T) {
	c := held(season(), 2)
	c.Rounds[2].State = challenge.UnderWay
	shows := c.Shows(challenge.Host, c.ClosesAt)
	require.True(t, shows.Outcome(2))
	require.False(t, shows.Outcome(3), "an open round has no outcome for anyone")
}

func TestAnOutcomeWaitsForThoseBeforeIt(t *testing.T) {
	c := held(season(), 4)
	c.Rounds[2].ReleaseAt = start.AddDate(0, 0, 12) // the draw, early
	at := start.AddDate(0, 0, 13)
	require.False(t, c.Shows(challenge.Public, at).Outcome(3), "finalists are still withheld, and the draw would show them")
	c.Rounds[0].ReleaseAt, c.Rounds[1].ReleaseAt = start.AddDate(0, 0, 11), start.AddDate(0, 0, 11)
	require.True(t, c.Shows(challenge.Public, at).Outcome(3))
	require.False(t, c.Shows(challenge.Public, at).Outcome(4))
}

// Property: whatever the states and times, what the public sees only grows
// with time, and never includes a round that is not over.
func TestShowingOnlyGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := season()
		n := rapid.IntRange(0, 6).Draw(t, "held")
		c = held(c, n)
		for i := range c.Rounds {
			if rapid.Bool().Draw(t, "own") {
				c.Rounds[i].ReleaseAt = start.AddDate(0, 0, rapid.IntRange(1, 60).Draw(t, "day"))
			}
		}
		at := start.AddDate(0, 0, rapid.IntRange(0, 70).Draw(t, "at"))
		now, later := c.Shows(challenge.Public, at), c.Shows(challenge.Public, at.AddDate(0, 0, rapid.IntRange(0, 30).Draw(t, "days")))
		for i, r := range c.Rounds {
			if now.Outcome(r.ID) {
				require.True(t, later.Outcome(r.ID))
				require.Less(t, i, n)
				require.False(t, at.Before(c.ReleaseOf(r)))
			}
		}
	})
}

func TestLedgerBodiesObeyTheRelease(t *testing.T) {
	c := held(season(), 5)
	before := c.ReleaseAt.Add(-time.Second)
	for _, kind := range []string{challenge.EventRoundClosed, challenge.EventPickSealed, challenge.EventDraw, challenge.EventRosterFrozen, challenge.EventSheetSealed} {
		for position := 1; position <= 5; position++ {
			require.False(t, c.OpenTo(kind, position, challenge.Public, before), "%s %d", kind, position)
			require.True(t, c.OpenTo(kind, position, challenge.Public, c.ReleaseAt), "%s %d", kind, position)
		}
	}
	require.True(t, c.OpenTo(challenge.EventRoundOpened, 1, challenge.Public, before))
	require.False(t, c.OpenTo(challenge.EventRoundOpened, 3, challenge.Public, before), "what goes into the draw names the finalists")
	require.True(t, c.OpenTo(challenge.EventReceived, 0, challenge.Public, before))
	require.False(t, c.OpenTo(challenge.EventWithdrawn, 0, challenge.Public, before))
}

func TestSettingsChangeNeedsAReasonAndRespectsLocks(t *testing.T) {
	c := season()
	c.SettingsVersion, c.EntriesPerPerson = 4, 1
	c.Criteria = challenge.DefaultCriteria()
	s := c.Settings()
	require.NoError(t, c.MayChange(s, 4, start))
	s.Title = "Stuffed cabbage"
	require.ErrorContains(t, c.MayChange(s, 3, start), "changed elsewhere")
	require.ErrorContains(t, c.MayChange(s, 4, start), "why you change it")
	s.Reason = "A better word."
	require.NoError(t, c.MayChange(s, 4, start))
	require.JSONEq(t, `"Stuffed cabbage"`, string(c.Differences(s)["title"]))
	require.Len(t, c.Differences(s), 1)
	c.CriteriaLocked = true
	s.Criteria = s.Criteria[:1]
	require.ErrorContains(t, c.MayChange(s, 4, start), "locked")
}

func TestSettingsNameEveryFault(t *testing.T) {
	err := challenge.Settings{Zone: "Mars/Olympus"}.Check()
	var fields []string
	for _, r := range err.(challenge.Refusals) {
		fields = append(fields, r.Field)
	}
	require.ElementsMatch(t, []string{"title", "zone", "opens_at", "entries_per_person", "criteria"}, fields)
}

func TestAddressesOfOnePerson(t *testing.T) {
	same := []string{"Ana.Ruiz@Example.org", " ana.ruiz@example.org ", "ana.ruiz+recipes@example.org"}
	for _, a := range same {
		key, err := challenge.AddressKey(a)
		require.NoError(t, err)
		require.Equal(t, "ana.ruiz@example.org", key)
	}
	for _, a := range []string{"", "ana", "ana@", "@example.org", "ana@localhost", "Ana <ana@example.org>", "ana@example.org\r\nBcc: x@example.org", "a@b.c, d@e.f"} {
		_, err := challenge.AddressKey(a)
		require.Error(t, err, "%q", a)
	}
}

func TestSlug(t *testing.T) {
	for title, want := range map[string]string{"Crème brûlée!": "creme-brulee", "  A   B  ": "a-b", "???": "challenge", "日本": "challenge"} {
		require.Equal(t, want, challenge.Slug(title))
	}
}

func TestKeptTextChangesOnlyLineEnds(t *testing.T) {
	require.Equal(t, "a\nb\nc\n d ", challenge.KeptText("a\r\nb\rc\n d "))
	require.Equal(t, "a\uFFFDb", challenge.KeptText("a\xffb"))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.RuneFrom([]rune("ab \n½é"))).Draw(t, "text")
		require.Equal(t, s, challenge.KeptText(s))
	})
}

func TestRoundsCheckTheirParameters(t *testing.T) {
	for _, k := range challenge.Kinds {
		r, err := challenge.NewRound(k)
		require.NoError(t, err)
		require.NoError(t, r.Check(), k)
	}
	_, err := challenge.NewRound("party")
	require.Error(t, err)
	draw, err := challenge.NewRound(challenge.Draw)
	require.NoError(t, err)
	for _, faces := range [][]int{nil, {1}, {-1}, {20, 0}} {
		draw.Params.Faces = faces
		require.Error(t, draw.Check(), faces)
	}
	draw.Params.Method, draw.Params.Parties = "seeds", []string{"host"}
	require.ErrorContains(t, draw.Check(), "at least two parties")
}

func TestNobodyIsNamedWhileAnyoneStillTastesBlind(t *testing.T) {
	c := held(season(), 4)
	for i := range 4 {
		c.Rounds[i].ReleaseAt = start.AddDate(0, 0, 12)
	}
	early := c.Shows(challenge.Public, start.AddDate(0, 0, 13))
	require.True(t, early.Results, "the draw has been released")
	require.False(t, early.Credits, "judges have not tasted yet")
	c = held(c, 5)
	require.False(t, c.Shows(challenge.Public, start.AddDate(0, 0, 13)).Credits)
	require.True(t, c.Shows(challenge.Public, c.ReleaseAt).Credits)
}
