package kitchen

import (
	"slices"

	"fairladle/challenge/measure"
	"fairladle/challenge/wording"
)

// merge adds up the parts of a line. Amounts of one kind are added exactly in
// one unit; a volume or a piece joins weights only by the food's own measures,
// which the notes name; what has no such measure stays a total of its own.
func (l *Line) merge() {
	type group struct {
		class string
		parts []int
	}
	var groups []group
	for i, p := range l.Parts {
		if p.Amount.IsZero() {
			continue
		}
		class := classOf(p)
		k := slices.IndexFunc(groups, func(g group) bool { return g.class == class })
		if k < 0 {
			groups = append(groups, group{class: class})
			k = len(groups) - 1
		}
		groups[k].parts = append(groups[k].parts, i)
	}
	var weighed []int
	if len(groups) > 1 {
		groups = slices.DeleteFunc(groups, func(g group) bool {
			ok := !slices.ContainsFunc(g.parts, func(i int) bool { _, _, ok := l.grams(i); return !ok })
			if ok {
				weighed = append(weighed, g.parts...)
			}
			return ok
		})
	}
	slices.Sort(weighed)
	l.weigh(weighed)
	for _, g := range groups {
		l.addUp(g.class, g.parts)
	}
	l.explain()
}

// classOf says which amounts can be added without knowing the food.
func classOf(p Part) string {
	switch kind := measure.KindOf(p.Unit); {
	case p.Pack != "":
		return "pack " + p.Unit + " " + p.Pack
	case kind == measure.Mass:
		return "mass"
	case kind == measure.Volume && sized(p.Unit):
		return "volume"
	}
	return "count " + p.Unit
}

// sized tells whether a unit can be turned into millilitres (a pinch cannot,
// where sources disagree).
func sized(unit string) bool {
	_, ok := sizeOf(unit)
	return ok
}

// sizeOf gives a unit's size in ml or g: the US one where systems differ, never
// the rounded one of nutrition labels where there is another.
func sizeOf(unit string) (measure.Size, bool) {
	if s, ok := measure.SizeIn(unit, measure.USCustomary); ok {
		return s, true
	}
	sizes := measure.Sizes(unit)
	i := slices.IndexFunc(sizes, func(s measure.Size) bool { return s.System != measure.USLabelling })
	if i < 0 {
		return measure.Size{}, false
	}
	return sizes[i], true
}

// convert gives what one of a unit is in another of the same kind.
func convert(from, to string) (measure.Number, bool) {
	if from == to {
		return measure.Whole(1), true
	}
	a, ok1 := sizeOf(from)
	b, ok2 := sizeOf(to)
	return a.Value.Div(b.Value), ok1 && ok2 && a.Kind == b.Kind
}

// grams weighs one part.
func (l *Line) grams(i int) (per measure.Number, source string, ok bool) {
	p := l.Parts[i]
	if p.Pack != "" {
		return per, "", false
	}
	if measure.KindOf(p.Unit) == measure.Mass {
		per, ok := convert(p.Unit, "g")
		return per, "", ok
	}
	return perUnit(p)
}

// weigh adds parts of several kinds up in grams.
func (l *Line) weigh(parts []int) {
	if len(parts) == 0 {
		return
	}
	total := Total{Unit: "g"}
	for _, i := range parts {
		per, source, _ := l.grams(i)
		p := &l.Parts[i]
		p.Counted, p.Total = p.Amount.Times(per), len(l.Totals)
		total.Amount = plus(total.Amount, p.Counted)
		if source != "" {
			l.note(wording.Of("1 %v counted as %v g (%v).", unitName(p.Unit), per.Decimal(), source))
		}
	}
	l.Totals = append(l.Totals, total)
}

func unitName(unit string) string {
	if unit == "" {
		return "piece"
	}
	return unit
}

// addUp adds parts of one kind in one unit.
func (l *Line) addUp(class string, parts []int) {
	unit := l.Parts[parts[0]].Unit
	if class == "mass" || class == "volume" {
		unit = l.commonUnit(class, parts)
	}
	total := Total{Unit: unit, Pack: l.Parts[parts[0]].Pack}
	for _, i := range parts {
		p := &l.Parts[i]
		p.Counted, p.Total = p.Amount, len(l.Totals)
		if p.Unit != unit {
			per, ok := convert(p.Unit, unit)
			if !ok {
				p.Total, p.Counted = -1, measure.Range{}
				l.note(wording.Of("%v could not be added.", measure.Write(p.Amount, p.Unit)))
				continue
			}
			p.Counted = p.Amount.Times(per)
		}
		total.Amount = plus(total.Amount, p.Counted)
	}
	l.Totals = append(l.Totals, total)
}

var (
	usVolumes = []string{"tsp", "tbsp", "fl oz", "cup", "pint", "quart", "gallon"}
	spoons    = []string{"tsp", "tbsp"}
)

// commonUnit keeps to the system of the recipes: cups stay cups, ounces stay
// ounces, and only a mixture goes to grams or millilitres, which is said.
func (l *Line) commonUnit(class string, parts []int) string {
	var units []string
	for _, i := range parts {
		if u := l.Parts[i].Unit; !slices.Contains(units, u) {
			units = append(units, u)
		}
	}
	within := func(set []string) bool {
		return !slices.ContainsFunc(units, func(u string) bool { return !slices.Contains(set, u) })
	}
	if len(units) == 1 {
		return units[0]
	}
	if class == "mass" {
		if within([]string{"oz", "lb"}) {
			return "oz"
		}
		if !within([]string{"g", "kg", "mg"}) {
			l.note(wording.Of("Ounces and grams were added in grams (1 oz is 28.349523125 g, NIST Handbook 44)."))
		}
		return "g"
	}
	switch {
	case within(spoons):
		return "tsp"
	case within(usVolumes):
		return "cup"
	}
	if slices.ContainsFunc(units, func(u string) bool { return slices.Contains(usVolumes, u) && !slices.Contains(spoons, u) }) {
		l.note(wording.Of("Cups were read as US cups (236.588 ml) and added in millilitres."))
	}
	return "ml"
}

// explain says what could not be merged.
func (l *Line) explain() {
	if len(l.Totals) < 2 {
		return
	}
	var sums wording.List
	for _, t := range l.Totals {
		sums = append(sums, t.String())
	}
	l.note(wording.Of("Not merged, because no measure of this food joins them: %v.", sums))
}

func (l *Line) note(n wording.Sentence) {
	if !slices.ContainsFunc(l.Notes, func(o wording.Sentence) bool { return o.String() == n.String() }) {
		l.Notes = append(l.Notes, n)
	}
}

func plus(a, b measure.Range) measure.Range {
	return measure.Range{Min: a.Min.Add(b.Min), Max: a.Max.Add(b.Max)}
}

// String writes a total for a cook: "114 g", "3 cans (400 ml)".
func (t Total) String() string {
	s := measure.Write(t.Amount, t.Unit)
	if t.Pack != "" {
		s += " (" + t.Pack + ")"
	}
	return s
}
