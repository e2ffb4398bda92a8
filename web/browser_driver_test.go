package web_test

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"fairladle/store"
	"fairladle/web"
)

// A stage is the real server with its worker on a temporary folder, a clock
// that the test moves, and one headless Chromium with a browser context of its
// own for every person.
type stage struct {
	*live
	clock   atomic.Int64 // unix milliseconds
	browser context.Context
	shots   string // where pictures are kept
	keep    bool   // whether anybody will look at them
	axe     string // the source of axe-core, or nothing
	only    string // how the states begin that are looked at; empty for all

	mu    sync.Mutex
	noise []string // what browsers complained about
}

func newStage(t *testing.T) *stage {
	s := &stage{live: &live{t: t, file: filepath.Join(t.TempDir(), "fairladle.db")}}
	s.browser = s.launch(chromium(t))
	s.axe = axeSource(t)
	s.shots, s.keep = os.Getenv("FAIRLADLE_ARTEFACTS"), os.Getenv("FAIRLADLE_ARTEFACTS") != ""
	if !s.keep {
		s.shots = t.TempDir()
	}
	require.NoError(t, os.MkdirAll(s.shots, 0o755))
	s.moveTo(testStart)
	db, err := store.Open(t.Context(), s.file, store.Options{Now: func() time.Time { return time.UnixMilli(s.clock.Load()).UTC() }, Random: rand.Reader})
	require.NoError(t, err)
	s.db, s.site = db, web.New(db, web.Config{EntriesPerMinute: 100_000})
	s.server = httptest.NewServer(s.site)
	working, stop := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { s.site.Work(working); close(done) }()
	t.Cleanup(func() {
		stop()
		<-done
		s.server.Close()
		require.NoError(t, db.Close())
	})
	return s
}

// moveTo sets the clock of the server.
func (s *stage) moveTo(now time.Time) { s.clock.Store(now.UnixMilli()) }

func (s *stage) launch(path string) context.Context {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.Flag("lang", "en-GB"),
		chromedp.UserDataDir(s.t.TempDir()))
	bound, cancelAll := context.WithTimeout(context.Background(), 240*time.Second)
	allocated, cancelAllocated := chromedp.NewExecAllocator(bound, options...)
	first, cancel := chromedp.NewContext(allocated)
	require.NoError(s.t, chromedp.Do(first))
	s.t.Cleanup(func() {
		cancel()
		cancelAllocated()
		cancelAll()
	})
	return first
}

// A visitor is one tab. Its size is what the person works at; look tries the
// others too.
type visitor struct {
	*stage
	ctx   context.Context
	width int
}

// visitor is a person with a browser of their own: no cookie is shared.
func (s *stage) visitor(width int) *visitor {
	return s.tab(s.browser, width, chromedp.WithNewBrowserContext())
}

// another is a second tab of the same person.
func (v *visitor) another(width int) *visitor { return v.tab(v.ctx, width) }

func (s *stage) tab(parent context.Context, width int, options ...chromedp.ContextOption) *visitor {
	ctx, cancel := chromedp.NewContext(parent, options...)
	s.t.Cleanup(cancel)
	v := &visitor{s, ctx, width}
	require.NoError(s.t, chromedp.Do(ctx))
	require.NoError(s.t, chromedp.Listen(ctx, s.listen))
	_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
	require.NoError(s.t, err)
	_, err = chromedp.Call(ctx, log.Enable, cdp.Empty{})
	require.NoError(s.t, err)
	v.size(width, false)
	return v
}

// listen collects what a page must not do: break off, violate its own content
// policy, or ask another site for anything.
func (s *stage) listen(event any) {
	said := ""
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		said = "script: " + e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil {
			said += " " + x.Description
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError && e.Entry.Source != log.EntrySourceNetwork {
			said = string(e.Entry.Source) + ": " + e.Entry.Text
		}
	case *network.EventRequestWillBeSent:
		if u := e.Request.URL; s.server != nil && !strings.HasPrefix(u, s.server.URL) && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "about:") {
			said = "asked for " + u
		}
	}
	if said != "" {
		s.mu.Lock()
		s.noise = append(s.noise, said)
		s.mu.Unlock()
	}
}

func (v *visitor) run(steps ...chromedp.Action[chromedp.Void]) {
	v.t.Helper()
	require.NoError(v.t, chromedp.Do(v.ctx, steps...))
}

// eval runs an expression in the page for what it does.
func (v *visitor) eval(expression string) {
	v.t.Helper()
	v.run(chromedp.Evaluate[chromedp.Void](expression, chromedp.EvalAwaitPromise))
}

// evaluated is what an expression in the page gives, after a promise is kept.
func evaluated[T any](v *visitor, expression string) T {
	v.t.Helper()
	x, err := chromedp.Run(v.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(v.t, err, expression)
	return x
}

// open types an address.
func (v *visitor) open(path string) *visitor {
	v.t.Helper()
	if !strings.HasPrefix(path, "http") {
		path = v.server.URL + path
	}
	v.run(chromedp.Navigate(path))
	return v
}

func (v *visitor) path() string { return evaluated[string](v, "location.pathname") }

// at says whether the address holds these words.
func (v *visitor) at(part string) bool { v.t.Helper(); return strings.Contains(v.path(), part) }

// leaves does something that leads to another page and waits for it.
func (v *visitor) leaves(do func()) *visitor {
	v.t.Helper()
	v.eval("window.leaving = true")
	do()
	v.until("another page", `!window.leaving && document.readyState === "complete"`)
	return v
}

// until waits for an expression to become true.
func (v *visitor) until(what, expression string) {
	v.t.Helper()
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(8 * time.Millisecond) {
		// While a page changes there is nowhere to evaluate: that is asked again.
		if is, err := chromedp.Run(v.ctx, chromedp.Evaluate[bool](expression, chromedp.EvalAwaitPromise)); err == nil && is {
			return
		} else if time.Now().After(deadline) {
			require.FailNow(v.t, "waited in vain for "+what, "%v; %s: %s", err, v.path(), v.text())
		}
	}
}

// follow clicks on something that leads to another page.
func (v *visitor) follow(words string) *visitor {
	v.t.Helper()
	return v.leaves(func() { v.click(words) })
}

// click puts the mouse on a button, link or label with these words and
// presses it. Something lying over it would be hit instead, so that fails.
func (v *visitor) click(words string) *visitor {
	v.t.Helper()
	return v.clickOn(fmt.Sprintf(`(() => {
		const text = (e) => e.innerText.replace(/\s+/g, " ").trim(), want = %s;
		const all = [...document.querySelectorAll("button, a, summary, label")].filter((e) => e.checkVisibility() && text(e).includes(want));
		return all.find((e) => text(e) === want) || all[0];
	})()`, quoted(words)), words)
}

// clickOn clicks the element an expression finds.
func (v *visitor) clickOn(expression, what string) *visitor {
	v.t.Helper()
	at := evaluated[struct {
		X    float64 `json:"x"`
		Y    float64 `json:"y"`
		Over string  `json:"over"`
	}](v, `(() => {
		const e = `+expression+`;
		if (!e) return { over: "nothing of that kind is shown" };
		e.scrollIntoView({ block: "center", behavior: "instant" });
		const r = e.getClientRects()[0], x = r.left + Math.min(r.width / 2, 40), y = r.top + r.height / 2;
		const hit = document.elementFromPoint(x, y);
		return { x, y, over: hit && (e.contains(hit) || hit.contains(e)) ? "" : "covered by " + (hit ? hit.outerHTML.slice(0, 120) : "the edge") };
	})()`)
	require.Empty(v.t, at.Over, "%s on %s: %s", what, v.path(), v.text())
	v.run(chromedp.MouseClickXY(at.X, at.Y))
	return v
}

func byID(id string) string { return "document.getElementById(" + quoted(id) + ")" }

// write clicks into a field and puts a text where the old one stood, as a
// paste does.
func (v *visitor) write(id, text string) *visitor {
	v.t.Helper()
	v.clickOn(byID(id), id)
	v.eval(byID(id) + ".select()")
	_, err := chromedp.Call(v.ctx, input.InsertText, input.InsertTextParams{Text: text})
	require.NoError(v.t, err)
	return v
}

// put sets what a page leaves to the browser's own windows: dates and lists.
func (v *visitor) put(id, value string) *visitor {
	v.t.Helper()
	v.eval(fmt.Sprintf(`(() => { const e = %s; e.value = %s; e.dispatchEvent(new Event("input", { bubbles: true })); e.dispatchEvent(new Event("change", { bubbles: true })); })()`,
		byID(id), quoted(value)))
	return v
}

// tick clicks a box.
func (v *visitor) tick(ids ...string) *visitor {
	v.t.Helper()
	for _, id := range ids {
		v.clickOn(byID(id), id)
	}
	return v
}

// keys presses keys, one after the other.
func (v *visitor) keys(keys string) { v.t.Helper(); v.run(chromedp.KeyEvent(keys)) }

// shortcut presses one key as a keyboard does: a page that takes the key for
// itself keeps it from being written.
func (v *visitor) shortcut(key string) {
	v.t.Helper()
	for _, p := range []input.DispatchKeyEventParams{{Type: input.DispatchKeyEventTypeKeyDown, Key: key, Text: key, UnmodifiedText: key},
		{Type: input.DispatchKeyEventTypeKeyUp, Key: key}} {
		_, err := chromedp.Call(v.ctx, input.DispatchKeyEvent, p)
		require.NoError(v.t, err)
	}
}

// value is what a field holds.
func (v *visitor) value(id string) string {
	v.t.Helper()
	return evaluated[string](v, byID(id)+".value")
}

// text is what the page shows.
func (v *visitor) text() string {
	v.t.Helper()
	return evaluated[string](v, `document.body.innerText.replace(/\s+/g, " ")`)
}

// says asserts that the page shows something.
func (v *visitor) says(words ...string) *visitor {
	v.t.Helper()
	shown := v.text()
	for _, w := range words {
		require.Contains(v.t, shown, w, v.path())
	}
	return v
}

// hides asserts that something stands neither in the page's source nor in
// what scripts made of it.
func (v *visitor) hides(words ...string) *visitor {
	v.t.Helper()
	source := evaluated[string](v, `fetch(location.href).then((r) => r.text()).then((s) => s + document.documentElement.outerHTML +
		[...document.querySelectorAll("input, textarea")].map((e) => e.value).join(" "))`)
	for _, w := range words {
		require.NotContains(v.t, strings.ToLower(source), strings.ToLower(w), v.path())
	}
	return v
}

func quoted(s string) string {
	b, err := json.Marshal(s)
	if err != nil {
		panic(err)
	}
	return string(b)
}
