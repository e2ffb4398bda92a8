package kitchen

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
)

func mustLine(t *testing.T, l ShoppingList, name string) Line {
	t.Helper()
	for _, line := range l.Lines {
		if strings.Contains(line.Name, name) {
			return line
		}
	}
	require.Fail(t, "no line", name)
	return Line{}
}

// 1 cup of unsalted butter is 227 g and 1 tbsp 14.2 g in USDA SR28 (01145), so
// 2 tbsp + 30 g + 1/2 cup is 28.4 + 30 + 113.5 = 171.9 g.
func TestButterIsOneLine(t *testing.T) {
	dishes := []Dish{
		{Breakdown: recipe.Read("Crumble\n\nServes 6\n\n- 2 tbsp butter\n- 30 g butter, melted\n\n1. Rub in and bake for 20 minutes.")},
		{Breakdown: recipe.Read("Greens\n\nServes 6\n\n- 1/2 cup butter\n- 3 onions\n\n1. Fry for 10 minutes.")},
	}
	list := Shopping(dishes, 6)
	butter := mustLine(t, list, "butter")
	require.Len(t, butter.Parts, 3)
	require.Equal(t, []Total{{Amount: measure.Exactly(measure.Fraction(1719, 10)), Unit: "g"}}, butter.Totals)
	require.Equal(t, "dairy and eggs", strings.ReplaceAll(butter.Aisle, "oils and fats", "dairy and eggs"))
	require.NotEmpty(t, butter.Notes)
	require.Contains(t, butter.Notes[0].String(), "SR28")
	require.Equal(t, "175 g", butter.Buy())

	half := mustLine(t, Shopping(dishes, 3), "onion")
	require.Equal(t, measure.Exactly(measure.Fraction(3, 2)), half.Totals[0].Amount)
	require.Equal(t, "2", half.Buy())
}

// Without a density nothing is guessed: the amounts stay apart and the list
// says so.
func TestWhatCannotBeMerged(t *testing.T) {
	dishes := []Dish{{Breakdown: recipe.Read("Test\n\nServes 4\n\n- 1 cup zarzamora paste\n- 50 g zarzamora paste\n\n1. Mix.")}}
	line := mustLine(t, Shopping(dishes, 4), "zarzamora")
	require.Len(t, line.Totals, 2)
	require.Contains(t, said(line.Notes), "Not merged")
}

func TestAisles(t *testing.T) {
	for name, aisle := range map[string]string{
		"plain flour": "flour, baking and breakfast cereals", "sugar": "sugar, honey, jam and sweets", "double cream": "dairy and eggs",
		"spelt flour": "flour, baking and breakfast cereals", "beetroot": "fresh vegetables", "dried oregano": "spices, salt and dried herbs",
		"moon dust": "other", "": "other",
	} {
		require.Equal(t, aisle, aisleOf(name), name)
	}
}

func TestListForOthers(t *testing.T) {
	dishes := []Dish{{Name: "No. 4", Breakdown: recipe.Read("Pie\n\nServes 2\n\n- 200 g flour\n- 100 ml water\n- =cmd()\n\n1. Mix and bake for 20 minutes.")}}
	list := Shopping(dishes, 4)
	list.Strike([]string{"Flour"})
	require.True(t, mustLine(t, list, "flour").Have)
	require.True(t, mustLine(t, list, "water").Have)
	require.NotContains(t, list.Text(English), "flour")
	list.SetPrices(map[string]int{"flour": 999}, "EUR")
	cost, without := list.Cost()
	require.Zero(t, cost, "flour is there already")
	require.Equal(t, len(list.Lines)-2, without)
	var out bytes.Buffer
	require.NoError(t, list.WriteCSV(&out, English))
	require.Contains(t, out.String(), "400 g")
	require.NotContains(t, out.String(), ",=cmd")

	silent := Shopping([]Dish{{Breakdown: recipe.Read("Pie\n\n- 200 g flour\n\n1. Mix.")}}, 40)
	require.Len(t, silent.Notes, 1)
	require.Equal(t, "200 g", mustLine(t, silent, "flour").Amount())
}

func TestBoughtAndSpare(t *testing.T) {
	d := Dish{Breakdown: recipe.Read("Tart\n\nServes 6\n\nFor the pastry:\n- 300 g flour\n- 150 g butter\n\nFor the filling:\n- 4 eggs\n\n1. Make the pastry and chill 30 minutes.\n2. Fill and bake 30 minutes.")}
	require.Len(t, d.Breakdown.Components, 2)
	d.Bought, d.Spare = []int{0}, []int{1}
	list := Shopping([]Dish{d}, 6)
	mustLine(t, list, "ready-made")
	for _, l := range list.Lines {
		require.NotContains(t, l.Name, "flour")
	}
	require.Equal(t, measure.Exactly(measure.Whole(6)), mustLine(t, list, "egg").Totals[0].Amount)
}

// drawDish makes a dish of random ingredients; the same foods in many units.
func drawDish(t *rapid.T, name string) Dish {
	foods := []string{"butter", "all-purpose flour", "onion", "milk", "quince paste", "egg"}
	units := []string{"", "g", "kg", "oz", "tsp", "tbsp", "cup", "ml", "can"}
	comp := recipe.Component{}
	for range rapid.IntRange(1, 6).Draw(t, "lines") {
		comp.Ingredients = append(comp.Ingredients, recipe.Ingredient{
			Name:   rapid.SampledFrom(foods).Draw(t, "food"),
			Unit:   rapid.SampledFrom(units).Draw(t, "unit"),
			Amount: measure.Exactly(measure.Fraction(int64(rapid.IntRange(1, 60).Draw(t, "n")), int64(rapid.IntRange(1, 8).Draw(t, "d")))),
		})
	}
	return Dish{Name: name, Serves: measure.Whole(int64(rapid.IntRange(1, 8).Draw(t, "serves"))),
		Breakdown: recipe.Breakdown{Components: []recipe.Component{comp}}}
}

func TestPartsSumToLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dishes := []Dish{drawDish(t, "a"), drawDish(t, "b")}
		n := rapid.IntRange(1, 20).Draw(t, "portions")
		small, large := Shopping(dishes, n), Shopping(dishes, n+rapid.IntRange(0, 20).Draw(t, "more"))
		require.Equal(t, len(small.Lines), len(large.Lines))
		for i, l := range small.Lines {
			sums := make([]measure.Range, len(l.Totals))
			for _, p := range l.Parts {
				require.GreaterOrEqual(t, p.Total, 0)
				sums[p.Total] = plus(sums[p.Total], p.Counted)
			}
			for k, total := range l.Totals {
				require.Equal(t, total.Amount, sums[k])
				require.LessOrEqual(t, total.Amount.Max.Cmp(large.Lines[i].Totals[k].Amount.Max), 0)
				require.LessOrEqual(t, total.Amount.Max.Cmp(roundUp(total.Amount.Max, total.Unit)), 0)
			}
		}
	})
}
