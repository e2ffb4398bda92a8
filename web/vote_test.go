package web_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
	"fairladle/store"
)

// released is when newCooked's challenge releases everything.
var released = time.Date(2026, 11, 20, 18, 0, 0, 0, time.UTC)

// newVote goes on from a closed tasting, which the drawn entry leads, to an
// open vote after the release.
func newVote(t *testing.T) *table { return newVoteBy(t, nil) }

// newVoteBy changes the vote's round first, through its form.
func newVoteBy(t *testing.T, form map[string]string) *table {
	x := newTable(t, 3, nil)
	x.everyone([]string{"9", "8", "8"}, []string{"6", "7", "6"})
	x.host.get(x.desk()).ok().button("Close the tasting").send().ok()
	if form != nil {
		f := x.host.get("/host/c/" + x.slug + "/rounds").ok().form("vote_hours")
		for name, value := range form {
			f.set(name, value)
		}
		f.send().ok().says("Saved.")
	}
	x.now = released
	x.host.get(x.votes()).ok().says("What opening does").button("Open “Audience vote”").send().ok().says("The round is open")
	return x
}

func (x *table) votes() string  { return "/host/c/" + x.slug + "/vote/6" }
func (x *table) ballot() string { return "/c/" + x.slug + "/vote/6" }

func (x *table) vote() challenge.Round { return x.loaded().Of(challenge.Vote)[0] }

// dish is the id of an option.
func (x *table) dish(house bool) string {
	ds, err := x.db.DishesIn(context.Background(), x.vote().ID)
	require.NoError(x.t, err)
	for _, d := range ds {
		if (d.Kind == "house") == house {
			return fmt.Sprint(d.ID)
		}
	}
	x.t.Fatal("no such option")
	return ""
}

func (x *table) ballots() int {
	n, err := x.db.BallotCount(context.Background(), x.vote().ID)
	require.NoError(x.t, err)
	return n
}

func TestVoteFromBallotToFinalResult(t *testing.T) {
	x := newVote(t)
	for i := range 7 {
		v := x.person()
		g := v.get(x.ballot()).ok().says("Leaf parcels, way 4", "Bay custard tart", "one ballot per browser", "does not keep out").hides("entrant4@", "quince4")
		cookie := g.header.Get("Set-Cookie")
		require.Contains(t, cookie, "HttpOnly")
		require.Contains(t, cookie, "SameSite=Lax")
		g.form("choice").set("choice", x.dish(i < 2)).send().ok().says("Your ballot is counted")
		v.get(x.ballot()).ok().says("Your ballot is counted").hides(`name="choice"`)
		if i == 3 {
			x.restart()
		}
	}
	x.host.get(x.votes()).ok().says("7 ballots have been cast").hides("has the most", "71 %", "Close the vote and count")
	x.host.post("/host/c/"+x.slug+"/rounds/6/close", nil).is(http.StatusConflict).says("still running")
	x.person().get("/c/"+x.slug+"/results").ok().says("Verdict").hides("Final result", "has the most votes")
	x.now = released.Add(72*time.Hour + time.Second)
	x.person().get(x.ballot()).ok().says("The vote has ended", "stays sealed").hides("has the most")
	x.host.get(x.votes()).ok().button("Close the vote").send().ok().says("has the most votes", "5", "71 %")
	x.person().get("/c/"+x.slug+"/results").ok().says("Final result", "The order is the audience's", "“Leaf parcels, way 4” (No. 4) has the most votes", "7 ballots")
	document, err := x.db.Document(t.Context(), x.vote().ID)
	require.NoError(t, err)
	var rec store.VoteRecord
	require.NoError(t, json.Unmarshal(document, &rec))
	require.Len(t, rec.Ballots, 7, "ballots counted are the ballots accepted")
	require.Equal(t, 7, rec.Result.Counted)
}

func TestBallotTwiceCountsOnce(t *testing.T) {
	x := newVote(t)
	v := x.person()
	f := v.get(x.ballot()).ok().form("choice").set("choice", x.dish(true))
	f.send().ok()
	f.send().ok().says("Your ballot is counted")
	require.Equal(t, 1, x.ballots(), "the same ballot sent twice is one")
	f.set("choice", x.dish(false)).send().is(http.StatusConflict).says("cast from this browser already", "The first one counts")
	require.Equal(t, 1, x.ballots())
}

func TestLateBallot(t *testing.T) {
	x := newVote(t)
	v := x.person()
	f := v.get(x.ballot()).ok().form("choice").set("choice", x.dish(true))
	x.now = released.Add(72 * time.Hour)
	f.send().is(http.StatusConflict).says("The vote has ended")
	require.Zero(t, x.ballots())
	x.host.get(x.votes()).ok().button("Close the vote").send().ok().says("No ballot was cast")
	f.send().is(http.StatusConflict)
}

func TestBadBallots(t *testing.T) {
	x := newVote(t)
	v := x.person()
	v.post(x.ballot(), url.Values{"choice": {x.dish(true)}}).is(http.StatusUnprocessableEntity).says("Allow cookies")
	g := v.get(x.ballot()).ok()
	g.form("choice").send().is(http.StatusUnprocessableEntity).says("Choose at least one dish")
	for _, choice := range []string{"999999", "x", "-1", "0"} {
		require.GreaterOrEqual(t, g.form("choice").set("choice", choice).send().status, 400, choice)
	}
	undrawn, err := x.db.EntryByNumber(t.Context(), x.vote().Challenge, 2)
	require.NoError(t, err)
	g.form("choice").set("choice", fmt.Sprint(undrawn)).send().is(http.StatusNotFound)
	require.Zero(t, x.ballots())
	forged := x.person()
	u, err := url.Parse(x.server.URL + x.ballot())
	require.NoError(t, err)
	forged.client.Jar.SetCookies(u, []*http.Cookie{{Name: fmt.Sprintf("fairladle-ballot-%d", x.vote().ID), Value: "not-a-pass"}})
	forged.post(x.ballot(), url.Values{"choice": {x.dish(true)}}).is(http.StatusUnprocessableEntity)
	require.Zero(t, x.ballots())
}

// A script that asks for pass after pass is slowed down, and every ballot it
// was told is counted is one, and no other.
func TestStuffedBallots(t *testing.T) {
	x := newVote(t)
	accepted, slowed := 0, 0
	for range 70 {
		g := x.person().get(x.ballot()).ok().form("choice").set("choice", x.dish(true)).send()
		switch {
		case g.status == http.StatusOK:
			accepted++
		case strings.Contains(g.text(), "too often"):
			slowed++
		}
	}
	require.Equal(t, 70, accepted+slowed)
	require.Positive(t, slowed)
	require.Equal(t, accepted, x.ballots())
}

// Ballots that arrive together are all counted, and one pass used by many at
// once is one ballot.
func TestBallotsAtOnce(t *testing.T) {
	x := newVote(t)
	c, round, choice := x.loaded().ID, x.vote().ID, x.options()
	shared, err := x.db.NewToken()
	require.NoError(t, err)
	var all sync.WaitGroup
	var counted, refused sync.Map
	for i := range 64 {
		all.Go(func() {
			pass := shared
			if i%2 == 0 {
				pass, _ = x.db.NewToken()
			}
			slip, _ := x.db.NewToken()
			if err := x.db.CastBallot(context.Background(), c, round, pass, slip, ballot.Ballot{choice[i%2]}); err != nil {
				refused.Store(i, err)
			} else {
				counted.Store(i, true)
			}
		})
	}
	all.Wait()
	n := 0
	counted.Range(func(any, any) bool { n++; return true })
	require.Equal(t, 33, n, "32 passes of their own, and the shared one once")
	require.Equal(t, 33, x.ballots())
}

func (x *table) options() []int64 {
	ds, err := x.db.DishesIn(context.Background(), x.vote().ID)
	require.NoError(x.t, err)
	var ids []int64
	for _, d := range ds {
		ids = append(ids, d.ID)
	}
	return ids
}

// What has been released stays released: an open vote cannot have its results
// taken back from under it.
func TestReleaseCannotBeTakenBack(t *testing.T) {
	x := newVote(t)
	c := x.loaded()
	settings := c.Settings()
	settings.Release, settings.Reason = released.Add(24*time.Hour), "the film is not ready"
	require.ErrorContains(t, x.db.ChangeSettings(t.Context(), x.actor, c.ID, c.SettingsVersion, settings), "what was shown stays shown")
	x.person().get(x.ballot()).ok().says("Leaf parcels, way 4", "Bay custard tart")
}
