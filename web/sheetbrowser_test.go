package web_test

import (
	"context"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// chromium finds the browser of the tests called TestBrowser, which are run by
// name: FAIRLADLE_BROWSER=required. Without that they are skipped and say so.
func chromium(t *testing.T) string {
	if os.Getenv("FAIRLADLE_BROWSER") != "required" {
		t.Skip("browser tests run with FAIRLADLE_BROWSER=required")
	}
	path, err := exec.LookPath("chromium")
	require.NoError(t, err, "FAIRLADLE_BROWSER=required, and chromium is not installed here")
	return path
}

// connected cuts or restores the tab's connection, as the browser sees it.
func connected(t *testing.T, tab context.Context, on bool) {
	t.Helper()
	_, err := chromedp.Call(tab, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		MatchedNetworkConditions: []*network.Conditions{{Offline: !on, DownloadThroughput: -1, UploadThroughput: -1}}})
	require.NoError(t, err)
	_, err = chromedp.Call(tab, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: !on, DownloadThroughput: -1, UploadThroughput: -1})
	require.NoError(t, err)
}

// A judge with a phone scores four dishes. The connection is lost while the
// second is being sealed, and in the middle of the third, whose page is then
// loaded anew; nothing is typed twice and every sheet arrives once.
func TestBrowserJudgeLosesTheConnection(t *testing.T) {
	browser := chromium(t)
	x := newTableWith(t, 1, nil, "Rye crisps\n\n200 g rye flour\n100 ml water\n\nBake at 200 C for 12 minutes.", "Quick pickle\n\n1 cucumber\n2 tbsp vinegar\n\nSlice, salt and leave for 20 minutes.")
	tab, do := openTab(t, browser)
	_, err := chromedp.Call(tab, network.Enable, network.EnableParams{})
	require.NoError(t, err)
	require.NoError(t, chromedp.Do(tab, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile), chromedp.Navigate(x.server.URL+x.links[0])))
	b := &sheetTab{table: x, tab: tab, do: do}

	b.next()
	b.fill(5, "7.5")
	b.press("seal")
	b.listed(1)

	b.next()
	connected(t, tab, false)
	b.fill(5, "6")
	b.press("seal")
	b.waits(`document.querySelector("[data-sheet-state]").textContent`, "No connection")
	require.Equal(t, 1, x.sheets(), "nothing reached the server")
	connected(t, tab, true)
	b.listed(2)

	b.next()
	b.fill(2, "8")
	connected(t, tab, false)
	b.fill(3, "9")
	b.waits(`document.querySelector("[data-sheet-state]").textContent`, "Kept on this device")
	connected(t, tab, true)
	require.NoError(t, chromedp.Do(tab, chromedp.Navigate(do(`return location.href`))))
	require.Equal(t, "3", do(`return String(document.querySelectorAll("[type=radio]:checked").length)`), "what was filled in is back")
	b.fill(5, "9")
	b.press("seal")
	b.listed(3)

	b.next()
	b.fill(5, "5.5")
	b.press("seal")
	b.listed(4)
	b.waits(`document.body.innerText`, "All your sheets are sealed")
	require.Equal(t, 4, x.sheets())
	sheets, err := x.db.TastingPlates(t.Context(), x.tasting().ID)
	require.NoError(t, err)
	for _, p := range sheets {
		s, err := x.db.OwnSheet(t.Context(), x.judgeActor(0), x.tasting().Challenge, x.tasting().ID, p.Code)
		require.NoError(t, err)
		require.Len(t, s.Answers.Scores, 5)
		require.Empty(t, s.Amended)
	}
}

// A sheetTab is the tab of a judge.
type sheetTab struct {
	*table
	tab context.Context
	do  func(string) string
}

// waits until an expression of the page holds words.
func (b *sheetTab) waits(js, words string) {
	b.t.Helper()
	look := chromedp.Evaluate[string](`(() => document.body ? String(` + js + `) : "")()`)
	require.Eventually(b.t, func() bool {
		// A page that is just being left answers with an error: look again.
		seen, err := chromedp.Run(b.tab, look)
		return err == nil && strings.Contains(seen, words)
	}, 40*time.Second, 100*time.Millisecond, words)
}

// fits asserts that nothing sticks out of a page 390 pixels wide.
func (b *sheetTab) fits() {
	b.t.Helper()
	require.Equal(b.t, "390", b.do(`return String(document.documentElement.scrollWidth)`))
}

// next opens the plate the list says is next.
func (b *sheetTab) next() {
	b.t.Helper()
	b.fits()
	b.do(`document.querySelector(".plates a.up").click()`)
	b.waits(`!!document.querySelector("[data-sheet-form]")`, "true")
	b.fits()
}

// fill taps a score for the first criteria.
func (b *sheetTab) fill(criteria int, score string) {
	b.do(`Array.from(document.querySelectorAll(".criterion")).slice(0, ` + itoa(criteria) + `).forEach((c) => c.querySelector("input[value='` + score + `']").click())`)
}

func (b *sheetTab) press(do string) {
	b.do(`document.querySelector("button[value=` + do + `]").click()`)
}

// listed waits for the list of plates with so many sealed.
func (b *sheetTab) listed(sealed int) {
	b.t.Helper()
	b.waits(`document.querySelectorAll(".plates .sealed").length`, itoa(sealed))
	require.Eventually(b.t, func() bool { return b.sheets() == sealed }, 10*time.Second, 100*time.Millisecond)
}
