package web_test

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// readingStage is a challenge in a real browser, its entries in and its
// reading about to open. The host works over HTTP.
func readingStage(t *testing.T, entries int) (s *stage, x *reading) {
	s = newStage(t)
	x = &reading{live: s.live}
	x.host = x.setUp()
	x.slug = x.challenge(x.host)
	x.desk = "/host/c/" + x.slug
	for i := 1; i <= entries; i++ {
		x.entrants = append(x.entrants, x.enter(x.slug, i))
	}
	s.moveTo(time.Date(2026, 11, 17, 9, 0, 0, 0, time.UTC))
	return s, x
}

// A reader reads twenty entries without a mouse: Tab and Enter to begin, one
// key for each mark. Three of them come back at the end, unmarked.
func TestBrowserReaderMarksTwentyEntriesByKeyboardAlone(t *testing.T) {
	s, x := readingStage(t, 20)
	x.host.get(x.desk+"/rounds").ok().form("per_entry").set("per_entry", "1").send().ok()
	link := x.invite(x.host, x.slug, "reader", "Ada Reed")
	x.open()
	v := s.visitor(1280)
	v.open(link + "/reading/1").hides(append(names, "Ada Reed")...)
	v.tabTo(`e.innerText.trim() === "Start reading"`)
	v.leaves(func() { v.keys(kb.Enter) })
	first := v.path()
	v.leaves(func() { v.shortcut("n") })
	v.leaves(func() { v.shortcut("p") })
	require.Equal(t, first, v.path(), "skip, and back")
	v.shortcut("/")
	v.keys("Reads like supper")
	v.keys(kb.Escape)
	steps := 0
	for ; v.at("/reading/1/"); steps++ {
		require.Less(t, steps, 40, "the desk does not come to an end")
		if steps%5 == 0 {
			v.hides(names...)
		}
		s.moveTo(time.UnixMilli(s.clock.Load()).Add(40 * time.Second))
		v.leaves(func() { v.shortcut(string("kmo"[steps%3])) })
	}
	require.Equal(t, 23, steps, "twenty, and three that came back")
	v.says("23 of 23 marked", "You have marked all of them", "Recipes shown twice: 3")
	require.Equal(t, "Reads like supper", v.open(first).value("note"))
	require.Empty(t, s.noise)
}

// Where a round asks several questions, 1, 2 and 3 answer one after the other,
// and Enter saves.
func TestBrowserReaderAnswersCriteriaByKeyboardAlone(t *testing.T) {
	s, x := readingStage(t, 3)
	x.host.get(x.desk+"/rounds").ok().form("per_entry").set("per_entry", "1").set("criteria", "Taste 3\nIdea").send().ok()
	link := x.invite(x.host, x.slug, "reader", "Ada Reed")
	x.open()
	v := s.visitor(1280)
	v.open(link + "/reading/1")
	v.tabTo(`e.innerText.trim() === "Start reading"`)
	v.leaves(func() { v.keys(kb.Enter) })
	first, steps := v.path(), 0
	for ; v.at("/reading/1/"); steps++ {
		require.Less(t, steps, 10, "the desk does not come to an end")
		v.shortcut("3")
		v.shortcut("1")
		s.moveTo(time.UnixMilli(s.clock.Load()).Add(40 * time.Second))
		v.leaves(func() { v.keys(kb.Enter) })
	}
	require.GreaterOrEqual(t, steps, 3)
	v.says("You have marked all of them")
	v.open(first)
	require.Equal(t, "2 0", evaluated[string](v, `[...document.querySelectorAll("[data-ask] :checked")].map(e => e.value).join(" ")`))
	require.Empty(t, s.noise)
}

// The co-host picks on a phone: reads, holds one back, looks at two side by
// side, chooses two, and says why in a sentence that outlives a reload.
func TestBrowserPickOnAPhone(t *testing.T) {
	s, x := readingStage(t, 4)
	link := x.invite(x.host, x.slug, "cohost", "Lior Adeyemi")
	x.shortlistAll(4)
	x.host.get(x.desk).ok().button("Open “Pick of the finalists”").send().ok()
	v := s.visitor(390)
	v.open(link + "/pick/2").hides(names...).narrow()
	v.follow("Leaf parcels, way 1").hides(names...).narrow().follow("Hold back")
	v.open(link + "/pick/2").says("Held back").follow("Two side by side").hides(names...).narrow()
	v.open(link+"/pick/2/compare?a=2&b=3").says("No. 2", "No. 3")
	v.follow("Finalist").open(link+"/pick/2/4").write("reason", "Lemon and smoke.")
	v.open(link + "/pick/2/4")
	require.Equal(t, "Lemon and smoke.", v.value("reason"), "what was typed outlives a reload")
	v.follow("Finalist").open(link+"/pick/2").says("Chosen: 2 of 2", "Its sentence is still missing").narrow()
	v.follow("Seal my pick").says("Say in one sentence why it is a finalist", "Lemon and smoke.")
	v.write("reason-"+x.dishID(2), "It asks for patience.").follow("Seal my pick").says("Sealed").hides(names...)
	x.host.get(x.desk+"/pick/2").ok().hides("Lemon and smoke", "patience")
	require.Empty(t, s.noise)
}

// narrow asserts that a page needs no scrolling sideways.
func (v *visitor) narrow() *visitor {
	v.t.Helper()
	require.LessOrEqual(v.t, evaluated[int](v, "document.documentElement.scrollWidth"), v.width, v.path())
	return v
}
