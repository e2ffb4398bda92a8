package store

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/ledger"
)

// A challenge whose time is over keeps no byte of who sent what, except the
// recipe that is public as agreed, under the agreed credit.
func TestRetentionErasesWhenTheTimeIsOver(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	for i := len(c.Rounds); i > 0; i-- {
		require.NoError(t, b.RemoveRound(ctx, b.host, c.ID, c.Rounds[i-1].ID))
	}
	const most = 30
	for i := range most {
		s := submission(i + 1)
		s.Name, s.Email, s.Credit = fmt.Sprintf("Zebulon%d", i+1), fmt.Sprintf("zeb%d@thrumble.example", i+1), fmt.Sprintf("Creditline%d", i+1)
		s.OriginNote, s.Spoken = "notewort", "spokenwort"
		s.Consents[challenge.Published], s.Consents[challenge.Credited] = true, i == 0
		_, _, err := b.Submit(ctx, c.ID, "", s, "", nil)
		require.NoError(t, err)
	}
	_, err := b.Invite(ctx, b.host, c.ID, challenge.Judge, "Ravi", "ravi@judgewort.example")
	require.NoError(t, err)
	for number := 1; number <= 2; number++ { // two were cooked; the second does not want to be named
		dish, err := b.EntryByNumber(ctx, c.ID, number)
		require.NoError(t, err)
		_, err = b.writer.Exec(`INSERT INTO plate (challenge_id, dish_id, version, cook, created_at) VALUES (?, ?, 1, 'host', 0)`, c.ID, dish)
		require.NoError(t, err)
	}
	require.Equal(t, challenge.Invalid, why(t, b.SetRetention(ctx, b.host, c.ID, 3)))
	require.NoError(t, b.SetRetention(ctx, b.host, c.ID, 90))
	r, err := b.Retention(ctx, b.host, c.ID)
	require.NoError(t, err)
	require.Equal(t, Retention{Days: 90, On: c.ReleaseAt.AddDate(0, 0, 90), Whole: most - 2, Public: 2, Helpers: 1}, r)

	b.at = c.ReleaseAt.AddDate(0, 0, 89)
	n, err := b.Forget(ctx)
	require.NoError(t, err)
	require.Zero(t, n, "a day too early")
	require.NotEmpty(t, b.inFiles("Zebulon9", "thrumble"))
	b.at = c.ReleaseAt.AddDate(0, 0, 90)
	for _, want := range []int{forgetAtOnce, most - forgetAtOnce, 0} {
		n, err = b.Forget(ctx)
		require.NoError(t, err)
		require.Equal(t, want, n)
	}
	require.Empty(t, b.inFiles("Zebulon", "thrumble", "notewort", "spokenwort", "judgewort", "Creditline2", "Parcels 9"))
	require.NotEmpty(t, b.inFiles("Creditline1", "Parcels 1", "Parcels 2"))
	r, err = b.Retention(ctx, b.host, c.ID)
	require.NoError(t, err)
	require.Equal(t, Retention{Days: 90, On: r.On, Forgotten: b.at}, r)
	require.Equal(t, challenge.Shut, why(t, b.SetRetention(ctx, b.host, c.ID, 30)))
	require.Zero(t, b.states(c)[ledger.Tampered])
	erased, err := b.ErasedBefore(ctx, "zeb9@thrumble.example")
	require.NoError(t, err)
	require.False(t, erased, "who sent a recipe this year may send one by mail next year")
	var broken int
	require.NoError(t, b.reads.QueryRow(`SELECT count(*) FROM pragma_foreign_key_check`).Scan(&broken))
	require.Zero(t, broken)
}

func TestRetentionWaitsForAnOpenRound(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	_, _, err := b.Submit(ctx, c.ID, "", submission(1), "", nil)
	require.NoError(t, err)
	require.NoError(t, b.SetRetention(ctx, b.host, c.ID, 7))
	_, err = b.writer.Exec(`UPDATE round SET state = 'open' WHERE id = ?`, c.Rounds[0].ID)
	require.NoError(t, err)
	b.at = c.ReleaseAt.AddDate(1, 0, 0)
	n, err := b.Forget(ctx)
	require.NoError(t, err)
	require.Zero(t, n)
	_, err = b.writer.Exec(`UPDATE round SET state = 'closed' WHERE id = ?`, c.Rounds[0].ID)
	require.NoError(t, err)
	n, err = b.Forget(ctx)
	require.NoError(t, err)
	require.Equal(t, 1, n)
}

// What a person takes away holds all that was sent, and nothing of others.
func TestPersonDataIsWhole(t *testing.T) {
	b := openBench(t)
	ctx := t.Context()
	c := b.open()
	s := submission(1)
	s.Spoken, s.Credit, s.OriginNote = "Cook One", "C. M.", "from my aunt"
	photo, err := b.AddPhoto(ctx, Photo{Width: 1, Height: 1, MIME: "image/jpeg", Large: []byte("LARGE"), Thumb: []byte("T")})
	require.NoError(t, err)
	_, token, err := b.Submit(ctx, c.ID, "", s, photo, nil)
	require.NoError(t, err)
	_, _, err = b.Submit(ctx, c.ID, "", submission(2), "", nil)
	require.NoError(t, err)
	link, err := b.FollowLink(ctx, ForEntrant, token)
	require.NoError(t, err)
	own := link.Actor()
	require.NoError(t, b.MailReceived(ctx, token))
	x, err := b.PersonData(ctx, own, c.ID, own.ID)
	require.NoError(t, err)
	j, err := json.Marshal(x)
	require.NoError(t, err)
	for _, has := range []string{"Cook1 Medlar", "cook1@example.org", "Cook One", "C. M.", "from my aunt", "Parcels 1", "TEFSR0U=", "considered", "entry-received"} {
		require.Contains(t, string(j), has)
	}
	require.NotContains(t, string(j), "cook2")
	require.NotContains(t, string(j), token)
	require.Empty(t, x.ShownToHosts)
	_, err = b.PersonData(ctx, b.host, c.ID, own.ID)
	require.NoError(t, err)
	x, err = b.PersonData(ctx, own, c.ID, own.ID)
	require.NoError(t, err)
	require.Len(t, x.ShownToHosts, 1, "that a host looked is in it")
	other, err := b.EntryByNumber(ctx, c.ID, 2)
	require.NoError(t, err)
	_, err = b.PersonData(ctx, own, c.ID, other)
	require.Equal(t, challenge.Barred, why(t, err))
	_, err = b.PersonData(ctx, challenge.Actor{Role: challenge.Cohost, ID: 1, Challenge: c.ID}, c.ID, own.ID)
	require.Equal(t, challenge.Barred, why(t, err))
}
