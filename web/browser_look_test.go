package web_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// axeSource is axe-core, an accessibility checker, from the development
// packages; without it that part of the walk is left out, and the test says so.
func axeSource(t *testing.T) string {
	b, err := os.ReadFile("../.ci/node_modules/axe-core/axe.min.js")
	if err == nil {
		return string(b)
	}
	if os.Getenv("FAIRLADLE_BROWSER") == "required" {
		t.Fatal("FAIRLADLE_BROWSER=required, and axe-core is not installed: npm ci --prefix .ci")
	}
	t.Log("axe-core is not installed, so accessibility was not checked: npm ci --prefix .ci")
	return ""
}

// look examines a state of a page at phone and desk width, light and dark: it
// must not scroll sideways, axe-core must find nothing, and a picture is kept.
// Where nobody asked for pictures, a phone by day and a desk by night will do.
func (v *visitor) look(name string) *visitor {
	v.t.Helper()
	if !strings.HasPrefix(name, v.only) {
		return v
	}
	for _, width := range []int{390, 1280} {
		for _, dark := range []bool{false, true} {
			if !v.keep && dark != (width > 600) {
				continue
			}
			v.size(width, dark)
			v.settled()
			v.fits(fmt.Sprintf("%s at %d", name, width))
			v.accessible(fmt.Sprintf("%s at %d, dark %v", name, width, dark), dark)
			v.picture(name, width, dark)
		}
	}
	v.size(360, false)
	v.fits(name + " at 360")
	if twice := evaluated[[]string](v, `[...document.querySelectorAll("[id]")].map((e) => e.id).filter((id, i, all) => all.indexOf(id) !== i)`); len(twice) > 0 {
		v.t.Errorf("%s has more than one element called %v", name, twice)
	}
	v.size(v.width, false)
	return v
}

// size sets the window and the colours. Motion is reduced, so that no colour
// is measured half-way.
func (v *visitor) size(width int, dark bool) {
	height, scheme := int64(900), "light"
	if width < 600 {
		height = 844
	}
	if dark {
		scheme = "dark"
	}
	_, err := chromedp.Call(v.ctx, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: int64(width), Height: height, DeviceScaleFactor: 1})
	require.NoError(v.t, err)
	_, err = chromedp.Call(v.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
	require.NoError(v.t, err)
}

// settled waits for the fonts.
func (v *visitor) settled() {
	v.eval("document.fonts.ready.then(() => true)")
}

// fits asserts that the page does not scroll sideways, and names what sticks
// out.
func (v *visitor) fits(where string) {
	v.t.Helper()
	out := evaluated[string](v, `(() => {
		if (document.scrollingElement.scrollWidth <= innerWidth) return "";
		const wide = [...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + .5 && !e.closest(".scroll, .gone, .trap"));
		return document.scrollingElement.scrollWidth + " px: " + wide.slice(0, 4).map((e) => e.outerHTML.slice(0, 160)).join(" | ");
	})()`)
	if out != "" {
		v.t.Errorf("%s scrolls sideways, %s", where, out)
	}
}

// accessible runs axe-core. Only contrast depends on the colours, so where all
// four ways are looked at nothing else is asked again in the dark.
func (v *visitor) accessible(where string, dark bool) {
	v.t.Helper()
	if v.axe == "" {
		return
	}
	if !evaluated[bool](v, "!!window.axe") {
		v.eval(v.axe)
	}
	options := `{ resultTypes: ["violations"], preload: false, rules: { "target-size": { enabled: true } } }`
	if dark && v.keep {
		options = `{ resultTypes: ["violations"], preload: false, runOnly: { type: "rule", values: ["color-contrast"] } }`
	}
	found := evaluated[[]struct {
		Rule string   `json:"rule"`
		Help string   `json:"help"`
		At   []string `json:"at"`
	}](v, `axe.run(document, `+options+`).then((r) => r.violations.map((x) =>
		({ rule: x.id, help: x.help, at: x.nodes.map((n) => n.html.slice(0, 160) + " – " + n.failureSummary) })))`)
	for _, f := range found {
		v.t.Errorf("%s: %s (%s)\n%s", where, f.Rule, f.Help, strings.Join(f.At[:min(3, len(f.At))], "\n"))
	}
}

// picture keeps the whole page. Where nobody named a folder one picture of
// each state is taken, to show that it can be.
func (v *visitor) picture(name string, width int, dark bool) {
	v.t.Helper()
	if !v.keep && width != v.width {
		return
	}
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	png, err := chromedp.Run(v.ctx, chromedp.FullScreenshot(100))
	require.NoError(v.t, err)
	require.NoError(v.t, os.WriteFile(filepath.Join(v.shots, fmt.Sprintf("%s-%d-%s.png", name, width, scheme)), png, 0o644))
}

// print keeps the page as it comes out on A4.
func (v *visitor) print(name string) *visitor {
	v.t.Helper()
	pdf, err := chromedp.Run(v.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4)))
	require.NoError(v.t, err)
	require.NoError(v.t, os.WriteFile(filepath.Join(v.shots, name+".pdf"), pdf, 0o644))
	return v
}

// tabTo presses Tab until the focus is on the wanted element and returns the
// names of the stops on the way. Wherever the focus is, it must be seen.
func (v *visitor) tabTo(wanted string) (stops []string) {
	v.t.Helper()
	for range 60 {
		v.keys(kb.Tab)
		at := evaluated[struct {
			Name string `json:"name"`
			Seen bool   `json:"seen"`
			Here bool   `json:"here"`
		}](v, `(() => {
			const e = document.activeElement, ring = (x) => x && getComputedStyle(x).outlineStyle !== "none" && parseFloat(getComputedStyle(x).outlineWidth) > 0;
			const r = e.getBoundingClientRect();
			return { name: e.name || e.id || e.innerText.replace(/\s+/g, " ").trim().slice(0, 40), here: `+wanted+`,
				seen: (ring(e) || ring(e.nextElementSibling)) && r.bottom > 0 && r.top < innerHeight };
		})()`)
		require.True(v.t, at.Seen, "the focus on %q cannot be seen", at.Name)
		stops = append(stops, at.Name)
		if at.Here {
			return stops
		}
	}
	require.FailNow(v.t, "Tab does not lead there", "%s: %v", wanted, stops)
	return nil
}
