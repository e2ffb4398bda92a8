package kitchen

import (
	"fmt"
	"strings"
	"sync"

	"fairladle/challenge/measure"
	"fairladle/challenge/pantry"
)

// pack is a size in which shops sell a food: a row of pantry's table.
type pack struct {
	amount measure.Number
	unit   string // "g"; empty for pieces
}

var packs = sync.OnceValue(func() map[string]pack {
	list := map[string]pack{}
	for _, r := range pantry.Rows("packs") {
		n, err := measure.ParseNumber(r[1])
		if err == nil {
			list[stemKey(r[0])] = pack{n, r[2]}
		}
	}
	return list
})

// packOf finds the pack of a food: by its whole name, else by its last words
// ("cold unsalted butter" is sold as butter is).
func packOf(name string) (pack, bool) {
	s := stems(name)
	for from := range s {
		if p, ok := packs()[strings.Join(s[from:], " ")]; ok {
			return p, true
		}
	}
	return pack{}, false
}

// A Purchase is how many packs of a line are bought: enough for what is needed.
type Purchase struct {
	Packs  int
	Of     string // "250 g"; empty where a pack is counted in pieces
	Pieces int    // in one pack: 6 eggs
}

// String writes it for a shop in any language: "2 × 250 g".
func (p Purchase) String() string {
	if p.Of == "" {
		return fmt.Sprintf("%d × %d", p.Packs, p.Pieces)
	}
	return fmt.Sprintf("%d × %s", p.Packs, p.Of)
}

// Purchase says how a line is bought, where its food is sold in packs of a usual
// size (common practice, no source) and all that is needed of it can be counted
// in them. Loose weights and pieces are bought as Buy writes them.
func (l Line) Purchase() (Purchase, bool) {
	p, ok := packOf(l.Name)
	if !ok || len(l.Totals) == 0 {
		return Purchase{}, false
	}
	sum := measure.Number{}
	for k, t := range l.Totals {
		per, ok := l.inPacks(k, t, p)
		if !ok {
			return Purchase{}, false
		}
		sum = sum.Add(t.Amount.Max.Mul(per))
	}
	n := roundUp(sum.Div(p.amount), "")
	out := Purchase{Packs: max(1, int(n.Num()/n.Den()))}
	if p.unit == "" {
		out.Pieces = int(p.amount.Num() / p.amount.Den())
	} else {
		out.Of = measure.Write(measure.Exactly(p.amount), p.unit)
	}
	return out, true
}

// inPacks is what one unit of a total is in the unit of a pack. Pinches and what
// has no measure of its own count as nothing: one pack holds them.
func (l Line) inPacks(k int, t Total, p pack) (measure.Number, bool) {
	if t.Pack != "" {
		return measure.Number{}, false
	}
	if p.unit == "" {
		return measure.Whole(1), t.Unit == ""
	}
	if per, ok := convert(t.Unit, p.unit); ok && t.Unit != "" {
		return per, true
	}
	grams, _, ok := perUnit(Part{Name: l.Name, Unit: t.Unit, Size: l.sizeOf(k)})
	switch {
	case ok && p.unit == "g":
		return grams, true
	case ok && p.unit == "ml" && measure.KindOf(t.Unit) == measure.Mass:
		return measure.Number{}, false
	case t.Unit == "pinch" || t.Unit == "dash" || measure.KindOf(t.Unit) == measure.Volume && spoonful(t):
		return measure.Number{}, true
	}
	return measure.Number{}, false
}

// spoonful tells whether a volume is so small that one pack surely holds it.
func spoonful(t Total) bool {
	per, ok := convert(t.Unit, "ml")
	return ok && t.Amount.Max.Mul(per).Cmp(measure.Whole(50)) <= 0
}

// sizeOf is the size of the pieces that a total counts ("large").
func (l Line) sizeOf(k int) string {
	for _, p := range l.Parts {
		if p.Total == k {
			return p.Size
		}
	}
	return ""
}
