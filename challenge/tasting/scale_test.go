package tasting_test

import (
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/tasting"
)

var fourCriteria = []tasting.Criterion{
	{Key: "taste", Name: "Taste", Weight: 4, Scale: tasting.Halves()},
	{Key: "look", Name: "Look", Weight: 2, Scale: tasting.Halves()},
	{Key: "idea", Name: "Idea", Weight: 2, Scale: tasting.Hedonic9()},
	{Key: "clear", Name: "Clear recipe", Weight: 1, Scale: tasting.Halves()},
}

// hall is judges who scored every one of n plates.
func hall(judges, n int) ([]int64, []tasting.Sheet) {
	random := rand.New(rand.NewPCG(1, 2))
	var sheets []tasting.Sheet
	for p := range n {
		for j := range judges {
			sheets = append(sheets, tasting.Sheet{Judge: int64(j), Plate: int64(101 + p), Scores: map[string]tasting.Points{
				"taste": tasting.Points(50 * random.IntN(21)), "look": tasting.Points(50 * random.IntN(21)),
				"idea": tasting.Points(100 + 100*random.IntN(9)), "clear": tasting.Points(50 * random.IntN(21))}})
		}
	}
	return plates(n), sheets
}

func scaleRule(kind tasting.Kind) tasting.Rule {
	return rule(kind, tasting.OnCriterion("taste"), tasting.HeadToHead, tasting.LowestVariance, tasting.Draw)
}

func BenchmarkFiftyJudgesTenThousandPlates(b *testing.B) {
	ids, sheets := hall(50, 10_000)
	for _, kind := range tasting.Kinds() {
		b.Run(string(kind), func(b *testing.B) {
			for b.Loop() {
				mustTally(b, scaleRule(kind), fourCriteria, ids, sheets)
			}
		})
	}
}

// The promise is 50 judges and 10,000 plates within a second, by any rule; see
// the note on timings at the same test of package ballot.
// FAIRLADLE_SCALE=1 go test ./challenge/tasting -run Scale -v
func TestScale(t *testing.T) {
	if os.Getenv("FAIRLADLE_SCALE") == "" {
		t.Skip("set FAIRLADLE_SCALE=1 to time this")
	}
	ids, sheets := hall(50, 10_000)
	for _, kind := range tasting.Kinds() {
		start := time.Now()
		v := mustTally(t, scaleRule(kind), fourCriteria, ids, sheets)
		took := time.Since(start)
		t.Logf("%s: %v", kind, took)
		require.Equal(t, 500_000, v.Sheets)
		require.Less(t, took, time.Second, kind)
	}
	start := time.Now()
	c := mustExplain(t, scaleRule(tasting.WeightedMean), fourCriteria, ids, sheets)
	t.Logf("explain: %v", time.Since(start))
	require.True(t, c.Untold)
	require.Equal(t, 8, c.Runs, "fewer resamples, and said so")
	require.Less(t, time.Since(start), 10*time.Second)
}

// A usual evening: the details page must not make the host wait.
func BenchmarkExplainTwelvePlates(b *testing.B) {
	ids, sheets := hall(20, 12)
	for b.Loop() {
		mustExplain(b, scaleRule(tasting.WeightedMean), fourCriteria, ids, sheets)
	}
}
