package measure

import "strings"

var plurals = map[string]string{
	"cup": "cups", "pint": "pints", "quart": "quarts", "gallon": "gallons", "gill": "gills",
	"pinch": "pinches", "dash": "dashes", "splash": "splashes", "bunch": "bunches", "box": "boxes",
	"inch": "inches", "leaf": "leaves", "loaf": "loaves", "glass": "glasses", "wineglass": "wineglasses",
	"squeeze": "squeezes",
}

// unchanging units are written the same for one and for many.
var unchanging = map[string]bool{
	"g": true, "kg": true, "mg": true, "ml": true, "cl": true, "dl": true, "l": true, "tsp": true,
	"tbsp": true, "oz": true, "lb": true, "fl oz": true, "fl dr": true, "cm": true, "mm": true,
}

// Unit writes a unit's short form for an amount: "cup", "cups", "tbsp".
func Unit(short string, amount Range) string {
	if short == "" || unchanging[short] || amount.Max.Cmp(Whole(1)) <= 0 {
		return short
	}
	if p, ok := plurals[short]; ok {
		return p
	}
	if strings.HasSuffix(short, "s") {
		return short
	}
	return short + "s"
}

// Write writes an amount with its unit for a cook: "1 1/2 cups", "2-3 tbsp",
// "350 g". Metric amounts are written as decimals, the way a scale shows them.
func Write(amount Range, short string) string {
	if amount.IsZero() {
		return short
	}
	n := amount.String()
	switch short {
	case "g", "kg", "mg", "ml", "cl", "l":
		n = amount.Min.Decimal()
		if !amount.Single() {
			n += "-" + amount.Max.Decimal()
		}
	}
	if short == "" {
		return n
	}
	return n + " " + Unit(short, amount)
}
