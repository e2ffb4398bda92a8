package recipe

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/measure"
)

// The lines of own_lines.tsv are in our own words, so this score runs
// everywhere. SCORE=wrong lists what is wrong.
func TestOwnLines(t *testing.T) {
	var amount, name, prep score
	for _, f := range table(t, "testdata/own_lines.tsv") {
		got := Read("# Test\n\n## Ingredients\n\n- " + strings.TrimPrefix(f[0], "• ") + "\n").Ingredients()
		require.Len(t, got, 1, f[0])
		in := got[0]
		l := lineLabel{none: f[1] == "", unit: f[3], name: f[4]}
		if !l.none {
			var err error
			l.min, err = measure.ParseNumber(f[1])
			require.NoError(t, err)
			l.max, err = measure.ParseNumber(f[2])
			require.NoError(t, err)
		}
		a, n := l.amountRight(in), l.nameRight(in)
		p := f[5] == "" || in.Preparation == f[5]
		amount.add(a)
		name.add(n)
		prep.add(p)
		if os.Getenv("SCORE") == "wrong" && !(a && n && p) {
			t.Logf("%q\n   got %v | %s | %s | %s  note %q", f[0], in.Amount, in.Unit, in.Name, in.Preparation, in.Note)
		}
	}
	require.GreaterOrEqual(t, amount.share(), 0.99)
	require.GreaterOrEqual(t, name.share(), 0.98)
	require.GreaterOrEqual(t, prep.share(), 0.98)
	t.Logf("amount and unit %v, name %v, preparation %v", amount, name, prep)
}
