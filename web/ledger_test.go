package web_test

import (
	"encoding/json"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/draw"
	"fairladle/challenge/ledger"
)

type ledgerFile struct {
	Checkpoint, Key string
	Leaves          []struct {
		Leaf       int64
		Commitment ledger.Commitment
		Kind       string
		Salt       *ledger.Salt
		Body       string
	}
}

func (d *drawing) ledgerFile() (f ledgerFile) {
	require.NoError(d.t, json.Unmarshal([]byte(d.person().get("/c/"+d.slug+"/ledger.json").ok().body), &f))
	return f
}

// A stranger checks the ledger's file with package ledger alone: the signature,
// the root, and that each opening is of its commitment.
func TestLedgerFileHolds(t *testing.T) {
	d := newDrawing(t, nil)
	d.rolls("8").ok()
	f := d.ledgerFile()
	key, err := ledger.ParseKey(f.Key)
	require.NoError(t, err)
	head, err := ledger.VerifyCheckpoint(f.Checkpoint, key)
	require.NoError(t, err)
	require.Equal(t, "fairladle/stuffed-leaves", head.Origin)
	require.Len(t, f.Leaves, int(head.Size))
	var leaves []ledger.Commitment
	kinds := map[string]int{}
	for i, l := range f.Leaves {
		require.Equal(t, int64(i), l.Leaf)
		leaves = append(leaves, l.Commitment)
		kinds[l.Kind]++
		if l.Salt != nil {
			require.True(t, ledger.Opening{Salt: *l.Salt, Body: []byte(l.Body)}.Opens(l.Commitment))
		} else {
			require.Empty(t, l.Kind)
			require.Empty(t, l.Body)
		}
	}
	require.Equal(t, head.Root, ledger.TreeOf(leaves).Root())
	// Reading, pick and draw: two openings and closings, a seal, a third
	// opening, the list and one roll are sealed; the first opening is not.
	require.Equal(t, 7, kinds[""])
	delete(kinds, "")
	require.Equal(t, map[string]int{"challenge-announced": 1, "rounds-changed": 0, "entry-received": 6, "entries-closed": 1, "round-opened": 1}, withZero(kinds, "rounds-changed", d))
}

// withZero leaves out how often the test's own set-up changed the plan.
func withZero(kinds map[string]int, kind string, d *drawing) map[string]int {
	require.LessOrEqual(d.t, kinds[kind], len(d.loaded().Rounds))
	kinds[kind] = 0
	return kinds
}

func TestLedgerProofFromAKeptHead(t *testing.T) {
	d := newDrawing(t, nil)
	before, err := ledger.ParseCheckpoint(d.ledgerFile().Checkpoint)
	require.NoError(t, err)
	d.rolls("8").ok()
	d.rolls("11").ok()
	var p struct {
		From       int64
		FromRoot   ledger.Hash `json:"from_root"`
		To         int64
		ToRoot     ledger.Hash `json:"to_root"`
		Proof      ledger.Proof
		Checkpoint string
	}
	path := "/c/" + d.slug + "/ledger/proof"
	require.NoError(t, json.Unmarshal([]byte(d.person().get(path+"?from="+itoa(int(before.Size))).ok().body), &p))
	require.Equal(t, before.Root, p.FromRoot)
	now, err := ledger.ParseCheckpoint(p.Checkpoint)
	require.NoError(t, err)
	require.Equal(t, now.Size, p.To)
	require.NoError(t, ledger.VerifyConsistency(p.Proof, now, before))
	before.Root[0] ^= 1
	require.ErrorIs(t, ledger.VerifyConsistency(p.Proof, now, before), ledger.ErrProof)

	for _, bad := range []string{"", "?from=", "?from=x", "?from=-1", "?from=9999", "?from=3&to=2", "?from=3&to=9999", "?from=3&to=0", "?from=3&to=x"} {
		d.person().get(path + bad).is(http.StatusUnprocessableEntity)
	}
	d.person().get(path + "?from=0").ok()
	d.person().get(path + "?from=3&to=5").ok()
}

func TestLedgerPageInPlainWords(t *testing.T) {
	d := newDrawing(t, nil)
	g := d.person().get("/c/" + d.slug + "/ledger").ok()
	g.says("The challenge was opened to the public", "No. 4 was received.", "Entries closed.", "6 entries take part.", "“Reading” was opened.", "Sealed until its release")
	g.hides("quince", "example.net", "hanne", "no. 2, no. 4, no. 5")
	d.person().get("/c/" + d.slug + "/ledger?from=3").ok().hides("was opened to the public")
	d.person().get("/c/" + d.slug + "/ledger?from=99999").ok()
	d.person().get("/c/nowhere/ledger").is(http.StatusNotFound)
	d.now = time.Date(2026, 12, 2, 0, 0, 0, 0, time.UTC)
	d.person().get("/c/"+d.slug+"/ledger").ok().says("What went on: No. 2, No. 4, No. 5", "“Pick of the finalists” was closed.").hides("quince", "hanne")
}

func TestEntrantReadsWhetherTheEntryIsInTheList(t *testing.T) {
	d := newDrawing(t, nil)
	c := d.loaded()
	for number, words := range map[int]string{4: "No. 4 is in the list fixed on Tue 17 Nov 2026, 09:00 WET, as you sent it.", 1: "No. 1 is not in the list fixed on Tue 17 Nov 2026, 09:00 WET."} {
		d.person().get(d.own[number]).ok().says(words)
	}
	dish, err := d.db.EntryByNumber(t.Context(), c.ID, 5)
	require.NoError(t, err)
	lists, err := d.db.Standings(t.Context(), entrantActor(c.ID, dish))
	require.NoError(t, err)
	require.Len(t, lists, 2)
	content := lists[1].Commitment
	require.NoError(t, draw.VerifyTicket(draw.Ticket{Number: 5, Weight: 1, Commitment: content}, lists[1].Index, lists[1].Proof, d.state().State.Plan.Roster))
	slip, err := d.db.Slip(t.Context(), entrantActor(c.ID, dish))
	require.NoError(t, err)
	require.Equal(t, slip.Commitment(), content, "the slip opens what stands in the list")
}
