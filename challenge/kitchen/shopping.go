package kitchen

import (
	"slices"
	"strings"

	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// ShoppingList is everything to buy for several dishes, merged, in the order of
// aisles and names.
type ShoppingList struct {
	Portions int
	Lines    []Line
	Notes    []wording.Sentence // what holds for a whole dish
	Currency string             // of the prices, as the host writes it
}

// Line is one thing to buy.
type Line struct {
	Name  string
	Aisle string
	// Totals are the amounts; more than one where they could not be merged, and
	// then Notes says so. None where no recipe gives an amount.
	Totals   []Total
	Parts    []Part
	Notes    []wording.Sentence // conversions with their source, what could not be merged
	Optional bool               // in every recipe that asks for it
	Have     bool               // in the pantry, or from the tap: struck out
	Price    int                // in hundredths of the list's currency; 0 where the host says none
}

// Total is a sum in one unit, exact.
type Total struct {
	Amount measure.Range
	Unit   string
	Pack   string // what one piece holds, where the recipe says: "400 ml"
}

// Part is what one ingredient line asks for, already scaled to the portions.
type Part struct {
	Dish, Component string
	Text            string // as written, for the recipe's own portions
	Name            string
	Amount          measure.Range
	Unit            string
	Size            string // "large"
	Pack            string
	Preparation     string
	Optional        bool
	// Total is the index in Line.Totals of the sum that holds it, -1 where it
	// has no amount; Counted is its share in that sum's unit.
	Total   int
	Counted measure.Range
}

// Shopping merges the ingredients of all dishes for the portions. A factor is
// applied to what each recipe serves; nothing is rounded.
func Shopping(dishes []Dish, portions int) ShoppingList {
	list := ShoppingList{Portions: portions}
	byFood := map[string]*Line{}
	var order []string
	for _, d := range dishes {
		factor, note := d.factor(portions)
		if !note.IsZero() {
			list.Notes = append(list.Notes, note)
		}
		for _, p := range d.parts(factor) {
			key := foodKey(p.Name)
			line := byFood[key]
			if line == nil {
				line = &Line{Name: p.Name, Aisle: aisleOf(p.Name), Have: fromTap(key), Optional: true}
				byFood[key] = line
				order = append(order, key)
			}
			line.Optional = line.Optional && p.Optional
			line.Parts = append(line.Parts, p)
		}
	}
	for _, key := range order {
		byFood[key].merge()
		list.Lines = append(list.Lines, *byFood[key])
	}
	slices.SortStableFunc(list.Lines, func(a, b Line) int {
		if c := strings.Compare(a.Aisle, b.Aisle); c != 0 {
			return c
		}
		return strings.Compare(a.Name, b.Name)
	})
	return list
}

// factor is what the recipe's amounts are multiplied by.
func (d Dish) factor(portions int) (measure.Number, wording.Sentence) {
	serves := d.Serves
	if serves.Sign() <= 0 {
		serves = d.Breakdown.Yield.Servings.Mid()
	}
	if serves.Sign() <= 0 {
		if y := d.Breakdown.Yield.Text; y != "" {
			return measure.Whole(1), wording.Of("%v does not say how many it serves (“%v”): its amounts are as written.", d.Title(), y)
		}
		return measure.Whole(1), wording.Of("%v does not say how many it serves: its amounts are as written.", d.Title())
	}
	return measure.Whole(int64(max(0, portions))).Div(serves), wording.Sentence{}
}

// parts lists the dish's ingredient lines, scaled.
func (d Dish) parts(factor measure.Number) []Part {
	var parts []Part
	for c, comp := range d.Breakdown.Components {
		by := factor
		if slices.Contains(d.Spare, c) {
			by = by.Mul(measure.Fraction(3, 2))
		}
		if slices.Contains(d.Bought, c) {
			parts = append(parts, Part{Dish: d.Title(), Component: comp.Name, Text: "bought ready-made", Total: -1,
				Name: boughtName(d, comp)})
			continue
		}
		for _, in := range comp.Ingredients {
			parts = append(parts, d.split(comp.Name, in, by)...)
		}
	}
	return parts
}

func boughtName(d Dish, c recipe.Component) string {
	if c.Name != "" {
		return c.Name + " (ready-made)"
	}
	return d.Title() + " (ready-made)"
}

// split makes one part of an ingredient, or several where it adds amounts up
// ("1 cup plus 2 tbsp").
func (d Dish) split(component string, in recipe.Ingredient, by measure.Number) []Part {
	p := Part{Dish: d.Title(), Component: component, Text: in.Text, Name: in.Name, Amount: in.Amount.Times(by),
		Unit: in.Unit, Size: in.Size, Preparation: in.Preparation, Optional: in.Optional, Total: -1}
	if p.Name == "" {
		p.Name = in.Text
	}
	if in.Pack != nil {
		p.Pack = measure.Write(in.Pack.Amount, in.Pack.Unit)
	}
	parts := []Part{p}
	for _, also := range in.Also {
		if also.Plus {
			q := p
			q.Amount, q.Unit, q.Pack = also.Amount.Times(by), also.Unit, ""
			parts = append(parts, q)
		}
	}
	return parts
}

// tap lists what comes from the tap or the pot, as stems.
var tap = []string{"water", "cold water", "warm water", "hot water", "boiling water", "ice water", "iced water",
	"lukewarm water", "tap water", "ice cold water", "cooking water", "pasta water"}

func fromTap(key string) bool {
	return slices.ContainsFunc(tap, func(n string) bool { return stemKey(n) == key })
}

// Strike marks what is in the pantry already, by name.
func (l *ShoppingList) Strike(have []string) {
	for i := range l.Lines {
		for _, h := range have {
			if foodKey(h) == foodKey(l.Lines[i].Name) {
				l.Lines[i].Have = true
			}
		}
	}
}
