package web_test

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
	"fairladle/web/site"
)

// ends plays a draw to its end by whatever it waits for, and closes it.
func (d *drawing) ends() {
	d.t.Helper()
	ctx, c, r := context.Background(), d.loaded(), d.round()
	host, cohost := d.actor, challenge.Actor{Role: challenge.Cohost, ID: 1, Challenge: c.ID}
	send := func(a challenge.Actor, e draw.Event) {
		e.N = d.state().State.Next
		require.NoError(d.t, d.db.DrawEvent(ctx, a, c.ID, r.ID, e))
	}
	plan := d.state().State.Plan
	for round := 0; d.state().Awaits != draw.ForNothing; round++ {
		require.Less(d.t, round, 40)
		switch d.state().Awaits {
		case draw.ForRoll:
			send(host, draw.Event{Kind: draw.Rolled, Place: d.state().State.Place, Dice: []int{20 - round%20}})
			send(cohost, draw.Event{Kind: draw.Confirmed, Roll: d.state().State.Next - 1})
		case draw.ForCommitments:
			for a, party := range map[*challenge.Actor]string{&host: "host", &cohost: "co-host"} {
				seal := draw.SeedCommitment(plan.Draw, party, ledger.Salt{byte(len(party))}, "<"+party+"> & “seven” \u2028 ladles")
				send(*a, draw.Event{Kind: draw.Committed, Party: party, Commitment: &seal})
			}
		case draw.ForRoster:
			require.NoError(d.t, d.db.Freeze(ctx, host, c.ID, r.ID))
		case draw.ForReveals:
			for a, party := range map[*challenge.Actor]string{&host: "host", &cohost: "co-host"} {
				send(*a, draw.Event{Kind: draw.Revealed, Party: party, Nonce: &ledger.Salt{byte(len(party))}, Secret: "<" + party + "> & “seven” \u2028 ladles"})
			}
			require.NoError(d.t, d.db.RevealServerSeed(ctx, host, c.ID, r.ID))
		case draw.ForSources:
			d.now = lotteryAt.Add(2 * time.Hour)
			for i, s := range plan.PublicValues() {
				values := map[string][]string{draw.Whole: {"9", "18", "26", "34", "41", "45"}, draw.Decimal: {"12.50", "3"}, draw.Text: {"7F-3a </script>"}}[s.Form]
				send(host, draw.Event{Kind: draw.Published, Source: i + 1, Values: values})
			}
		}
	}
	_, err := d.db.CloseRound(ctx, host, c.ID, r.ID)
	require.NoError(d.t, err)
	d.now = time.Date(2026, 12, 10, 0, 0, 0, 0, time.UTC)
}

var lotteryAt = time.Date(2026, 12, 5, 20, 0, 0, 0, time.UTC)

func drawsOfEveryMethod() map[string]func(*challenge.Round) {
	lottery := draw.Lottery("Saturday lottery", draw.At(lotteryAt), "The six numbers on its page", 6, 1, 49)
	seeds := func(later *draw.Source) func(*challenge.Round) {
		return func(r *challenge.Round) {
			r.Params.Method, r.Params.Places, r.Params.Later = "seeds", 3, later
			r.Params.Parties, r.Params.Minutes = []string{"host", "co-host", "server"}, 30
		}
	}
	return map[string]func(*challenge.Round){
		"dice":  func(r *challenge.Round) { r.Params.Places = 3 },
		"seeds": seeds(nil),
		"later": seeds(&lottery),
		"public": func(r *challenge.Round) {
			r.Params.Method, r.Params.Places = "public", 2
			r.Params.Sources = []draw.Source{lottery,
				{Name: "Two rivers", At: draw.At(lotteryAt), How: "In metres", Form: draw.Decimal, Count: 2, Bits: 6},
				{Name: "A beacon", At: draw.At(lotteryAt), How: "Its code", Form: draw.Text, Count: 1, Bits: 40}}
		},
	}
}

// A visitor's browser checks the record of every method that this program has
// just written, from plain http, where a browser takes its own cryptography
// away, and from a file of the static copy; and it finds a changed byte.
func TestBrowserChecksEveryMethod(t *testing.T) {
	browser := chromium(t)
	tab, do := openPlainTab(t, browser)
	for name, plan := range drawsOfEveryMethod() {
		d := newDrawing(t, plan)
		d.ends()
		record := d.person().get(d.public() + "/record.json").ok().body
		require.True(t, draw.Verify([]byte(record), draw.Options{}).Holds(), name)
		verifyElsewhere(t, record)

		plain := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			r.Host = strings.TrimPrefix(d.server.URL, "http://")
			d.site.ServeHTTP(w, r)
		}))
		defer plain.Close()
		shows := func(address, words string) {
			t.Helper()
			require.NoError(t, chromedp.Do(tab, chromedp.Navigate(address)))
			require.Eventually(t, func() bool {
				return strings.Contains(do(`return document.getElementById("check-steps").textContent`), words)
			}, 10*time.Second, 50*time.Millisecond, "%s at %s: %s", name, address, do(`return document.getElementById("check-steps").textContent`))
		}
		const holds, broken = "Everything that can be checked here holds", "Something does not hold"
		shows(strings.Replace(plain.URL, "127.0.0.1", "kitchen.example", 1)+d.public()+"/check", holds)
		require.Equal(t, "undefined", do(`return typeof crypto.subtle`), "as on any plain http")
		require.Equal(t, "0", do(`return String(performance.getEntriesByType("resource").filter((e) => !/\/static\//.test(e.name)).length)`), "no server is asked")

		c, err := site.Collect(t.Context(), d.site, d.slug, d.server.URL)
		require.NoError(t, err)
		dir := unpacked(t, c)
		file := filepath.Join(dir, "draw", "3", "check.html")
		shows("file://"+file, holds)
		page, err := os.ReadFile(file)
		require.NoError(t, err)
		changed := bytes.Replace(page, []byte(`"result":[`), []byte(`"result":[1`), 1)
		require.NotEqual(t, string(page), string(changed))
		require.NoError(t, os.WriteFile(file, changed, 0o600))
		shows("file://"+file, broken)
		require.Contains(t, do(`return document.getElementById("check-steps").textContent`), "Does not hold: The result follows from the steps")
	}
}

// openPlainTab is openTab in a browser that finds kitchen.example, a name that
// is not this machine's own, at this machine.
func openPlainTab(t *testing.T, browser string) (tab context.Context, do func(js string) string) {
	return openTabWith(t, browser, chromedp.Flag("host-resolver-rules", "MAP kitchen.example 127.0.0.1"))
}
