package web_test

import (
	"encoding/json"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/draw"
)

func TestListOfAllEntries(t *testing.T) {
	l := newLive(t)
	host := l.setUp()
	slug := l.challenge(host)
	in, out := l.enter(slug, 1).url.Path, l.enter(slug, 2).url.Path
	l.enter(slug, 3)
	l.person().get(out).ok().form("number").set("number", "2").send().ok()
	l.person().get("/c/" + slug + "/list").is(http.StatusNotFound).says("fixed when entries have closed")
	l.now = time.Date(2026, 11, 16, 21, 0, 0, 0, time.UTC)
	require.NoError(t, l.db.CloseDue(t.Context()))
	require.Contains(t, l.person().get("/c/"+slug).ok().body, "/c/"+slug+"/list")
	page := l.person().get("/c/"+slug+"/list").ok().says("2 entries", "1 3", "Root of the list").hides("withdrawn", "way 1", "quince")
	l.person().get("/c/" + slug + "/ledger").ok().says("Root of the list of all entries").hides("No. 2 was withdrawn")
	l.person().get(in).ok().says("No. 1 is in the list fixed on Mon 16 Nov 2026", "as you sent it", "Proof that leads from the line to the root")
	l.person().get(out).ok().says("No. 2 is not in the list fixed on Mon 16 Nov 2026", "It was withdrawn.")
	var file struct {
		List   draw.Extent
		Roster draw.Roster
	}
	require.NoError(t, json.Unmarshal([]byte(l.person().get("/c/"+slug+"/list.json").ok().body), &file))
	require.Equal(t, file.Roster.Extent(), file.List)
	page.says(file.List.Root.String())
}

// The list of a draw can be kept from the moment it is fixed.
func TestListOfADrawAsAFile(t *testing.T) {
	d := newDrawing(t, nil)
	var file struct {
		List       draw.Extent
		Roster     draw.Roster
		Checkpoint string
	}
	require.NoError(t, json.Unmarshal([]byte(d.person().get(d.public()+"/list.json").ok().body), &file))
	require.Equal(t, d.state().State.Plan.Roster, file.List)
	require.Equal(t, file.Roster.Extent(), file.List)
	require.NotEmpty(t, file.Checkpoint)
	require.Contains(t, d.person().get(d.public()).ok().body, d.public()+"/list.json")
}
