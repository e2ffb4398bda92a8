package recipe

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestProseScore: the amounts in the sentences of old recipes become the list.
// prose.tsv holds each amount that such a text states, in order.
func TestProseScore(t *testing.T) {
	corpusFiles(t)
	want := map[string][]lineLabel{}
	var order []string
	for _, f := range table(t, "testdata/prose.tsv") {
		if want[f[0]] == nil {
			order = append(order, f[0])
		}
		rng, ok := parseRange(f[1])
		require.True(t, ok, f[1])
		want[f[0]] = append(want[f[0]], lineLabel{min: rng.Min, max: rng.Max, unit: f[2], name: f[3]})
	}
	var amount, all score
	given := 0
	for _, file := range order {
		got := Read(mustRead(t, corpusRoot+"/"+file)).Ingredients()
		for _, in := range got {
			if !in.Amount.IsZero() {
				given++
			}
		}
		for _, l := range want[file] {
			named, exact := false, false
			for _, in := range got {
				named = named || l.nameRight(in)
				exact = exact || l.nameRight(in) && l.amountRight(in)
			}
			amount.add(exact)
			all.add(named)
			if !exact && os.Getenv("SCORE") == "wrong" {
				t.Logf("%s: %v %q %q\n   got %s", file, l.min, l.unit, l.name, strings.Join(proseLines(got), "; "))
			}
		}
	}
	t.Logf("named %v, with the amount right %v; amounts given %d", all, amount, given)
	require.GreaterOrEqual(t, all.share(), 0.95)
	require.GreaterOrEqual(t, amount.share(), 0.95)
}

func proseLines(in []Ingredient) []string {
	var out []string
	for _, i := range in {
		out = append(out, i.Amount.String()+"|"+i.Unit+"|"+i.Name)
	}
	return out
}
