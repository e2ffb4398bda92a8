package kitchen

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"fairladle/challenge/measure"
)

// Amount writes what to buy, or "" where no recipe gives an amount.
func (l Line) Amount() string {
	var sums []string
	for _, t := range l.Totals {
		sums = append(sums, t.String())
	}
	return strings.Join(sums, " + ")
}

// Buy writes an amount that can be asked for in a shop: whole pieces, and
// weights and volumes rounded up to a step of about a tenth. Never less than
// what is needed.
func (l Line) Buy() string {
	var sums []string
	for _, t := range l.Totals {
		t.Amount = measure.Exactly(roundUp(t.Amount.Max, t.Unit))
		sums = append(sums, t.String())
	}
	return strings.Join(sums, " + ")
}

// steps are the sizes to round up to, by unit; other units go to whole pieces.
func roundUp(n measure.Number, unit string) measure.Number {
	step := measure.Whole(1)
	switch unit {
	case "g", "ml":
		step = metricStep(n)
	case "cup", "lb", "kg", "l", "pint", "quart", "gallon":
		step = measure.Fraction(1, 4)
	case "tsp", "tbsp", "oz", "fl oz":
		step = measure.Fraction(1, 2)
	}
	times := n.Div(step)
	if !times.IsWhole() {
		times = measure.Whole(times.Num()/times.Den() + 1)
	}
	return times.Mul(step)
}

func metricStep(n measure.Number) measure.Number {
	for _, s := range []int64{5, 10, 25, 50} {
		if n.Cmp(measure.Whole(s*10)) <= 0 {
			return measure.Whole(s)
		}
	}
	return measure.Whole(100)
}

// Text writes the list for a message: one line a thing, aisle by aisle.
func (l ShoppingList) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Shopping for %d portions\n", l.Portions)
	aisle := ""
	for _, line := range l.Lines {
		if line.Have {
			continue
		}
		if line.Aisle != aisle {
			aisle = line.Aisle
			fmt.Fprintf(&b, "\n%s\n", strings.ToUpper(aisle[:1])+aisle[1:])
		}
		fmt.Fprintf(&b, "- %s%s\n", strings.TrimSpace(line.Buy()+" "+line.Name), line.inShop())
	}
	for _, n := range l.Notes {
		fmt.Fprintf(&b, "\n%s\n", n)
	}
	return b.String()
}

// inShop is the pack behind an amount: " (1 pack of 250 g)".
func (l Line) inShop() string {
	if p, ok := l.Purchase(); ok {
		return " (" + p.String() + ")"
	}
	return ""
}

// WriteCSV writes one row a thing: aisle, name, amount needed, amount to buy,
// packs, parts, notes, in the pantry.
func (l ShoppingList) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"aisle", "name", "needed", "buy", "packs", "for", "notes", "have"}}
	for _, line := range l.Lines {
		var parts []string
		for _, p := range line.Parts {
			parts = append(parts, strings.TrimSpace(p.Dish+": "+p.Written()))
		}
		have := ""
		if line.Have {
			have = "yes"
		}
		var notes []string
		for _, n := range line.Notes {
			notes = append(notes, n.String())
		}
		packs := ""
		if p, ok := line.Purchase(); ok {
			packs = p.String()
		}
		rows = append(rows, []string{line.Aisle, plain(line.Name), line.Amount(), line.Buy(), packs,
			plain(strings.Join(parts, "; ")), plain(strings.Join(notes, " ")), have})
	}
	for _, r := range rows {
		if err := out.Write(r); err != nil {
			return fmt.Errorf("kitchen: shopping list: %w", err)
		}
	}
	out.Flush()
	return out.Error()
}

// plain keeps a spreadsheet from reading a stranger's text as a formula.
func plain(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// Written writes a part for a cook: "2 tbsp, melted (Dough)".
func (p Part) Written() string {
	s := measure.Write(p.Amount, p.Unit)
	if p.Amount.IsZero() {
		s = "some"
	}
	if p.Preparation != "" {
		s += ", " + p.Preparation
	}
	if p.Component != "" {
		s += " (" + p.Component + ")"
	}
	return s
}

// Cost adds up what the list costs at the host's prices, by the names of the
// lines and in the smallest unit of the currency, for what is still to be
// bought; unpriced lists the names without a price.
func (l ShoppingList) Cost(prices map[string]int64) (total int64, unpriced []string) {
	for _, line := range l.Lines {
		if line.Have {
			continue
		}
		price, ok := prices[line.Name]
		if !ok {
			unpriced = append(unpriced, line.Name)
		}
		total += price
	}
	return total, unpriced
}
