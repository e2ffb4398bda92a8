package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// Under load over HTTP no ballot is lost and none counts twice: 25 browsers
// send their ballot twice at once, as an impatient finger does.
func TestBallotsOverHTTPAtOnce(t *testing.T) {
	x := newVote(t)
	const voters = 25 // each twice: below what one network may send at once
	type send struct {
		client *http.Client
		to     string
		form   url.Values
	}
	var all []send
	for i := range voters {
		p := x.person()
		f := p.get(x.ballot()).ok()
		form := url.Values{"slip": {f.value("slip")}, "choice": {x.dish(i%5 < 2)}}
		all = append(all, send{p.client, x.server.URL + x.ballot(), form})
	}
	var work sync.WaitGroup
	var lock sync.Mutex
	counted, failed := 0, []string(nil)
	for _, s := range all {
		for range 2 {
			work.Go(func() {
				res, err := s.client.PostForm(s.to, s.form)
				lock.Lock()
				defer lock.Unlock()
				if err != nil {
					failed = append(failed, err.Error())
					return
				}
				defer res.Body.Close()
				doc, err := html.Parse(res.Body)
				switch {
				case err != nil || res.StatusCode != http.StatusOK:
					failed = append(failed, res.Status)
				case strings.Contains((&page{doc: doc}).text(), "Your ballot is counted"):
					counted++
				}
			})
		}
	}
	work.Wait()
	require.Empty(t, failed)
	require.Equal(t, 2*voters, counted, "the second of two is told that it is counted, too")
	require.Equal(t, voters, x.ballots())
	x.counted().says("25 ballots")
	results, err := x.db.VoteResult(t.Context(), x.actor, x.loaded(), x.vote().ID)
	require.NoError(t, err)
	votes := map[bool]int{}
	for _, c := range results.Counts {
		votes[c.Dish.House()] = c.Votes
	}
	require.Equal(t, map[bool]int{true: 10, false: 15}, votes)
}
