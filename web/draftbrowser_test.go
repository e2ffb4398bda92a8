package web_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A pasted recipe is read where the entrant is: the page stays, and so does
// the place in the text. The page to change it does the same.
func TestBrowserReadsWhatIsPasted(t *testing.T) {
	s := newStage(t)
	slug := s.challenge(s.setUp())
	v := s.visitor(390).open("/c/" + slug + "/enter")
	v.readsAt("/c/" + slug + "/enter")
	v.look("enter-pasted").size(390, false)
	link := s.enter(slug, 1).url.Path
	v.open(link + "/change")
	v.readsAt(link + "/change")
	require.Empty(t, s.noise)
}

// readsAt pastes a recipe into the form that is open and looks at the reading
// that follows by itself.
func (v *visitor) readsAt(path string) {
	v.t.Helper()
	v.eval("window.stayed = true")
	v.write("text", recipesTyped[1])
	v.until("the reading", `document.getElementById("reread-said").innerText.includes("was read just now")`)
	v.says("How it was read", "GRANDMAS CABBAGE ROLLS", "ground turkey")
	require.True(v.t, evaluated[bool](v, "window.stayed === true && document.activeElement.id === 'text'"), "the page and the focus stay")
	require.Equal(v.t, path, v.path())
	require.Equal(v.t, recipesTyped[1], v.value("text"))
	require.Positive(v.t, evaluated[int](v, `[...document.querySelectorAll(".findings a")].filter((a) => document.querySelector(a.hash)).length`), "findings lead to their places")
}
