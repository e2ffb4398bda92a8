package draw

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/ledger"
)

func TestRollsFillOnlyThePlaces(t *testing.T) {
	roster := rosterUpTo(4)
	s, err := Start(dicePlan(2, 6).Freeze(roster, moment(10)), roster)
	require.NoError(t, err)
	require.Equal(t, ForRoll, s.AwaitsAt(moment(20)))
	require.NoError(t, s.Apply(rollEvent(1, 1, 6)), "5 and 6 mean roll again")
	require.Equal(t, 1, s.Place)
	require.True(t, s.Rolls[0].Complete)
	require.NoError(t, s.Apply(rollEvent(2, 1, 3)))
	require.Equal(t, []int{3}, s.Result)
	require.Equal(t, []Row{{1, []int{1}, []int{2}}, {2, []int{3}, []int{4}}, {4, []int{5}, []int{6}}}, s.Table().Rows())
	require.NoError(t, s.Apply(rollEvent(3, 2, 6)))
	require.Equal(t, []int{3, 4}, s.Result)
	require.True(t, s.Done)
	require.Equal(t, ForNothing, s.AwaitsAt(moment(30)))
	require.ErrorIs(t, s.Apply(rollEvent(4, 3, 1)), Refusal{Code: AlreadyDone})
	require.Empty(t, s.Table().Rows())
}

func TestLastEntryNeedsNoRoll(t *testing.T) {
	roster := rosterUpTo(2)
	s, err := Replay(dicePlan(2, 20).Freeze(roster, moment(10)), roster, []Event{rollEvent(1, 1, 20)})
	require.NoError(t, err)
	require.Equal(t, []int{2, 1}, s.Result)
	require.Equal(t, ByRest, s.Steps[1].Way)
}

func TestRefusals(t *testing.T) {
	roster := rosterUpTo(2)
	three := rosterUpTo(3)
	plan := dicePlan(1, 20).Freeze(roster, moment(10))
	alternates := dicePlan(2, 20).Freeze(three, moment(10))
	void := Event{N: 1, Kind: Voided, At: moment(21), By: "host", Reason: "the camera failed"}
	confirm := func(n, roll int, by string) Event {
		return Event{N: n, Kind: Confirmed, At: moment(30), By: by, Roll: roll}
	}
	early := rollEvent(1, 1, 5)
	early.At = moment(9)
	odd := rollEvent(1, 1, 5)
	odd.Reason = "because"
	nameless := rollEvent(1, 1, 5)
	nameless.By = ""
	timeless := rollEvent(1, 1, 5)
	timeless.At = Moment{}
	for name, c := range map[string]struct {
		plan   Plan
		roster Roster
		before []Event
		e      Event
		code   Code
	}{
		"a die that shows 21":          {plan, roster, nil, rollEvent(1, 1, 21), DieFace},
		"a die that shows 0":           {plan, roster, nil, rollEvent(1, 1, 0), DieFace},
		"two dice for one":             {plan, roster, nil, rollEvent(1, 1, 5, 6), RollCount},
		"no die":                       {plan, roster, nil, rollEvent(1, 1), RollCount},
		"before the list is fixed":     {plan, roster, nil, early, TooEarly},
		"two hosts at once":            {plan, roster, []Event{rollEvent(1, 1, 5)}, rollEvent(1, 1, 15), Stale},
		"sent twice":                   {alternates, three, []Event{rollEvent(1, 1, 5)}, rollEvent(1, 1, 5), Stale},
		"a number left out":            {plan, roster, nil, rollEvent(2, 1, 5), Stale},
		"after the result":             {plan, roster, []Event{rollEvent(1, 1, 5)}, rollEvent(2, 1, 15), AlreadyDone},
		"void after the result":        {plan, roster, []Event{rollEvent(1, 1, 5)}, Event{N: 2, Kind: Voided, At: moment(30), By: "host", Reason: "r"}, AlreadyDone},
		"after void":                   {plan, roster, []Event{void}, rollEvent(2, 1, 5), AlreadyVoid},
		"a place filled already":       {alternates, three, []Event{rollEvent(1, 1, 5)}, rollEvent(2, 1, 15), PlaceFilled},
		"a later place":                {alternates, three, nil, rollEvent(1, 2, 15), NotAwaited},
		"confirming one's own roll":    {plan, roster, []Event{rollEvent(1, 1, 5)}, confirm(2, 1, "host"), SamePerson},
		"confirming twice":             {plan, roster, []Event{rollEvent(1, 1, 5), confirm(2, 1, "co-host")}, confirm(3, 1, "co-host"), Repeated},
		"confirming nothing":           {plan, roster, []Event{rollEvent(1, 1, 5)}, confirm(2, 7, "co-host"), NoSuchRoll},
		"a field of another kind":      {plan, roster, nil, odd, BadEvent},
		"nobody typed it":              {plan, roster, nil, nameless, BadEvent},
		"no time":                      {plan, roster, nil, timeless, BadEvent},
		"an unknown kind":              {plan, roster, nil, Event{N: 1, Kind: "cheat", At: moment(30), By: "host"}, BadEvent},
		"void without a reason":        {plan, roster, nil, Event{N: 1, Kind: Voided, At: moment(30), By: "host"}, BadEvent},
		"a secret":                     {plan, roster, nil, commitEvent(plan, 1, "host", "a"), NotAwaited},
		"a public value":               {plan, roster, nil, sourceEvent(1, 1, "5"), NotAwaited},
		"a public value, out of range": {plan, roster, nil, sourceEvent(1, 9, "5"), NotAwaited},
	} {
		s, err := Replay(c.plan, c.roster, c.before)
		require.NoError(t, err, name)
		before := look(t, s)
		err = s.Apply(c.e)
		require.ErrorIs(t, err, Refusal{Code: c.code}, name)
		require.NotEmpty(t, err.Error())
		require.Equal(t, before, look(t, s), name)
	}
}

func TestPublicRefusals(t *testing.T) {
	roster := rosterUpTo(5)
	p := publicPlan(1, rfc3797Sources()...).Freeze(roster, moment(10))
	s, err := Start(p, roster)
	require.NoError(t, err)
	require.Equal(t, ForSources, s.AwaitsAt(moment(20)))
	early := sourceEvent(1, 1, "9319")
	early.At = moment(79)
	require.ErrorIs(t, s.Apply(early), Refusal{Code: TooEarly})
	require.ErrorIs(t, s.Apply(sourceEvent(1, 4, "9319")), Refusal{Code: NotAwaited})
	require.ErrorIs(t, s.Apply(sourceEvent(1, 1, "x")), Refusal{Code: BadNumber})
	require.NoError(t, s.Apply(sourceEvent(1, 1, "9319")))
	require.ErrorIs(t, s.Apply(sourceEvent(2, 1, "9319")), Refusal{Code: Repeated})
	require.False(t, s.Done)
}

func TestReplayNamesTheEvent(t *testing.T) {
	roster := rosterUpTo(2)
	_, err := Replay(dicePlan(1, 20).Freeze(roster, moment(10)), roster, []Event{rollEvent(1, 1, 5), rollEvent(2, 1, 5)})
	named, ok := errors.AsType[EventError](err)
	require.True(t, ok)
	require.Equal(t, 2, named.N)
	require.ErrorIs(t, err, Refusal{Code: AlreadyDone})
}

func TestPlansRefused(t *testing.T) {
	roster := rosterUpTo(5)
	for name, p := range map[string]Plan{
		"no name":                 func() Plan { p := dicePlan(1, 20); p.Draw = ""; return p }(),
		"two lines":               func() Plan { p := dicePlan(1, 20); p.Challenge = "a\nb"; return p }(),
		"not announced":           func() Plan { p := dicePlan(1, 20); p.AnnouncedAt = Moment{}; return p }(),
		"frozen before announced": dicePlan(1, 20).Freeze(roster, moment(-1)),
		"no place":                dicePlan(0, 20),
		"too many places":         dicePlan(6, 20).Freeze(roster, moment(10)),
		"late announcement": func() Plan {
			p := dicePlan(1, 20).Freeze(roster, moment(10))
			p.Announcements = []Announcement{{moment(11), "too late"}}
			return p
		}(),
		"no method":         {Draw: "d", Challenge: "c", Places: 1, AnnouncedAt: moment(0)},
		"unknown method":    {Draw: "d", Challenge: "c", Places: 1, AnnouncedAt: moment(0), Method: "coin"},
		"two methods":       func() Plan { p := seedsPlan(1, "a", "b"); p.Dice = &Dice{Faces: []int{6}}; return p }(),
		"one party":         seedsPlan(1, "a"),
		"party twice":       seedsPlan(1, "a", "a"),
		"no way out":        func() Plan { p := seedsPlan(1, "a", "b"); p.Fallback = nil; return p }(),
		"two ways out":      func() Plan { p := seedsPlan(1, "a", "b"); s := rfc3797Sources()[0]; p.Seeds.Later = &s; return p }(),
		"bad fallback":      func() Plan { p := seedsPlan(1, "a", "b"); p.Fallback.Faces = nil; return p }(),
		"reveal first":      func() Plan { p := seedsPlan(1, "a", "b"); p.Seeds.RevealBy = moment(1); return p }(),
		"frozen too late":   seedsPlan(1, "a", "b").Freeze(roster, moment(60)),
		"value too early":   laterPlan(moment(60)),
		"source in past":    publicPlan(1, Lottery("l", moment(5), "h", 6, 1, 49)).Freeze(roster, moment(10)),
		"kept from public":  func() Plan { p := publicPlan(1, rfc3797Sources()...); p.ReleaseAt = moment(81); return p }(),
		"too little chance": publicPlan(3, Source{Name: "digit", At: moment(80), How: "h", Form: Whole, Count: 1, High: 9, Bits: 3}).Freeze(roster, moment(10)),
		"too much for MD5":  publicPlan(100, rfc3797Sources()...).Freeze(rosterUpTo(100), moment(10)),
		"boasting source":   publicPlan(1, Source{Name: "digit", At: moment(80), How: "h", Form: Whole, Count: 1, High: 9, Bits: 4}),
		"nameless source":   publicPlan(1, Source{At: moment(80), How: "h", Form: Whole, Count: 1, Bits: 4}),
		"timeless source":   publicPlan(1, Source{Name: "s", How: "h", Form: Whole, Count: 1, Bits: 4}),
		"formless source":   publicPlan(1, Source{Name: "s", At: moment(80), How: "h", Count: 1, Bits: 4}),
		"two texts":         publicPlan(1, Source{Name: "s", At: moment(80), How: "h", Form: Text, Count: 2, Bits: 4}),
		"upside down":       publicPlan(1, Source{Name: "s", At: moment(80), How: "h", Form: Whole, Count: 1, Low: 9, High: 1, Bits: 1}),
		"too few balls":     publicPlan(1, Source{Name: "s", At: moment(80), How: "h", Form: Whole, Count: 3, Low: 1, High: 2, Distinct: true, Bits: 1}),
	} {
		require.ErrorIs(t, p.Check(), Refusal{Code: BadPlan}, name)
	}
	big := rosterUpTo(MaxPool + 1)
	require.ErrorIs(t, publicPlan(1, rfc3797Sources()...).Freeze(big, moment(10)).Check(), Refusal{Code: BadPlan})
	weighted := rosterUpTo(5)
	weighted[0].Weight = 2
	require.ErrorIs(t, publicPlan(1, rfc3797Sources()...).Freeze(weighted, moment(10)).Check(), Refusal{Code: BadPlan})
}

func laterPlan(at Moment) Plan {
	p := seedsPlan(1, "a", "b")
	later := Lottery("l", at, "h", 6, 1, 49)
	p.Fallback, p.Seeds.Later = nil, &later
	return p
}

func TestRostersRefused(t *testing.T) {
	good := rosterUpTo(3)
	plan := dicePlan(1, 20).Freeze(good, moment(10))
	change := func(f func(Roster)) Roster { r := rosterUpTo(3); f(r); return r }
	for name, r := range map[string]Roster{
		"none":          nil,
		"one":           good[:1],
		"one short":     good[:2],
		"out of order":  change(func(r Roster) { r[0], r[1] = r[1], r[0] }),
		"twice":         change(func(r Roster) { r[1] = r[0] }),
		"no ticket":     change(func(r Roster) { r[1].Weight = 0 }),
		"too many":      change(func(r Roster) { r[1].Weight = MaxTickets }),
		"other content": change(func(r Roster) { r[1].Commitment[0]++ }),
		"other weight":  change(func(r Roster) { r[1].Weight++ }),
		"other number":  change(func(r Roster) { r[2].Number++ }),
		"made up":       RehearsalRoster(3),
	} {
		_, err := Start(plan, r)
		require.ErrorIs(t, err, Refusal{Code: BadRoster}, name)
	}
	_, err := Start(dicePlan(1, 20), good)
	require.ErrorIs(t, err, Refusal{Code: BadRoster}, "not frozen yet")
	rehearsal := plan
	rehearsal.Rehearsal = true
	_, err = Start(rehearsal, good)
	require.ErrorIs(t, err, Refusal{Code: BadRoster}, "a rehearsal never runs on the real list")
	_, err = Start(dicePlan(1, 20).Freeze(RehearsalRoster(3), moment(10)), RehearsalRoster(3))
	require.ErrorIs(t, err, Refusal{Code: BadRoster}, "a made-up list never decides")
}

// Whatever is thrown at a draw, a refused event leaves no trace, an accepted
// one counts once, and replaying the accepted ones gives the same draw: so a
// crash between any two events loses nothing and repeats nothing.
func TestApplyIsAllOrNothing(t *testing.T) {
	all := samples()
	rapid.Check(t, func(rt *rapid.T) {
		c := all[rapid.IntRange(0, len(all)-1).Draw(rt, "sample")]
		s, err := Start(c.plan, c.roster)
		require.NoError(rt, err)
		var accepted []Event
		for range rapid.IntRange(1, 25).Draw(rt, "events") {
			e := anyEvent(rt, c, s.Next)
			before, next := look(rt, s), s.Next
			if s.Apply(e) != nil {
				require.Equal(rt, before, look(rt, s))
				continue
			}
			require.Equal(rt, next+1, s.Next)
			accepted = append(accepted, e)
			again, err := Replay(c.plan, c.roster, accepted)
			require.NoError(rt, err)
			require.Equal(rt, look(rt, s), look(rt, again))
		}
	})
}

// anyEvent draws the event that fits next, or one of another draw or time.
func anyEvent(rt *rapid.T, c sample, next int) Event {
	if next <= len(c.events) && rapid.IntRange(0, 2).Draw(rt, "fitting") > 0 {
		return c.events[next-1]
	}
	if rapid.Bool().Draw(rt, "a roll") {
		return rollEvent(next, rapid.IntRange(0, 3).Draw(rt, "place"), rapid.SliceOfN(rapid.IntRange(0, 21), 0, 3).Draw(rt, "dice")...)
	}
	e := c.events[rapid.IntRange(0, len(c.events)-1).Draw(rt, "other")]
	e.N = next + rapid.IntRange(-1, 1).Draw(rt, "shift")
	e.At = moment(rapid.IntRange(0, 100).Draw(rt, "minute"))
	return e
}

// look returns everything a state shows.
func look(t require.TestingT, s *State) string {
	shown := *s
	shown.pool = nil
	out, err := ledger.Canonical(struct {
		Shown   State
		Left    Roster
		Group   []int
		Value   int64
		Awaited Awaits
	}{shown, s.Left(), s.group, s.value, s.AwaitsAt(moment(50))})
	require.NoError(t, err)
	return string(out)
}

func TestEventBodiesRoundTrip(t *testing.T) {
	for _, c := range samples() {
		for _, e := range c.events {
			body, err := EventBody(c.plan.Draw, e)
			require.NoError(t, err)
			name, got, err := ParseEventBody(body)
			require.NoError(t, err)
			require.Equal(t, c.plan.Draw, name)
			require.Equal(t, e, got)
		}
	}
	for _, bad := range []string{"", "[]", `{"draw":"d","event":{"n":1}}{}`, `{"draw":"d","event":{"more":1}}`} {
		_, _, err := ParseEventBody([]byte(bad))
		require.Error(t, err, bad)
	}
}

func TestWaitsForTheList(t *testing.T) {
	for _, p := range []Plan{dicePlan(1, 20), publicPlan(1, rfc3797Sources()...)} {
		s, err := Start(p, nil)
		require.NoError(t, err)
		require.Equal(t, ForRoster, s.AwaitsAt(moment(20)))
		require.Empty(t, s.Left())
		require.Empty(t, s.Table().Rows())
		e := rollEvent(1, 1, 5)
		if p.Method == ByPublics {
			e = sourceEvent(1, 1, "9319")
		}
		require.ErrorIs(t, s.Apply(e), Refusal{Code: TooEarly})
	}
	s, err := Start(seedsPlan(1, "host", "judge"), nil)
	require.NoError(t, err)
	require.Equal(t, ForCommitments, s.AwaitsAt(moment(20)))
}
