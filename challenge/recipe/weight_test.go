package recipe

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Weights of USDA SR28 (2015): 20081 all-purpose flour 125 g a cup, 19334 brown
// sugar 220 g packed and 145 g unpacked, 01001 butter 14.2 g a tablespoon, 19296
// honey 339 g a cup.
func TestWeightOfAVolume(t *testing.T) {
	weigh := func(line string) string {
		in := Read("# Cake\n\n## Ingredients\n\n- " + line + "\n").Ingredients()[0]
		w, ok := Scaled{Ingredient: in}.Weight()
		if !ok {
			return ""
		}
		require.NotEmpty(t, w.Source, line)
		if w.Nearest {
			return Grams(w) + " nearest"
		}
		return Grams(w)
	}
	require.Equal(t, "125 g", weigh("1 cup all-purpose flour"))
	require.Equal(t, "220 g", weigh("1 cup brown sugar, packed"))
	require.Equal(t, "14 g", weigh("1 tbsp butter"))
	require.Equal(t, "340 g", weigh("1 cup honey"), "339 g to what a scale shows")
	require.Empty(t, weigh("1 cup water"), "a jug measures it")
	require.Empty(t, weigh("1 cup whole milk"), "a jug measures it")
	require.Empty(t, weigh("1 cup moon dust"), "nothing is guessed")
	require.Empty(t, weigh("100 g flour"), "it is a weight already")
	require.Empty(t, weigh("2 eggs"))
}
