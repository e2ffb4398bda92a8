package recipe

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// allergens.tsv holds ingredients with what they hold by their nature; what
// stands under "either" depends on where one lives or what one buys.
func TestAllergensOfIngredients(t *testing.T) {
	for _, f := range table(t, "testdata/allergens.tsv") {
		want, either := strings.Split(f[1], ","), strings.Split(f[2], ",")
		var sure []string
		for _, a := range Read("# Dish\n\n## Ingredients\n\n- 100 g " + f[0] + "\n").Allergens {
			if a.Level == "sure" && a.Name != "gluten" {
				sure = append(sure, a.Name)
			}
		}
		for _, w := range want {
			require.True(t, w == "" || slices.Contains(sure, w), "%s: %s is missing", f[0], w)
		}
		for _, g := range sure {
			require.True(t, slices.Contains(want, g) || slices.Contains(either, g), "%s: wrongly %s", f[0], g)
		}
	}
}
