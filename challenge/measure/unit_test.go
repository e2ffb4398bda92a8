package measure

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Sizes as published: NIST SP 430 and Handbook 44 Appendix C (US customary), UCUM
// 2.1 codes in brackets, the UK Weights and Measures Act 1985 (imperial),
// 21 CFR 101.9 (US labelling), Australian cup and spoon sets. The figures were
// seen in the sources that units.tsv names beside each row.
func TestPublishedSizes(t *testing.T) {
	for _, c := range []struct {
		unit   string
		system System
		want   string
	}{
		{"gallon", USCustomary, "3785.411784"}, // [gal_us], 231 cubic inches
		{"quart", USCustomary, "946.352946"},   // [qt_us]
		{"pint", USCustomary, "473.176473"},    // [pt_us]
		{"cup", USCustomary, "236.5882365"},    // [cup_us]
		{"fl oz", USCustomary, "29.5735295625"},
		{"tbsp", USCustomary, "14.78676478125"},
		{"tsp", USCustomary, "4.92892159375"},
		{"gallon", Imperial, "4546.09"},
		{"pint", Imperial, "568.26125"},
		{"fl oz", Imperial, "28.4130625"},
		{"cup", USLabelling, "240"},
		{"tbsp", USLabelling, "15"},
		{"cup", Metric, "250"},
		{"tbsp", Australia, "20"},
		{"lb", USCustomary, "453.59237"},
		{"oz", Imperial, "28.349523125"},
		{"kg", Metric, "1000"},
	} {
		s, ok := SizeIn(c.unit, c.system)
		require.True(t, ok, c.unit)
		want, err := ParseNumber(c.want)
		require.NoError(t, err)
		require.Equal(t, want, s.Value, "%s %s", c.system, c.unit)
		require.NotEmpty(t, s.Source)
	}
}

// Relations by definition (NIST SP 430): 3 tsp = 1 tbsp, 2 tbsp = 1 fl oz,
// 8 fl oz = 1 cup, 2 cups = 1 pint, 2 pints = 1 quart, 4 quarts = 1 gallon,
// 16 oz = 1 lb; 231 cubic inches of 2.54 cm are a gallon.
func TestRelations(t *testing.T) {
	for _, c := range []struct {
		from, to string
		n        int64
	}{{"tbsp", "tsp", 3}, {"fl oz", "tbsp", 2}, {"cup", "fl oz", 8}, {"pint", "cup", 2}, {"quart", "pint", 2},
		{"gallon", "quart", 4}, {"lb", "oz", 16}, {"cup", "tbsp", 16}} {
		got, err := In(Whole(1), c.from, c.to, USCustomary)
		require.NoError(t, err)
		require.Equal(t, Whole(c.n), got, c.from)
	}
	inch := Fraction(254, 100)
	gallon, _ := SizeIn("gallon", USCustomary)
	require.Equal(t, gallon.Value, inch.Mul(inch).Mul(inch).Mul(Whole(231)))
}

func TestConversionKeepsKindsApart(t *testing.T) {
	_, err := In(Whole(1), "cup", "g", USCustomary)
	require.ErrorContains(t, err, "volume")
	_, err = In(Whole(1), "clove", "g", USCustomary)
	require.Error(t, err)
	_, ok := SizeIn("pint", Australia)
	require.False(t, ok, "a pint is not taken from another system silently")
}

// 350 F is 176.67 C and 180 C is 356 F (exact definition of the scales).
func TestTemperatures(t *testing.T) {
	require.Equal(t, Whole(356), Fahrenheit(Whole(180)))
	require.Equal(t, Whole(100), Celsius(Whole(212)))
	require.InDelta(t, 176.667, Celsius(Whole(350)).Float(), 0.001)
}

func TestWords(t *testing.T) {
	for word, want := range map[string]string{"tablespoons": "tbsp", "tsp": "tsp", "cups": "cup", "grams": "g", "lbs": "lb",
		"tin": "can", "cloves": "clove", "teaspoonful": "tsp", "litre": "l"} {
		got, ok := Word(word)
		require.True(t, ok)
		require.Equal(t, want, got)
	}
	_, ok := Word("flour")
	require.False(t, ok)
}
