package store

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// planned is a challenge whose only round is a draw that has not begun; n
// entries have come and entries are closed.
func (b *bench) planned(n int, plan func(*challenge.Round)) (challenge.Challenge, challenge.Round) {
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
	c = b.reload(c)
	return c, c.Rounds[0]
}

func TestTicketsWeighTheDraw(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.planned(3, nil)
	set := func(number, tickets int, reason string) error {
		return b.SetTickets(ctx, b.host, c.ID, r.ID, number, tickets, reason)
	}
	require.Equal(t, challenge.Invalid, why(t, set(9, 2, "helped")))
	for _, bad := range []error{set(1, 0, "helped"), set(1, 101, "helped"), set(1, 2, "")} {
		_, ok := bad.(challenge.Refusals)
		require.True(t, ok, "%v", bad)
	}
	require.NoError(t, set(2, 5, "a typing error"))
	require.NoError(t, set(2, 2, "brought two friends along"))
	for _, role := range challenge.Roles {
		if role != challenge.Host {
			require.Equal(t, challenge.Barred, why(t, b.SetTickets(ctx, challenge.Actor{Role: role, ID: 1, Challenge: c.ID}, c.ID, r.ID, 1, 2, "x")), role)
		}
	}
	given, err := b.Tickets(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.Equal(t, []Tickets{{2, "Parcels 2", 2, "brought two friends along"}}, given)

	require.NoError(t, b.OpenRound(ctx, b.host, c.ID, r.ID))
	require.Equal(t, challenge.Shut, why(t, set(3, 2, "too late")))
	d, err := b.DrawState(ctx, r.ID)
	require.NoError(t, err)
	require.Equal(t, []int64{1, 2, 1}, []int64{d.Roster[0].Weight, d.Roster[1].Weight, d.Roster[2].Weight})
	// Twenty faces, four tickets: 1 to 5, 6 to 15, 16 to 20 (common practice).
	table := d.State.Table()
	require.Equal(t, []int{6}, table.Rows()[1].From)
	require.Equal(t, []int{15}, table.Rows()[1].To)
	public, err := b.Ledger(ctx, b.reload(c), challenge.Public)
	require.NoError(t, err)
	for _, l := range public.Leaves {
		require.False(t, l.Opening != nil && strings.Contains(string(l.Opening.Body), "friends"), "a reason opens with the outcome")
	}
	require.NoError(t, b.roll(c, r, 1, 1, 15))
	require.NoError(t, b.roll(c, r, 2, 2, 20))
	_, err = b.CloseRound(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	b.at = c.ReleaseAt
	c = b.reload(c)
	doc, err := b.DrawRecord(ctx, c, c.Rounds[0])
	require.NoError(t, err)
	report := draw.Verify(doc, draw.Options{})
	require.True(t, report.Holds(), report.First())
	require.Equal(t, []int{2, 3}, report.Record.Result)
	require.Equal(t, int64(4), report.Record.Plan.Roster.Tickets)
	require.Zero(t, b.states(c)[ledger.Tampered])
}

func TestPublicSourcesHaveNoTickets(t *testing.T) {
	b := openBench(t)
	source := draw.Lottery("Lottery", draw.At(b.at.AddDate(0, 0, 40)), "Its page", 6, 1, 49)
	c, r := b.planned(3, func(r *challenge.Round) { r.Params.Method, r.Params.Sources = "public", []draw.Source{source} })
	require.ErrorContains(t, b.SetTickets(t.Context(), b.host, c.ID, r.ID, 1, 2, "x"), "exactly one ticket")
	// Given while another way was planned, they are refused at the opening.
	r.Params.Method, r.Params.Sources = "dice", nil
	require.NoError(t, b.EditRound(t.Context(), b.host, c.ID, r))
	require.NoError(t, b.SetTickets(t.Context(), b.host, c.ID, r.ID, 1, 2, "x"))
	r.Params.Method, r.Params.Sources = "public", []draw.Source{source}
	require.NoError(t, b.EditRound(t.Context(), b.host, c.ID, r))
	require.ErrorContains(t, b.OpenRound(t.Context(), b.host, c.ID, r.ID), "exactly one ticket")
}

// One entry of each person stands on the list, drawn and recorded before it
// was fixed; nothing public tells which numbers belong together.
func TestOneChancePerPerson(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.planned(0, func(r *challenge.Round) { r.Params.OneEach = true })
	b.at = testStart
	_, err := b.writer.Exec(`UPDATE challenge SET entries_per_person = 3`)
	require.NoError(t, err)
	for i, from := range []int{1, 2, 1, 3, 1, 3} {
		s := submission(i + 1)
		s.Email = submission(from).Email
		_, _, err := b.Submit(ctx, c.ID, "", s, "", nil)
		require.NoError(t, err)
	}
	b.at = b.at.AddDate(0, 0, 15)
	require.NoError(t, b.OpenRound(ctx, b.host, c.ID, r.ID))
	d, err := b.DrawState(ctx, r.ID)
	require.NoError(t, err)
	require.Len(t, d.Roster, 3)
	persons := map[int]int{1: 1, 2: 2, 3: 1, 4: 3, 5: 1, 6: 3}
	seen, listed := map[int]bool{}, []int{}
	for _, ticket := range d.Roster {
		require.False(t, seen[persons[ticket.Number]], "one entry of each person")
		seen[persons[ticket.Number]], listed = true, append(listed, ticket.Number)
	}
	require.Len(t, d.State.Plan.Announcements, 1)
	require.Contains(t, d.State.Plan.Announcements[0].What, "one entry of each person was drawn")

	host, err := b.Ledger(ctx, c, challenge.Host)
	require.NoError(t, err)
	i := slices.IndexFunc(host.Leaves, func(l Leaf) bool { return l.Kind == challenge.EventOneEach })
	require.GreaterOrEqual(t, i, 0)
	frozen := slices.IndexFunc(host.Leaves, func(l Leaf) bool { return l.Kind == challenge.EventRosterFrozen })
	require.True(t, frozen < 0 || i < frozen, "before the list was fixed")
	require.Equal(t, challenge.OneEachSaid(int64(i)), d.State.Plan.Announcements[0].What)
	var e struct{ Detail oneEach }
	require.NoError(t, json.Unmarshal(host.Leaves[i].Opening.Body, &e))
	require.Equal(t, [][]int{{1, 3, 5}, {2}, {4, 6}}, e.Detail.Groups)
	require.True(t, e.Detail.holds())
	require.ElementsMatch(t, listed, e.Detail.Chosen)
	require.Zero(t, b.states(c)[ledger.Tampered])

	for _, at := range []time.Time{b.at, c.ReleaseAt.AddDate(1, 0, 0)} {
		b.at = at
		for _, role := range []challenge.Role{challenge.Public, challenge.Entrant, challenge.Judge, challenge.Cohost} {
			l, err := b.Ledger(ctx, b.reload(c), role)
			require.NoError(t, err)
			require.Nil(t, l.Leaves[i].Opening, role)
		}
	}
	for number := range persons {
		dish, err := b.EntryByNumber(ctx, c.ID, number)
		require.NoError(t, err)
		all, err := b.Standings(ctx, challenge.Actor{Role: challenge.Entrant, ID: dish, Challenge: c.ID})
		require.NoError(t, err)
		last := all[len(all)-1]
		require.Equal(t, slices.Contains(listed, number), last.In)
		if !last.In {
			require.Equal(t, OutStoodBack, last.Out)
		}
	}
	e.Detail.Chosen[0] = 99
	require.False(t, e.Detail.holds())
}

// Rehearsals by every method: made-up lists, other seeds, counted in the
// public ledger from the first moment, with records that say what they are.
func TestRehearsals(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	source := draw.Lottery("Lottery", draw.At(b.at.AddDate(0, 0, 40)), "Its page", 6, 1, 49)
	decimal := draw.Source{Name: "Index", At: source.At, How: "Its figure", Form: draw.Decimal, Count: 1, Bits: 4}
	for _, method := range []string{"dice", "seeds", "public"} {
		c, r := b.planned(4, func(r *challenge.Round) {
			r.Params.Method, r.Params.Places = method, 2
			switch method {
			case "seeds":
				r.Params.Parties, r.Params.Minutes, r.Params.Later = []string{"host", "co-host", "server"}, 30, &source
			case "public":
				r.Params.Sources = []draw.Source{source, decimal}
			}
		})
		for n := 1; n <= 2; n++ {
			number, err := b.Rehearse(ctx, b.host, c.ID, r.ID)
			require.NoError(t, err)
			require.Equal(t, n, number)
			b.rehearseOn(c, r, n)
		}
		x, err := b.Rehearsal(ctx, c.ID, 2)
		require.NoError(t, err)
		require.True(t, x.State.Done)
		report := draw.Verify(x.Record, draw.Options{})
		require.True(t, report.Holds(), report.First())
		require.True(t, report.Record.Plan.Rehearsal)
		require.Equal(t, draw.RehearsalRoster(4), report.Record.Roster, "a list of the same size")
		require.Contains(t, report.Record.Plan.Draw, ", rehearsal 2")
		if method == "seeds" {
			first, err := b.Rehearsal(ctx, c.ID, 1)
			require.NoError(t, err)
			require.NotEqual(t, first.State.Shares[0].Secret, x.State.Shares[0].Secret)
		}
		l, err := b.Ledger(ctx, c, challenge.Public)
		require.NoError(t, err)
		begun := 0
		for _, leaf := range l.Leaves {
			var body struct{ Frozen draw.Plan }
			if leaf.Kind == challenge.EventRehearsal && json.Unmarshal(leaf.Opening.Body, &body) == nil && body.Frozen.Rehearsal {
				begun++
			}
		}
		require.Equal(t, 2, begun, "counted in public")

		require.NoError(t, b.OpenRound(ctx, b.host, c.ID, r.ID))
		d, err := b.DrawState(ctx, r.ID)
		require.NoError(t, err)
		require.Empty(t, d.State.Result, "the real draw knows nothing of it")
		c = b.reload(c)
		p, err := b.PublicDraw(ctx, c, c.Rounds[0])
		require.NoError(t, err)
		require.Len(t, p.Rehearsals, 2)
		require.Zero(t, b.states(c)[ledger.Tampered])
		b.at = testStart
	}
}

func (b *bench) rehearseOn(c challenge.Challenge, r challenge.Round, number int) {
	ctx := b.t.Context()
	b.at = b.at.Add(3 * time.Second)
	x, err := b.Rehearsal(ctx, c.ID, number)
	require.NoError(b.t, err)
	switch x.Awaits {
	case draw.ForRoll:
		e := draw.Event{N: 1, Place: 1, Dice: []int{21}}
		require.ErrorContains(b.t, b.RehearseRoll(ctx, b.host, c.ID, r.ID, number, e), "cannot show 21")
		e.Dice = []int{4}
		require.NoError(b.t, b.RehearseRoll(ctx, b.host, c.ID, r.ID, number, e))
		require.NoError(b.t, b.RehearseRoll(ctx, b.host, c.ID, r.ID, number, e), "sent twice it is one roll")
		require.NoError(b.t, b.RehearseRoll(ctx, b.host, c.ID, r.ID, number, draw.Event{N: 2, Place: 2, Dice: []int{1}}))
	case draw.ForSources:
		b.at = b.at.Add(-time.Second * 3)
		require.ErrorContains(b.t, b.RehearseValues(ctx, b.host, c.ID, r.ID, number), "in a moment")
		b.at = b.at.Add(time.Second * 3)
		require.NoError(b.t, b.RehearseValues(ctx, b.host, c.ID, r.ID, number))
		require.NoError(b.t, b.RehearseValues(ctx, b.host, c.ID, r.ID, number))
	}
}

func TestWhoMayRehearse(t *testing.T) {
	b := openBench(t)
	c, r := b.planned(1, nil)
	_, err := b.Rehearse(t.Context(), challenge.Actor{Role: challenge.Cohost, ID: 1, Challenge: c.ID}, c.ID, r.ID)
	require.Equal(t, challenge.Barred, why(t, err))
	_, err = b.Rehearse(t.Context(), b.host, c.ID, r.ID)
	require.ErrorContains(t, err, "at least two entries")
	_, err = b.Rehearsal(t.Context(), c.ID, 1)
	require.Equal(t, challenge.Missing, why(t, err))
}

// Rehearsals stay counted whatever becomes of the round: it may be moved or
// left out of the plan, and its lines of the ledger keep to it.
func TestRehearsalsOutliveTheirRound(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.planned(4, nil)
	require.NoError(t, b.AddRound(ctx, b.host, c.ID, challenge.Draw))
	second := b.reload(c).Rounds[1]
	for range 2 {
		_, err := b.Rehearse(ctx, b.host, c.ID, r.ID)
		require.NoError(t, err)
	}
	require.NoError(t, b.SetTickets(ctx, b.host, c.ID, second.ID, 1, 3, "won the last one"))
	require.Equal(t, map[int]int{1: 2, 2: 1}, b.leavesOf(c))

	require.NoError(t, b.MoveRound(ctx, b.host, c.ID, second.ID))
	require.Equal(t, map[int]int{1: 1, 2: 2}, b.leavesOf(c), "the leaves went with their rounds")
	number, err := b.Rehearse(ctx, b.host, c.ID, second.ID)
	require.NoError(t, err)
	require.Equal(t, 3, number, "numbers run through the challenge, so that no two rehearsals share a name")
	require.NoError(t, b.RemoveRound(ctx, b.host, c.ID, second.ID))
	require.Equal(t, map[int]int{0: 2, 1: 2}, b.leavesOf(c))
	held, err := b.Rehearsals(ctx, r.ID)
	require.NoError(t, err)
	require.Len(t, held, 2)
	removed, err := b.RehearsalsOfRemoved(ctx, c.ID)
	require.NoError(t, err)
	require.Len(t, removed, 1)
	require.Equal(t, 3, removed[0].Number)
	x, err := b.Rehearsal(ctx, c.ID, 3)
	require.NoError(t, err)
	require.True(t, x.State.Plan.Rehearsal)
	number, err = b.Rehearse(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	require.Equal(t, 4, number)
	require.Zero(t, b.states(c)[ledger.Tampered])
}

// leavesOf counts the leaves of rehearsals and tickets by the round they stand
// under now.
func (b *bench) leavesOf(c challenge.Challenge) map[int]int {
	rs, err := b.reads.Query(`SELECT round, count(*) FROM ledger_body WHERE challenge_id = ? AND kind IN (?, ?) GROUP BY round`,
		c.ID, challenge.EventRehearsal, challenge.EventTickets)
	require.NoError(b.t, err)
	defer rs.Close()
	n := map[int]int{}
	for rs.Next() {
		var round, leaves int
		require.NoError(b.t, rs.Scan(&round, &leaves))
		n[round] = leaves
	}
	require.NoError(b.t, rs.Err())
	return n
}

// Whatever is changed in what is kept of a rehearsal, the check of the ledger
// names its leaf.
func TestChangedRehearsalIsFound(t *testing.T) {
	for _, change := range []string{
		`UPDATE rehearsal SET plan = replace(plan, '"places":2', '"places":1')`,
		`UPDATE rehearsal_event SET event = replace(event, '[4]', '[5]')`,
		`UPDATE rehearsal SET record = CAST(replace(CAST(record AS TEXT), '[4]', '[5]') AS BLOB)`,
		`UPDATE rehearsal SET record = x'7b7d'`,
	} {
		b := openBench(t)
		c, r := b.planned(4, func(r *challenge.Round) { r.Params.Places = 2 })
		_, err := b.Rehearse(t.Context(), b.host, c.ID, r.ID)
		require.NoError(t, err)
		b.rehearseOn(c, r, 1)
		require.Zero(t, b.states(c)[ledger.Tampered])
		res, err := b.writer.Exec(change)
		require.NoError(t, err)
		n, err := res.RowsAffected()
		require.NoError(t, err)
		require.NotZero(t, n)
		require.Equal(t, 1, b.states(c)[ledger.Tampered], change)
	}
}
