package kitchen

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
)

func TestAPriceListIsReadLineByLine(t *testing.T) {
	list, wrong := ReadPrices("butter 2.40 per 250 g\n\neggs: 3,20 per 10\nlemon 0.50 each\nmilk 1.10 per l\nsaffron, quite dear\nflour 1 per 2 wishes\nlemon 0.60 / piece")
	require.Equal(t, []int{6, 7}, wrong)
	require.Len(t, list.Prices, 5)
	require.Equal(t, Price{Food: "butter", Cost: measure.Fraction(12, 5), Amount: measure.Whole(250), Unit: "g"}, list.Prices[0])
	require.Equal(t, Price{Food: "eggs", Cost: measure.Fraction(16, 5), Amount: measure.Whole(10)}, list.Prices[1])
	require.Equal(t, measure.Fraction(3, 5), list.byFood[foodKey("lemon")].Cost, "the newest counts")
}

func TestARecipeCostsWhatItsIngredientsCost(t *testing.T) {
	list, wrong := ReadPrices("butter 2.40 per 250 g\negg 0.32\nmilk 1.10 per l\nflour 1.20 per kg\nlemon 0.50")
	require.Empty(t, wrong)
	b := recipe.Read("Batter\n\nServes 4\n\n50 g butter\n2 eggs\n1/2 l milk\n250 g flour\n1 pinch saffron\nsalt to taste\n\nMix everything and fry it.")
	c := list.CostOf(Dish{Breakdown: b})
	require.Equal(t, measure.Fraction(197, 100), c.Total, "0.48 + 0.64 + 0.55 + 0.30, whoever it serves")
	require.Equal(t, 4, c.Priced)
	require.Equal(t, []string{"saffron"}, c.Without)
	require.Len(t, PriceList{}.CostOf(Dish{Breakdown: b}).Without, 5, "an empty list knows none")
}

// A household measure is weighed where the price is by weight.
func TestACupIsPricedByItsWeight(t *testing.T) {
	list, _ := ReadPrices("butter 2.40 per 250 g")
	c := list.CostOf(Dish{Breakdown: recipe.Read("Butter\n\n1 cup butter\n\nMelt the butter.")})
	require.InDelta(t, 227*2.4/250, c.Total.Float(), .02, "a cup of butter weighs 227 g (USDA SR28)")
}
