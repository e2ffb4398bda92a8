package web_test

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

// In a browser with scripts the secret does not reach the server before it is
// opened, and the card opens what was sealed.
func TestBrowserSealsWithoutTellingTheServer(t *testing.T) {
	browser := chromium(t)
	d := newSeedDraw(t)
	var lock sync.Mutex
	var sent []string
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost {
			b, _ := io.ReadAll(r.Body)
			lock.Lock()
			sent = append(sent, string(b))
			lock.Unlock()
			r.Body = io.NopCloser(bytes.NewReader(b))
		}
		d.site.ServeHTTP(w, r)
	}))
	defer server.Close()
	tab, do := openTab(t, browser)
	require.NoError(t, chromedp.Do(tab, chromedp.Navigate(server.URL+d.with+"/draw/3")))
	do(`document.querySelectorAll("details").forEach((e) => { e.open = true; })`)
	require.Equal(t, "true false", do(`return document.querySelector("[data-unscripted]").hidden + " " + document.querySelector("[data-scripted]").hidden`))
	do(`document.querySelector("[name=secret]").value = "sieben Löffel & <ein> Topf"; document.querySelector("[data-form] > button").click()`)
	require.Empty(t, sent, "the card comes first")
	secret, nonceText := do(`return document.querySelector("[data-secret]").textContent`), do(`return document.querySelector("[data-nonce]").textContent`)
	require.Equal(t, "sieben Löffel & <ein> Topf", secret)
	do(`document.querySelector("[data-send]").click()`)
	require.Eventually(t, func() bool { return len(d.state().Events) == 2 }, 10*time.Second, 50*time.Millisecond)
	lock.Lock()
	require.Len(t, sent, 1)
	for _, word := range []string{"sieben", "Topf", nonceText} {
		require.NotContains(t, sent[0], word)
	}
	lock.Unlock()
	var nonce ledger.Salt
	require.NoError(t, nonce.UnmarshalText([]byte(nonceText)))
	state := d.state()
	require.Equal(t, draw.SeedCommitment(state.State.Plan.Draw, "co-host", nonce, secret), *state.Events[1].Commitment)
}

// openTab starts a browser with one tab; do runs a script in its page.
func openTab(t *testing.T, browser string) (tab context.Context, do func(js string) string) {
	return openTabWith(t, browser)
}

func openTabWith(t *testing.T, browser string, more ...chromedp.ExecAllocatorOption) (tab context.Context, do func(js string) string) {
	options := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)], chromedp.ExecPath(browser), chromedp.NoSandbox)
	tabs, stop := chromedp.NewExecAllocator(t.Context(), append(options, more...)...)
	t.Cleanup(stop)
	tab, closeTab := chromedp.NewContext(tabs)
	t.Cleanup(closeTab)
	return tab, func(js string) string {
		t.Helper()
		out, err := chromedp.Run(tab, chromedp.Evaluate[string]("(() => {"+js+"; return '';})()"))
		require.NoError(t, err)
		return out
	}
}

// comesTo waits for a page. While one gives way to another, no script runs.
func comesTo(t *testing.T, tab context.Context, path string) {
	t.Helper()
	require.Eventually(t, func() bool {
		at, err := chromedp.Run(tab, chromedp.Evaluate[string]("location.pathname"))
		return err == nil && strings.HasSuffix(at, path)
	}, 10*time.Second, 100*time.Millisecond)
}

// The camera page shows a roll soon after it was typed elsewhere, without
// being touched, and does not open the envelope by itself.
func TestBrowserCameraFollowsTheRolls(t *testing.T) {
	browser := chromium(t)
	d := newDrawing(t, func(r *challenge.Round) { r.Params.Places = 1 })
	tab, do := openTab(t, browser)
	require.NoError(t, chromedp.Do(tab, chromedp.Navigate(d.server.URL+"/login")))
	do(`document.querySelector("[name=email]").value = "hanne@example.org"; document.querySelector("[name=password]").value = "` + testPassword + `"; document.querySelector("main form").submit()`)
	comesTo(t, tab, "/host")
	require.NoError(t, chromedp.Do(tab, chromedp.Navigate(d.server.URL+d.camera())))
	text := func() string { return do(`return document.getElementById("camera").innerText`) }
	require.NotContains(t, text(), "Open the envelope")
	d.rolls("20").ok()
	require.Eventually(t, func() bool { return strings.Count(text(), "roll again") == 2 }, 10*time.Second, 100*time.Millisecond)
	d.rolls("9").ok()
	require.Eventually(t, func() bool { return strings.Contains(text(), "Open the envelope") }, 10*time.Second, 100*time.Millisecond)
	require.NotContains(t, text(), "Leaf parcels")
}
