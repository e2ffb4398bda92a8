package kitchen

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"fairladle/challenge/measure"
	"fairladle/challenge/wording"
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

// A Speaker says a sentence in some language; English is one.
type Speaker func(wording.Sentence) string

// English says sentences as they are written.
func English(s wording.Sentence) string { return s.String() }

// Text writes the list for a message: one line a thing, aisle by aisle.
func (l ShoppingList) Text(say Speaker) string {
	var b strings.Builder
	fmt.Fprintln(&b, say(wording.Count(l.Portions, "Shopping for one portion", "Shopping for %v portions")))
	aisle := ""
	for _, line := range l.Lines {
		if line.Have {
			continue
		}
		if line.Aisle != aisle {
			aisle = line.Aisle
			fmt.Fprintf(&b, "\n%s\n", wording.Capital(say(wording.Sentence{Text: aisle})))
		}
		fmt.Fprintf(&b, "- %s\n", strings.TrimSpace(line.Buy()+" "+line.Name)+line.inShop()+l.priced(line))
	}
	if total, without := l.Cost(); total > 0 {
		fmt.Fprintf(&b, "\n%s", say(wording.Of("In all: %v.", l.money(total))))
		if without > 0 {
			fmt.Fprintf(&b, " %s", say(wording.Count(without, "One line has no price.", "%v lines have no price.")))
		}
		b.WriteString("\n")
	}
	for _, n := range l.Notes {
		fmt.Fprintf(&b, "\n%s\n", say(n))
	}
	return b.String()
}

// inShop is the pack behind an amount: " (1 × 250 g)".
func (l Line) inShop() string {
	if p, ok := l.Purchase(); ok {
		return " (" + p.String() + ")"
	}
	return ""
}

func (l ShoppingList) priced(line Line) string {
	if line.Price == 0 {
		return ""
	}
	return ", " + l.money(line.Price)
}

// WriteCSV writes a row of headings and one row a thing: what, how much of it,
// for which dishes, and what the host has said of it.
func (l ShoppingList) WriteCSV(w io.Writer, say Speaker) error {
	out := csv.NewWriter(w)
	var head []string
	for _, s := range []wording.Sentence{wording.Of("aisle"), wording.Of("name"), wording.Of("needed"), wording.Of("buy"), wording.Of("packs"),
		wording.Of("for"), wording.Of("notes"), wording.Of("have"), wording.Of("price"), wording.Of("currency")} {
		head = append(head, say(s))
	}
	if err := out.Write(head); err != nil {
		return fmt.Errorf("kitchen: shopping list: %w", err)
	}
	for _, line := range l.Lines {
		if err := out.Write(l.record(line, say)); err != nil {
			return fmt.Errorf("kitchen: shopping list: %w", err)
		}
	}
	out.Flush()
	return out.Error()
}

func (l ShoppingList) record(line Line, say Speaker) []string {
	var notes []string
	for _, n := range line.Notes {
		notes = append(notes, say(n))
	}
	have, packs, price, currency := "", "", "", ""
	if line.Have {
		have = say(wording.Of("yes"))
	}
	if p, ok := line.Purchase(); ok {
		packs = p.String()
	}
	if line.Price > 0 {
		price, currency = Money(line.Price), l.Currency
	}
	return []string{say(wording.Sentence{Text: line.Aisle}), plain(line.Name), line.Amount(), line.Buy(), packs,
		plain(Shares(line.Parts, say)), plain(strings.Join(notes, " ")), have, price, plain(currency)}
}

// plain keeps a spreadsheet from reading a stranger's text as a formula.
func plain(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// Written writes a part for a cook: "2 tbsp, melted (Dough)".
func (p Part) Written(say Speaker) string {
	s := measure.Write(p.Amount, p.Unit)
	if p.Amount.IsZero() {
		s = say(wording.Of("some"))
	}
	if p.Preparation != "" {
		s += ", " + p.Preparation
	}
	if p.Component != "" {
		s += " (" + p.Component + ")"
	}
	return s
}

// Shares writes parts with the dish that each is for: "Tart: 200 g; Soup: 50 g".
func Shares(parts []Part, say Speaker) string {
	var out []string
	for _, p := range parts {
		out = append(out, strings.TrimSpace(p.Dish+": "+p.Written(say)))
	}
	return strings.Join(out, "; ")
}

// SetPrices notes what the host says that things cost, by the names of the
// lines, in hundredths of the currency.
func (l *ShoppingList) SetPrices(prices map[string]int, currency string) {
	l.Currency = currency
	for i := range l.Lines {
		l.Lines[i].Price = prices[l.Lines[i].Name]
	}
}

// Cost adds up the prices of what is still to be bought; without is how many
// lines of it have none.
func (l ShoppingList) Cost() (total, without int) {
	for _, line := range l.Lines {
		if line.Have {
			continue
		}
		if line.Price == 0 {
			without++
		}
		total += line.Price
	}
	return total, without
}

// Money writes hundredths.
func Money(hundredths int) string { return fmt.Sprintf("%d.%02d", hundredths/100, hundredths%100) }

func (l ShoppingList) money(hundredths int) string {
	return strings.TrimSpace(Money(hundredths) + " " + l.Currency)
}
