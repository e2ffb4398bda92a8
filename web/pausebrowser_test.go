package web_test

import (
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Between two plates a minute counts down. It goes on after a reload, can be
// passed, and is gone when it is over; the words stay.
func TestBrowserPauseBetweenPlates(t *testing.T) {
	browser := chromium(t)
	x := newTable(t, 1, nil)
	tab, do := openTab(t, browser)
	open := func() { require.NoError(t, chromedp.Do(tab, chromedp.Navigate(x.server.URL+x.links[0]))) }
	code := func(at string) string {
		return do(`return document.querySelectorAll(".plates .plate-code")[` + at + `].textContent`)
	}
	open()
	first, err := strconv.Atoi(code("0"))
	require.NoError(t, err)
	require.Equal(t, "0", do(`return "" + document.querySelectorAll(".pause").length`), "nothing was tasted yet")
	scored(x.sheet(0, first), "7", "Seal this sheet").ok()

	const clock = `document.querySelector(".pause [role=timer]").textContent`
	open()
	require.Contains(t, []string{"1:00", "0:59", "0:58"}, do("return "+clock))
	do(`sessionStorage.setItem("fairladle-pause/" + document.querySelector("[data-pause]").dataset.pause, Date.now() + 31000)`)
	open()
	require.Contains(t, []string{"0:31", "0:30", "0:29"}, do("return "+clock))
	do(`document.querySelector("[data-pause] a").click()`)
	comesTo(t, tab, "/score/5/"+itoa(x.code(x.code(false) == first)))

	open()
	do(`sessionStorage.setItem("fairladle-pause/" + document.querySelector("[data-pause]").dataset.pause, Date.now() - 1)`)
	open()
	require.Equal(t, "true 1", do(`return document.querySelector("[data-pause]").hidden + " " + document.querySelectorAll(".pause:not([hidden])").length`))
}
