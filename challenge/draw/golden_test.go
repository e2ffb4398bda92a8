package draw

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ledger"
)

// go test -run TestGoldenRecords -update writes the records anew; RECORD.md
// quotes the first one, and the verifiers in other languages read them all.
var update = flag.Bool("update", false, "write testdata/records anew")

func recordFile(name string) string {
	name = strings.NewReplacer(", ", "-", " ", "-").Replace(name)
	return filepath.Join("testdata", "records", name+".json")
}

// The records kept in testdata are what the program writes today: published
// records must stay verifiable, so a change of the form needs a new version.
func TestGoldenRecords(t *testing.T) {
	for _, s := range samples() {
		doc := build(t, s.plan, s.roster, s.events...)
		if *update {
			require.NoError(t, os.MkdirAll(filepath.Join("testdata", "records"), 0o755))
			require.NoError(t, os.WriteFile(recordFile(s.name), doc, 0o644))
		}
		want, err := os.ReadFile(recordFile(s.name))
		require.NoError(t, err)
		require.Equal(t, string(want), string(doc), s.name)
		report := Verify(want, Options{})
		require.True(t, report.Holds(), report.First())
		require.NotEmpty(t, report.CannotShow)
	}
}

// Every figure of the worked example in RECORD.md is the one of its record.
func TestWorkedExample(t *testing.T) {
	text, err := os.ReadFile("RECORD.md")
	require.NoError(t, err)
	doc, err := os.ReadFile(recordFile("dice, two finalists"))
	require.NoError(t, err)
	rec, err := Parse(doc)
	require.NoError(t, err)
	head, err := ledger.ParseCheckpoint(rec.Ledger.Checkpoint)
	require.NoError(t, err)
	frozen, err := FrozenBody(rec.Plan)
	require.NoError(t, err)
	roll, err := EventBody(rec.Plan.Draw, rec.Events[0])
	require.NoError(t, err)
	commitment := ledger.Commit(rec.Ledger.Events[0].Salt, roll)

	quoted := []string{
		string(rec.Roster[0].leaf()), ledger.LeafHash(rec.Roster[0].leaf()).String(),
		string(rec.Roster[1].leaf()), ledger.LeafHash(rec.Roster[1].leaf()).String(),
		rec.Plan.Roster.Root.String(), string(frozen), string(roll),
		rec.Ledger.Events[0].Salt.String(), commitment.String(), ledger.LeafHash(commitment[:]).String(),
		head.Root.String(), rec.Ledger.Key, string(doc),
	}
	for _, h := range rec.Ledger.Events[0].Proof {
		quoted = append(quoted, h.String())
	}
	for _, q := range quoted {
		require.Contains(t, string(text), q)
	}
}
