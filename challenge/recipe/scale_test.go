package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/measure"
)

func TestScale(t *testing.T) {
	for _, c := range []struct {
		line   string
		num    int64
		den    int64
		want   string
		approx bool
	}{
		{"2 tbsp oil", 7, 6, "2 tbsp + 1 tsp", false},
		{"1 cup flour", 3, 2, "1 1/2 cups", false},
		{"1 cup flour", 2, 3, "2/3 cup", false},
		{"1/2 cup sugar", 3, 4, "1/3 cup + 2 tsp", false},
		{"1 tsp salt", 1, 2, "1/2 tsp", false},
		{"1 tsp salt", 1, 3, "1/4 tsp + 1/8 tsp", true},
		{"2 tsp salt", 3, 1, "2 tbsp", false},
		{"3 eggs", 1, 2, "1 + 25 g beaten egg", true},
		{"2 egg yolks", 1, 4, "8.5 g beaten egg yolk", true},
		{"4 eggs", 1, 2, "2", false},
		{"500 g beef", 2, 3, "335 g", true},
		{"2-3 onions", 2, 1, "4 to 6", false},
		{"3 onions", 1, 2, "1 1/2", false},
		{"salt to taste", 2, 1, "", false},
		{"1 can beans", 3, 1, "3 cans", false},
	} {
		in := Read("## Ingredients\n\n- " + c.line + "\n").Ingredients()
		require.Len(t, in, 1, c.line)
		s := in[0].Scale(measure.Fraction(c.num, c.den))
		require.Equal(t, c.want, s.Text, c.line)
		require.Equal(t, c.approx, s.Rounded, c.line)
	}
}

func TestFactorForServings(t *testing.T) {
	b := Read("# Soup\n\nServes 4-6\n\n## Ingredients\n\n- 1 l stock\n")
	f, err := b.FactorFor(measure.Whole(10))
	require.NoError(t, err)
	require.Equal(t, measure.Whole(2), f)
	_, err = Read("# Soup\n\n- 1 l stock\n").FactorFor(measure.Whole(10))
	require.ErrorIs(t, err, ErrNoServings)
}

// The spoons add up to what was asked for, to 1/8 tsp.
func TestSpoonsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := measure.Fraction(rapid.Int64Range(1, 500).Draw(t, "n"), rapid.Int64Range(1, 24).Draw(t, "d"))
		unit := rapid.SampledFrom([]string{"tsp", "tbsp", "cup"}).Draw(t, "unit")
		parts, exact := measure.Spoons(n, unit)
		sum := measure.Number{}
		for _, p := range parts {
			tsp, err := measure.In(p.Amount, p.Unit, "tsp", measure.USCustomary)
			require.NoError(t, err)
			sum = sum.Add(tsp)
		}
		want, err := measure.In(n, unit, "tsp", measure.USCustomary)
		require.NoError(t, err)
		diff := sum.Sub(want).Float()
		require.LessOrEqual(t, diff*diff, 0.0626*0.0626)
		if exact {
			require.Equal(t, want, sum)
		}
	})
}
