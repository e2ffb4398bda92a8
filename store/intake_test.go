package store

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/intake"
)

// boxOf writes a mailbox with n recipes, a bounce, and a chat.
func boxOf(n int) []byte {
	var b strings.Builder
	mail := func(id, from, extra, body string) {
		fmt.Fprintf(&b, "From x Mon Nov  2 10:00:00 2026\nFrom: %s\nSubject: Parcels\nMessage-ID: <%s@example.org>\n%s\n%s\n\n", from, id, extra, body)
	}
	mail("bounce", "MAILER-DAEMON@example.org", "X-Failed-Recipients: a@example.org\n", "gone")
	dishes := []string{"leek", "plum", "rice", "bean", "beef", "pear", "oat", "fig", "kale", "corn",
		"beet", "chard", "fennel", "lentil", "barley", "turnip", "walnut", "celery", "pumpkin", "cherry"}
	for i := range n {
		d := dishes[i%len(dishes)]
		mail(fmt.Sprint("m", i), fmt.Sprintf("Cook%d Medlar <cook%d@example.org>", i, i), "",
			strings.ReplaceAll(fmt.Sprintf("DISH parcels %d\n\n%d g DISH\n%d eggs\n\nWhisk DISH eggs, beat DISH well, let DISH rest, turn DISH over, cut DISH parcels, bake DISH for %d minutes.\n\nCook%d Medlar",
				i, 100+i*7, 2+i%4, 20+i, i), "DISH", d))
	}
	mail("chat", "Ada <ada@example.org>", "", "When is the closing?")
	return []byte(b.String())
}

func (b *bench) stageBox(c challenge.Challenge, box []byte) int64 {
	id, err := b.BeginImport(b.t.Context(), b.host, c.ID, "all.mbox")
	require.NoError(b.t, err)
	require.NoError(b.t, b.StageImport(b.t.Context(), id, intake.All("all.mbox", box, intake.Options{})))
	require.NoError(b.t, b.ReadyImport(b.t.Context(), b.host, c.ID, id))
	return id
}

func (b *bench) choose(c challenge.Challenge, id int64, verdicts ...intake.Verdict) {
	_, items, err := b.Import(b.t.Context(), b.host, c.ID, id)
	require.NoError(b.t, err)
	var seqs []int
	for _, i := range items {
		for _, v := range verdicts {
			if i.Verdict == v && i.MayBecome() {
				seqs = append(seqs, i.Seq)
			}
		}
	}
	require.NoError(b.t, b.ChooseImport(b.t.Context(), b.host, c.ID, id, seqs))
}

// makeSome makes at most n chosen items and returns how many it did.
func (b *bench) makeSome(n int) (made int) {
	for made < n {
		w, ok, err := b.NextImport(b.t.Context())
		require.NoError(b.t, err)
		if !ok {
			return made
		}
		require.NoError(b.t, b.MakeImported(b.t.Context(), w))
		made++
	}
	return made
}

func TestImportMakesNothingBeforeItIsTold(t *testing.T) {
	b := openBench(t)
	c := b.open()
	id := b.stageBox(c, boxOf(20))
	i, items, err := b.DB.Import(t.Context(), b.host, c.ID, id)
	require.NoError(t, err)
	require.Equal(t, 22, len(items))
	require.Equal(t, []int{20, 0, 2}, []int{i.Entries, i.Doubtful, i.Skipped})
	require.Equal(t, []intake.Reason{intake.Bounce}, items[0].Reasons)
	require.False(t, items[0].MayBecome())
	for _, x := range items {
		require.NotContains(t, x.Text+x.Title+x.Place, "Medlar")
	}
	require.Zero(t, b.reload(c).Entries)
	_, ok, err := b.NextImport(t.Context())
	require.NoError(t, err)
	require.False(t, ok)
}

// Making goes on after a restart, and the same file again makes nothing twice.
func TestImportGoesOnAndMakesNothingTwice(t *testing.T) {
	b := openBench(t)
	c := b.open()
	box := boxOf(20)
	id := b.stageBox(c, box)
	b.choose(c, id, intake.Entry)
	require.Equal(t, 7, b.makeSome(7))
	require.NoError(t, b.Close())
	b.reopen()
	i, _, err := b.DB.Import(t.Context(), b.host, c.ID, id)
	require.NoError(t, err)
	require.Equal(t, []int{13, 7, 0}, []int{i.Chosen, i.Made, i.Failed})
	require.Error(t, b.DiscardImport(t.Context(), b.host, c.ID, id))
	require.Equal(t, 13, b.makeSome(100))
	require.Equal(t, 20, b.reload(c).Entries)
	require.NoError(t, b.DiscardImport(t.Context(), b.host, c.ID, id))

	again := b.stageBox(c, box)
	_, items, err := b.DB.Import(t.Context(), b.host, c.ID, again)
	require.NoError(t, err)
	known := 0
	for _, x := range items {
		if x.Verdict == intake.Skipped && x.Reasons[0] == intake.Known {
			known++
			require.False(t, x.MayBecome())
		}
	}
	require.Equal(t, 20, known)

	// Two previews of one file, both chosen: the second makes nothing.
	other := b.open2(c)
	first, second := b.stageBox(other, box), b.stageBox(other, box)
	b.choose(other, first, intake.Entry)
	b.choose(other, second, intake.Entry)
	require.Equal(t, 40, b.makeSome(100))
	require.Equal(t, 20, b.reload(other).Entries)
	i, _, err = b.DB.Import(t.Context(), b.host, other.ID, second)
	require.NoError(t, err)
	require.Equal(t, 20, i.Failed)
}

// open2 makes a second challenge beside the first.
func (b *bench) open2(challenge.Challenge) challenge.Challenge { return b.open() }

// Who was erased is not brought back, into no challenge, by the same mail or
// by another of the same address.
func TestImportBringsNobodyBackWhoWasErased(t *testing.T) {
	b := openBench(t)
	c := b.open()
	box := boxOf(1)
	b.choose(c, b.stageBox(c, box), intake.Entry)
	require.Equal(t, 1, b.makeSome(9))
	staged := b.stageBox(b.open(), box)
	require.NoError(t, b.Erase(t.Context(), b.host, c.ID, 1))
	var left int
	require.NoError(t, b.reads.QueryRow(`SELECT count(*) FROM import_item WHERE email LIKE 'cook0@%' OR text LIKE '%leek%'`).Scan(&left))
	require.Zero(t, left, "previews of import %d too", staged)
	other := b.open()
	for _, again := range []string{string(box), strings.ReplaceAll(string(box), "<m0@", "<newer@"), strings.ReplaceAll(string(box), "cook0@", "newer@")} {
		_, items, err := b.DB.Import(t.Context(), b.host, other.ID, b.stageBox(other, []byte(again)))
		require.NoError(t, err)
		require.Contains(t, []intake.Reason{intake.Known, intake.Erased}, items[1].Reasons[0])
		require.Empty(t, items[1].Text)
		require.False(t, items[1].MayBecome())
	}
}

func TestImportedEntryWaitsForItsSender(t *testing.T) {
	b := openBench(t)
	c := b.open()
	b.choose(c, b.stageBox(c, boxOf(1)), intake.Entry)
	b.makeSome(1)
	_, _, err := b.Submit(t.Context(), c.ID, "", submission(1), "", nil)
	require.NoError(t, err)
	waiting, err := b.Unanswered(t.Context(), c.ID)
	require.NoError(t, err)
	require.Equal(t, []int{1}, waiting)

	goes := func(k challenge.Kind) int {
		in, err := goesIn(t.Context(), b.reads, b.reload(c), challenge.Round{Kind: k})
		require.NoError(t, err)
		return len(in)
	}
	require.Equal(t, 2, goes(challenge.Reading))
	require.Equal(t, 1, goes(challenge.Draw))

	ms, err := b.Waiting(t.Context(), 10)
	require.NoError(t, err)
	require.Len(t, ms, 1)
	require.Equal(t, "entry-imported", ms[0].Kind)
	require.Equal(t, "cook0@example.org", ms[0].To)
	link, err := b.FollowLink(t.Context(), ForEntrant, ms[0].Token)
	require.NoError(t, err)
	o, err := b.OwnEntry(t.Context(), link.Actor())
	require.NoError(t, err)
	require.False(t, o.Consents.Eligible())
	require.Equal(t, "Cook0 Medlar", o.Name)
	require.NoError(t, b.SetConsents(t.Context(), link.Actor(), map[challenge.ConsentKind]bool{challenge.Considered: true, challenge.OfAge: true}, "", ""))
	require.Equal(t, 2, goes(challenge.Draw))
}

func TestImportMarksCopiesAndTooMany(t *testing.T) {
	b := openBench(t)
	c := b.open()
	one := string(boxOf(1))
	twice := strings.NewReplacer("<m0@", "<other@", "cook0@", "else@", "bounce@", "bounce2@", "chat@", "chat2@").Replace(one)
	third := strings.NewReplacer("<m0@", "<third@", "leek", "beet").Replace(one)
	_, items, err := b.DB.Import(t.Context(), b.host, c.ID, b.stageBox(c, []byte(one+twice+third)))
	require.NoError(t, err)
	require.Equal(t, intake.Entry, items[1].Verdict)
	var copies, over int
	for _, x := range items[2:] {
		for _, why := range x.Reasons {
			switch why {
			case intake.Copy:
				copies++
				require.Equal(t, 2, x.Copies[0].Item)
			case intake.OverLimit:
				over++
			}
		}
	}
	require.Equal(t, []int{1, 1}, []int{copies, over})
}

func TestImportIsForHostsBeforeTheRounds(t *testing.T) {
	b := openBench(t)
	c := b.open()
	for _, r := range challenge.Roles {
		if r != challenge.Host {
			_, err := b.BeginImport(t.Context(), challenge.Actor{Role: r, ID: 1, Challenge: c.ID}, c.ID, "x")
			require.Error(t, err, r)
		}
	}
	b.at = b.at.AddDate(0, 0, 20) // after the closing, before any round
	id := b.stageBox(c, boxOf(2))
	b.choose(c, id, intake.Entry)
	require.Equal(t, 2, b.makeSome(9))
	c = b.reload(c)
	require.NoError(t, b.OpenRound(t.Context(), b.host, c.ID, c.Rounds[0].ID))
	_, err := b.BeginImport(t.Context(), b.host, c.ID, "late")
	require.ErrorContains(t, err, "A round has opened")
	require.NoError(t, b.DropOldImports(t.Context()))
	_, _, err = b.DB.Import(t.Context(), b.host, c.ID, id)
	require.NoError(t, err)
	b.requireNoScan(importSelect+`WHERE import.challenge_id = ? GROUP BY import.id ORDER BY import.id DESC LIMIT 50`, []any{1}, "imports")
	b.requireNoScan(`SELECT id FROM import_item WHERE state = 'chosen' ORDER BY id LIMIT 1`, nil, "next import")
	b.at = b.at.AddDate(0, 0, 40)
	require.NoError(t, b.DropOldImports(t.Context()))
	_, _, err = b.DB.Import(t.Context(), b.host, c.ID, id)
	require.ErrorContains(t, err, "no such import")
}
