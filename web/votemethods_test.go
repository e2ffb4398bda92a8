package web_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"fairladle/challenge"
	"fairladle/challenge/ballot"
)

// slipOf is the voting slip on the page that thanks for a ballot.
func slipOf(g *page) (slip string) {
	walk(g.doc, func(n *html.Node) {
		if n.Type == html.ElementNode && attr(n, "id") == "voting-slip" {
			slip = inner(n)
		}
	})
	return slip
}

// counted closes the vote and returns the public result page.
func (x *table) counted() *page {
	x.now = released.Add(72*time.Hour + time.Second)
	x.host.get(x.votes()).ok().button("Close the vote").send().ok()
	return x.person().get("/c/" + x.slug + "/results").ok()
}

func TestRankingWithoutAScript(t *testing.T) {
	for method, says := range map[ballot.Method]string{ballot.Runoff: "won the run-off", ballot.Schulze: "compared pair by pair"} {
		t.Run(string(method), func(t *testing.T) {
			x := newVoteBy(t, map[string]string{"vote_method": string(method)})
			first, second := "rank-"+x.dish(false), "rank-"+x.dish(true)
			g := x.person().get(x.ballot()).ok().says("Put them in order", "Place 1 is your favourite", method.Words())
			g.form(first).send().is(http.StatusUnprocessableEntity).says("Choose at least one dish")
			again := g.form(first).set(first, "2").set(second, "2").send().is(http.StatusUnprocessableEntity).says("Two dishes have place 2")
			require.Equal(t, "2", again.value(first), "what was typed stands in the form that comes back")
			again.form(first).set(first, "1").set(second, "2").send().ok().says("Your ballot is counted", "Your voting slip")
			x.person().get(x.ballot()).ok().form(first).set(first, "1").send().ok()
			x.person().get(x.ballot()).ok().form(first).set(first, "2").set(second, "1").send().ok()
			results := x.counted().says("“Leaf parcels, way 4” (No. 4) won", says, "First choices", "Pair by pair", "2 voted for the one dish and 1 for the other", "As if the voters were a random sample")
			if method == ballot.Runoff {
				results.says("Round 1", "× marks who drops out")
			}
		})
	}
}

// Approval: two of three name the house dish, all three the entry; who names
// both prefers neither.
func TestApproval(t *testing.T) {
	x := newVoteBy(t, map[string]string{"vote_method": "approval"})
	for i := range 3 {
		f := x.person().get(x.ballot()).ok().says("Choose all you like").form("choice").set("choice", x.dish(false))
		if i > 0 {
			f.values.Add("choice", x.dish(true))
		}
		f.send().ok()
	}
	x.counted().says("won: 3 of 3 voters named it", "3 ballots", "1 voted for the one dish and 0 for the other")
}

func TestSlipFindsItsBallotAfterTheRelease(t *testing.T) {
	x := newVote(t)
	g := x.person().get(x.ballot()).ok().form("choice").set("choice", x.dish(true)).send().ok()
	slip := slipOf(g)
	require.Len(t, slip, 22)
	x.person().get(x.ballot()).ok().form("choice").set("choice", x.dish(false)).send().ok()
	path := x.ballot() + "/ballots"
	for _, p := range []string{path, path + ".json"} {
		x.person().get(p).is(http.StatusConflict).says("sealed until").hides(slip)
	}
	x.counted().says("Every ballot, and how to find yours")
	x.person().get(path+"?slip="+slip).ok().says("Your ballot was counted: Bay custard tart", "2 ballots")
	x.person().get(path + "?slip=wrong").ok().says("There is no ballot under this slip")
	file := x.person().get(path + ".json").ok().body
	sum := sha256.Sum256([]byte(file))
	x.person().get(path).ok().says(hex.EncodeToString(sum[:]))
	x.person().get("/c/" + x.slug + "/ledger.json").ok()
	require.Contains(t, file, slip)
}

// The rule for the final result is locked with the vote. The judges put the
// entry first, the audience the house dish.
func TestFinalRules(t *testing.T) {
	for name, c := range map[string]struct {
		form  map[string]string
		first string
		says  string
	}{
		"audience": {nil, "Bay custard tart", "The order is the audience's"},
		"judges":   {map[string]string{"final": "judges"}, "Leaf parcels, way 4", "The order is the judges' verdict"},
		"weighted": {map[string]string{"final": "weighted", "audience_share": "60"}, "Bay custard tart", "The audience counts 60 per cent and the judges 40"},
		"level":    {map[string]string{"final": "weighted", "audience_share": "50"}, "Leaf parcels, way 4", "where two are level, the judges decide"},
	} {
		t.Run(name, func(t *testing.T) {
			x := newVoteBy(t, c.form)
			x.host.post("/host/c/"+x.slug+"/rounds/6", map[string][]string{"title": {"Vote"}, "vote_hours": {"72"}, "final": {"judges"}}).is(http.StatusConflict)
			x.person().get(x.ballot()).ok().form("choice").set("choice", x.dish(true)).send().ok()
			x.counted().says(c.says, "Final result 1 "+c.first)
		})
	}
}

func TestBadVotePlans(t *testing.T) {
	x := newCooked(t)
	plan := "/host/c/" + x.slug + "/rounds"
	x.host.get(plan).ok().form("vote_hours").set("vote_method", "loudest").send().is(http.StatusUnprocessableEntity).says("Choose how ballots are cast")
	x.host.get(plan).ok().form("vote_hours").set("final", "weighted").set("audience_share", "100").send().is(http.StatusUnprocessableEntity).says("from 1 to 99")
	x.host.get(plan).ok().form("vote_hours").set("final", "nobody").send().is(http.StatusUnprocessableEntity).says("Choose who decides")
	require.Equal(t, challenge.UsualRun()[5].Params, x.vote().Params)
}

// votingLinks are the addresses of the private links in the outbox, by who
// gets them.
func (x *table) votingLinks() map[string]string {
	ms, err := x.db.Waiting(x.t.Context(), 1000)
	require.NoError(x.t, err)
	links := map[string]string{}
	for _, m := range ms {
		if m.Kind == "invite-voter" {
			links[m.To] = "/vote/" + m.Token
			mail := x.host.get(fmt.Sprintf("/host/outbox/%d.eml", m.ID)).ok()
			require.Contains(x.t, strings.ReplaceAll(mail.body, "=\r\n", ""), links[m.To])
		}
	}
	return links
}

func TestVoteByPrivateLink(t *testing.T) {
	x := newVoteBy(t, map[string]string{"by_link": "1"})
	x.person().get(x.ballot()).ok().says("by private link").hides(`name="choice"`, "bay custard")
	x.person().post(x.ballot(), map[string][]string{"choice": {x.dish(true)}, "slip": {"AAAAAAAAAAAAAAAAAAAAAA"}}).is(http.StatusUnprocessableEntity)
	x.host.get(x.votes()).ok().form("addresses").set("addresses", "ana@example.org\nnot an address").send().is(http.StatusUnprocessableEntity).says("does not look like an e-mail address", "ana@example.org")
	require.Empty(t, x.votingLinks())
	x.host.get(x.votes()).ok().form("addresses").set("addresses", "ana@example.org, bo@example.org; Ana@Example.org\ncy@example.org").send().ok().says("in the outbox", "3 addresses have a private link")
	links := x.votingLinks()
	require.Len(t, links, 3)

	ana := x.person()
	g := ana.get(links["ana@example.org"]).ok().says("by private link: each link takes one ballot")
	require.Equal(t, x.ballot(), g.url.Path, "the address bar does not hold the link")
	g.form("choice").set("choice", x.dish(true)).send().ok().says("Your ballot is counted")
	elsewhere := x.person()
	elsewhere.get(links["ana@example.org"]).ok().says("Your ballot is counted").hides(`name="choice"`)
	x.restart()

	// A new link for all: Bo's old one stops working, Ana has voted and gets none.
	x.host.get(x.votes()).ok().form("addresses").set("addresses", "ana@example.org bo@example.org").send().ok().says("3 addresses have a private link")
	renewed := x.votingLinks()
	require.Equal(t, links["ana@example.org"], renewed["ana@example.org"])
	require.NotEqual(t, links["bo@example.org"], renewed["bo@example.org"])
	x.person().get(links["bo@example.org"]).is(http.StatusNotFound).says("replaced by a newer one")
	x.person().get(renewed["bo@example.org"]).ok().form("choice").set("choice", x.dish(true)).send().ok()
	require.Equal(t, 2, x.ballots())

	x.counted().says("2 ballots")
	require.Empty(t, x.votingLinks(), "who was invited is forgotten when the vote closes")
	known, err := x.db.VoterCount(t.Context(), x.vote().ID)
	require.NoError(t, err)
	require.Zero(t, known)
	x.person().get(links["cy@example.org"]).is(http.StatusNotFound)
}

// Under load no ballot is lost and none counts twice: every pass sends its
// ballot three times at once, as impatient people and retries do.
func TestManyBallotsAtOnce(t *testing.T) {
	x := newVote(t)
	c, round, options := x.loaded().ID, x.vote().ID, x.options()
	const voters = 400
	var all sync.WaitGroup
	var refused sync.Map
	want := map[int64]int{}
	for i := range voters {
		pass, err := x.db.NewToken()
		require.NoError(t, err)
		slip, err := x.db.NewToken()
		require.NoError(t, err)
		choice := options[i%3%2]
		want[choice]++
		for try := range 3 {
			all.Go(func() {
				if err := x.db.CastBallot(context.Background(), c, round, pass, slip, ballot.Ballot{choice}); err != nil {
					refused.Store([2]int{i, try}, err)
				}
			})
		}
	}
	all.Wait()
	refused.Range(func(k, err any) bool { t.Fatalf("ballot %v: %v", k, err); return false })
	require.Equal(t, voters, x.ballots())
	x.counted().says(fmt.Sprintf("%d ballots", voters))
	box, err := x.db.BallotBox(t.Context(), x.loaded(), round)
	require.NoError(t, err)
	for _, n := range box.Vote.Counts {
		require.Equal(t, want[n.Dish.ID], n.Votes)
	}
}
