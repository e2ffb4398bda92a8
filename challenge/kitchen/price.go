package kitchen

import (
	"regexp"
	"slices"
	"strings"

	"fairladle/challenge/measure"
)

// A Price is what an amount of a food costs, in the host's currency.
type Price struct {
	Food   string // as typed
	Cost   measure.Number
	Amount measure.Number
	Unit   string // short form, empty for pieces
}

// A PriceList holds the newest price of each food.
type PriceList struct {
	Prices []Price
	byFood map[string]Price
}

// MostPrices bounds the lines of a price list.
const MostPrices = 2000

// "butter 2.40 per 250 g", "eggs: 3,20 per 10", "lemon 0.50"
var priceLine = regexp.MustCompile(`^(.+?)[\s:=]+(\d+(?:[.,]\d{1,4})?)(?:\s*(?:per|for|je|pro|/)\s*(?:(\d+(?:[.,]\d+)?)\s*)?([\pL]*))?$`)

// ReadPrices reads a list of one food a line, "butter 2.40 per 250 g". A line
// that cannot be read is returned by its number, from 1; blank lines are none.
func ReadPrices(text string) (list PriceList, wrong []int) {
	list.byFood = map[string]Price{}
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		p, ok := readPrice(line)
		if !ok || len(list.Prices) >= MostPrices {
			wrong = append(wrong, n)
			continue
		}
		list.Prices = append(list.Prices, p)
		list.byFood[foodKey(p.Food)] = p
	}
	return list, wrong
}

func readPrice(line string) (Price, bool) {
	m := priceLine.FindStringSubmatch(strings.TrimSuffix(line, " each"))
	if m == nil {
		return Price{}, false
	}
	p := Price{Food: strings.TrimSpace(m[1]), Amount: measure.Whole(1)}
	var err error
	if p.Cost, err = measure.ParseNumber(strings.ReplaceAll(m[2], ",", ".")); err != nil {
		return p, false
	}
	if m[3] != "" {
		if p.Amount, err = measure.ParseNumber(strings.ReplaceAll(m[3], ",", ".")); err != nil || p.Amount.Sign() <= 0 {
			return p, false
		}
	}
	unit := strings.ToLower(m[4])
	if slices.Contains([]string{"", "piece", "pieces"}, unit) {
		return p, true
	}
	short, known := measure.Word(unit)
	if !known {
		short = unit
	}
	p.Unit = short
	return p, known || len(measure.Sizes(short)) > 0
}

// A Cost is what the ingredients of a recipe cost, as far as the list knows.
type Cost struct {
	Total   measure.Number
	Priced  int      // ingredients with a price
	Without []string // ingredients with an amount that have none, or none for this measure
}

// CostOf adds up the ingredients of a dish in the amounts as written; what is
// in the house, and what has no amount, is left out.
func (l PriceList) CostOf(d Dish) Cost {
	var c Cost
	d.Serves = measure.Whole(1)
	for _, line := range Shopping([]Dish{d}, 1).Lines {
		if line.Have {
			continue
		}
		sum, amounts, ok := measure.Number{}, 0, true
		for _, p := range line.Parts {
			if p.Amount.IsZero() {
				continue
			}
			amounts++
			cost, known := l.cost(p)
			ok = ok && known
			sum = sum.Add(cost)
		}
		switch {
		case amounts == 0:
		case ok:
			c.Priced++
			c.Total = c.Total.Add(sum)
		default:
			c.Without = append(c.Without, line.Name)
		}
	}
	return c
}

// cost is what one part costs; ok is false where the list does not say.
func (l PriceList) cost(p Part) (cost measure.Number, ok bool) {
	price, known := l.byFood[foodKey(p.Name)]
	if !known {
		return cost, false
	}
	per, ok := ratio(p, price.Unit)
	return p.Amount.Mid().Mul(per).Div(price.Amount).Mul(price.Cost), ok
}

// ratio is how many of another unit one unit of a part is: in one measure, or
// by weight.
func ratio(p Part, to string) (measure.Number, bool) {
	if p.Unit == to {
		return measure.Whole(1), true
	}
	if from, kind := measure.KindOf(p.Unit), measure.KindOf(to); from == kind && (kind == measure.Mass || kind == measure.Volume) {
		return convert(p.Unit, to)
	}
	here, ok := inGrams(p)
	there, too := inGrams(Part{Name: p.Name, Unit: to})
	if !ok || !too || there.IsZero() {
		return measure.Number{}, false
	}
	return here.Div(there), true
}

func inGrams(p Part) (measure.Number, bool) {
	l := Line{Parts: []Part{p}}
	per, _, ok := l.grams(0)
	return per, ok
}
