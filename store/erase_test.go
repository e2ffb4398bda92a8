package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
	"fairladle/challenge/recipe"
)

// inFiles says whether any byte string stands in the database file or its log.
func (b *bench) inFiles(words ...string) (found []string) {
	for _, suffix := range []string{"", "-wal"} {
		content, err := os.ReadFile(b.file + suffix)
		if os.IsNotExist(err) {
			continue
		}
		require.NoError(b.t, err)
		for _, w := range words {
			if bytes.Contains(content, []byte(w)) {
				found = append(found, w+suffix)
			}
		}
	}
	return found
}

func (b *bench) states(c challenge.Challenge) map[ledger.State]int {
	found, err := b.CheckLedger(b.t.Context(), c.ID)
	require.NoError(b.t, err)
	n := map[ledger.State]int{}
	for _, f := range found {
		n[f.State]++
	}
	return n
}

// An erased entry leaves no byte of its text, its sender or its photo in the
// file, and every proof, record and slip still checks.
func TestEraseLeavesNothingBehindAndEveryProofValid(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	for i := len(c.Rounds); i > 0; i-- {
		if c.Rounds[i-1].Kind != challenge.Draw {
			require.NoError(t, b.RemoveRound(ctx, b.host, c.ID, c.Rounds[i-1].ID))
		}
	}
	for i := range 4 {
		_, _, err := b.Submit(ctx, c.ID, "", submission(i+1), "", nil)
		require.NoError(t, err)
	}
	photo, err := b.AddPhoto(ctx, Photo{Width: 1, Height: 1, MIME: "image/jpeg", Large: []byte("LARGEPICTUREBYTES"), Thumb: []byte("THUMBPICTUREBYTES")})
	require.NoError(t, err)
	text := "Xylobrine parcels\n\n3 quinzewort leaves\n1 cup rice\n\nSimmer for 20 minutes.\n\nZebulon Thrumble"
	s := submission(9)
	s.Name, s.Spoken, s.Credit, s.Email, s.Text = "Zebulon Thrumble", "Zeb of Thrumhall", "Z. Thrumble", "zebulon.thrumble@example.org", text
	cs := []recipe.Correction{{At: recipe.Place{Start: 19, End: 20}, Was: "3", Field: "quantity", Value: "31415926"}}
	number, token, err := b.Submit(ctx, c.ID, "", s, photo, cs)
	require.NoError(t, err)
	require.NoError(t, b.AskLinkAgain(ctx, c.ID, s.Email))
	_, err = b.RunJobs(ctx)
	require.NoError(t, err)
	link, err := b.FollowLink(ctx, ForEntrant, token)
	require.NoError(t, err)
	entrant := link.Actor()
	require.NoError(t, b.ChangeEntry(ctx, entrant, 1, text+"\n\nSprinkle with gorbelseed.", "", nil))
	_, err = b.RunJobs(ctx)
	require.NoError(t, err)
	_, err = b.Sender(ctx, b.host, c.ID, entrant.ID)
	require.NoError(t, err)
	slip, err := b.Slip(ctx, entrant)
	require.NoError(t, err)
	hidden := []string{"Xylobrine", "xylobrine", "quinzewort", "gorbelseed", "Thrumble", "thrumble", "Thrumhall", "zebulon", "31415926", "PICTUREBYTES", slip.Salt.String(), string(slip.Salt[:])}
	require.NotEmpty(t, b.inFiles(hidden[:9]...))

	b.at = b.at.AddDate(0, 0, 15)
	r := b.reload(c).Rounds[0]
	require.NoError(t, b.OpenRound(ctx, b.host, c.ID, r.ID))
	require.NoError(t, b.roll(c, r, 1, 1, 20)) // the fifth of five: the last four faces
	require.NoError(t, b.roll(c, r, 2, 2, 1))
	_, err = b.CloseRound(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	before, err := b.Ledger(ctx, c, challenge.Host)
	require.NoError(t, err)

	require.NoError(t, b.Erase(ctx, b.host, c.ID, number))
	require.Empty(t, b.inFiles(hidden...))
	require.Equal(t, map[ledger.State]int{ledger.Holds: len(before.Leaves) - 1, ledger.Erased: 2}, b.states(c), "two versions erased, one erasure recorded")

	c = b.reload(c)
	require.Equal(t, 4, c.Entries)
	key, err := b.LedgerKey(ctx)
	require.NoError(t, err)
	for _, claim := range slip.Verify(key) {
		require.True(t, claim.Holds, claim.Detail)
	}
	b.at = c.ReleaseAt
	doc, err := b.DrawRecord(ctx, c, c.Rounds[0])
	require.NoError(t, err)
	report := draw.Verify(doc, draw.Options{Key: key})
	require.True(t, report.Holds(), report.First())
	require.True(t, report.Record.Standing(slip).Holds, "the slip still shows that the entry stood in the list")
	require.Equal(t, number, report.Record.Result[0])
	p, err := b.Continuation(ctx, c, int64(len(before.Leaves)), 0)
	require.NoError(t, err)
	old, err := ledger.ParseCheckpoint(before.Checkpoint)
	require.NoError(t, err)
	require.Equal(t, old.Root, p.FromRoot)

	_, err = b.FollowLink(ctx, ForEntrant, token)
	require.Equal(t, challenge.Missing, why(t, err))
	x, err := b.Masked(ctx, entrant.ID)
	require.NoError(t, err)
	require.Equal(t, ErasedTitle, x.Dish.Title)
	require.Empty(t, x.Text)
	require.Equal(t, challenge.Missing, why(t, b.Erase(ctx, b.host, c.ID, number)), "a second time there is nothing left")
	erased, err := b.ErasedBefore(ctx, "Zebulon.Thrumble+x@example.org")
	require.NoError(t, err)
	require.True(t, erased)
	erased, err = b.ErasedBefore(ctx, "cook1@example.org")
	require.NoError(t, err)
	require.False(t, erased)
	var broken int
	require.NoError(t, b.reads.QueryRow(`SELECT count(*) FROM pragma_foreign_key_check`).Scan(&broken))
	require.Zero(t, broken)
}

func TestEraseKeepsThePersonOfAnotherEntry(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	_, err := b.writer.Exec(`UPDATE challenge SET entries_per_person = 2`)
	require.NoError(t, err)
	first, second := submission(1), submission(2)
	second.Email = first.Email
	_, token, err := b.Submit(ctx, c.ID, "", first, "", nil)
	require.NoError(t, err)
	_, other, err := b.Submit(ctx, c.ID, "", second, "", nil)
	require.NoError(t, err)
	link, err := b.FollowLink(ctx, ForEntrant, token)
	require.NoError(t, err)
	require.NoError(t, b.EraseOwn(ctx, link.Actor()))
	require.Empty(t, b.inFiles("Cook1", "Parcels 1"))
	link, err = b.FollowLink(ctx, ForEntrant, other)
	require.NoError(t, err)
	o, err := b.OwnEntry(ctx, link.Actor())
	require.NoError(t, err)
	require.Equal(t, first.Email, o.Email)
	require.Contains(t, o.Recipe.Text, "Parcels 2")
	require.Equal(t, map[ledger.State]int{ledger.Holds: 3, ledger.Erased: 1}, b.states(c))
}

func TestWhoMayErase(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	_, _, err := b.Submit(ctx, c.ID, "", submission(1), "", nil)
	require.NoError(t, err)
	for _, role := range challenge.Roles {
		a := challenge.Actor{Role: role, ID: 1, Challenge: c.ID}
		if role != challenge.Host {
			require.Equal(t, challenge.Barred, why(t, b.Erase(ctx, a, c.ID, 1)), role)
		}
		if role != challenge.Entrant {
			require.Equal(t, challenge.Barred, why(t, b.EraseOwn(ctx, a)), role)
		}
	}
	require.Equal(t, challenge.Missing, why(t, b.EraseOwn(ctx, challenge.Actor{Role: challenge.Entrant, ID: 99, Challenge: c.ID})))
	require.Equal(t, map[ledger.State]int{ledger.Holds: 2}, b.states(c))
}

// A body that is gone without an erasure on record, a changed body, and
// whatever a leaf speaks of, exchanged behind its back: each is found, and at
// its leaf.
func TestLedgerCheckFindsWhatWasExchanged(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c, r := b.drawing(4, nil)
	require.NoError(t, b.roll(c, r, 1, 1, 7))
	require.NoError(t, b.roll(c, r, 2, 2, 18))
	_, err := b.CloseRound(ctx, b.host, c.ID, r.ID)
	require.NoError(t, err)
	kinds, err := b.LeafKinds(ctx, c.ID)
	require.NoError(t, err)
	at := func(kind string) int64 {
		i := slices.Index(kinds, kind)
		require.GreaterOrEqual(t, i, 0, kind)
		return int64(i)
	}
	require.Equal(t, map[ledger.State]int{ledger.Holds: len(kinds)}, b.states(c))
	for name, x := range map[string]struct {
		damage string
		leaf   int64
	}{
		"a body gone":        {`DELETE FROM ledger_body WHERE kind = 'entries-closed'`, at(challenge.EventEntriesClosed)},
		"a body changed":     {`UPDATE ledger_body SET body = CAST(replace(CAST(body AS TEXT), '"version":1', '"version":2') AS BLOB) WHERE kind = 'entry-received'`, at(challenge.EventReceived)},
		"a salt changed":     {`UPDATE ledger_body SET salt = zeroblob(16) WHERE seq = 3`, 3},
		"a text changed":     {`UPDATE dish_version SET text = 'Soup'`, at(challenge.EventReceived)},
		"a list changed":     {`UPDATE draw SET roster = replace(roster, '"number":4', '"number":5')`, at(challenge.EventRosterFrozen)},
		"a plan changed":     {`UPDATE draw SET plan = replace(plan, '"places":2', '"places":1')`, at(challenge.EventRosterFrozen)},
		"a roll changed":     {`UPDATE draw_event SET event = replace(event, '[7]', '[8]') WHERE seq = 1`, at(challenge.EventDraw)},
		"a record changed":   {`UPDATE round SET document = x'7b7d' WHERE state = 'closed'`, at(challenge.EventRoundClosed)},
		"a tree hash":        {`UPDATE ledger_node SET hash = zeroblob(32) WHERE idx = 0`, 0},
		"a commitment":       {`UPDATE ledger_leaf SET content = zeroblob(32) WHERE seq = 1`, 1},
		"a false erasure":    {`DELETE FROM ledger_body WHERE seq = 4`, 4},
		"the newest is gone": {fmt.Sprintf(`DELETE FROM ledger_leaf WHERE seq = %d`, len(kinds)-1), int64(len(kinds) - 2)},
	} {
		tx, err := b.writer.BeginTx(ctx, nil)
		require.NoError(t, err)
		_, err = tx.Exec(`PRAGMA defer_foreign_keys = 1`)
		require.NoError(t, err)
		res, err := tx.Exec(x.damage)
		require.NoError(t, err, name)
		n, err := res.RowsAffected()
		require.NoError(t, err)
		require.NotZero(t, n, name)
		found, err := checkLedger(ctx, tx, c.ID)
		require.NoError(t, err, name)
		require.Equal(t, ledger.Tampered, found[x.leaf].State, name)
		require.NotEmpty(t, found[x.leaf].Detail, name)
		require.NoError(t, tx.Rollback())
	}
	require.Equal(t, map[ledger.State]int{ledger.Holds: len(kinds)}, b.states(c))
}

func TestErasureNamesItsLeaves(t *testing.T) {
	b := openBench(t)
	c := b.open()
	_, _, err := b.Submit(t.Context(), c.ID, "", submission(1), "", nil)
	require.NoError(t, err)
	require.NoError(t, b.Erase(t.Context(), b.host, c.ID, 1))
	l, err := b.Ledger(t.Context(), c, challenge.Public)
	require.NoError(t, err)
	last := l.Leaves[len(l.Leaves)-1]
	var e struct {
		Kind   string
		Entry  int
		Detail erasure
	}
	require.NoError(t, json.Unmarshal(last.Opening.Body, &e))
	require.Equal(t, challenge.EventErased, e.Kind)
	require.Equal(t, []int64{1}, e.Detail.Leaves)
	require.Zero(t, e.Entry)
	require.True(t, l.Leaves[1].Erased)
}
