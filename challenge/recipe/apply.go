package recipe

import (
	"slices"
	"strings"

	"fairladle/challenge/measure"
)

// Correction is what a person said about one element of a breakdown. It lies
// over the derived breakdown and is anchored to the element's Place and to the
// text that stood there, so it also holds for what a newer reader derives as
// long as an element with that place and text remains.
//
// Fields and what Value holds:
//
//	title, yield                text
//	servings                    "4", "4-6"
//	component.name              text; At is the component's heading
//	ingredient.amount           "1 1/2", "2-3", "" for none
//	ingredient.unit             short form, "" for a count
//	ingredient.name, ingredient.preparation, ingredient.note, ingredient.size
//	ingredient.optional         "yes" or "no"
//	ingredient.remove           "yes": the line is no ingredient
//	ingredient.add              a whole line; At is where it belongs in the text
//	step.minutes                "10", "10-15", "" for none
//	step.temperature            "180 C", "gas 4", "" for none
//	step.attended               "attended", "part", "unattended"
//	step.remove                 "yes"
//	finding.settled             the finding's code; At is the finding's
type Correction struct {
	At    Place  `json:"at"`
	Was   string `json:"was"`
	Field string `json:"field"`
	Value string `json:"value"`
}

// Apply lays corrections over a breakdown, the later ones over the earlier, and
// judges the result again. A correction whose place holds another text by now,
// or no such element, is orphaned: it changes nothing and is handed back. b is
// not changed.
func (b Breakdown) Apply(text string, cs []Correction) (corrected Breakdown, orphaned []Correction) {
	b = b.clone()
	var settled []Correction
	for _, c := range cs {
		if c.At.In(text) != c.Was {
			orphaned = append(orphaned, c)
			continue
		}
		if c.Field == "finding.settled" {
			settled = append(settled, c)
			continue
		}
		if !b.correct(c) {
			orphaned = append(orphaned, c)
		}
	}
	b.judge(text)
	for _, c := range settled {
		if !b.settle(c) {
			orphaned = append(orphaned, c)
		}
	}
	return b, orphaned
}

func (b Breakdown) clone() Breakdown {
	b.Components = slices.Clone(b.Components)
	for i := range b.Components {
		c := &b.Components[i]
		c.Ingredients = slices.Clone(c.Ingredients)
		c.Steps = slices.Clone(c.Steps)
	}
	return b
}

func (b *Breakdown) settle(c Correction) bool {
	for i := range b.Findings {
		if b.Findings[i].At == c.At && b.Findings[i].Code == c.Value {
			b.Findings[i].Settled = true
			return true
		}
	}
	return false
}

// correct makes one change; false where no element stands at the place or the
// value cannot be read.
func (b *Breakdown) correct(c Correction) bool {
	what, field, _ := strings.Cut(c.Field, ".")
	switch what {
	case "title":
		b.Title, b.TitleSure = c.Value, 1
		return true
	case "yield":
		b.Yield.Text, b.Yield.At = c.Value, c.At
		return true
	case "servings":
		rng, ok := parseRange(c.Value)
		if ok {
			b.Yield.Servings = rng
			if b.Yield.Text == "" {
				b.Yield.Text = "serves " + c.Value
			}
		}
		return ok
	case "component":
		for i := range b.Components {
			if b.Components[i].At == c.At {
				b.Components[i].Name = c.Value
				return true
			}
		}
	case "ingredient":
		if field == "add" {
			return b.addIngredient(c)
		}
		for i := range b.Components {
			list := b.Components[i].Ingredients
			for j := range list {
				if list[j].At == c.At && !list[j].Added {
					return b.correctIngredient(i, j, field, c.Value)
				}
			}
		}
	case "step":
		for i := range b.Components {
			list := b.Components[i].Steps
			for j := range list {
				if list[j].At == c.At {
					return b.correctStep(i, j, field, c.Value)
				}
			}
		}
	}
	return false
}

func (b *Breakdown) addIngredient(c Correction) bool {
	line := Read("Ingredients\n\n- " + strings.ReplaceAll(c.Value, "\n", " "))
	got := line.Ingredients()
	if len(got) != 1 {
		return false
	}
	in := got[0]
	in.At, in.NameAt, in.AmountAt, in.Added, in.Sure = c.At, c.At, Place{}, true, 1
	if len(b.Components) == 0 {
		b.Components = append(b.Components, Component{})
	}
	best := 0
	for i := range b.Components {
		if at := b.Components[i].At; !at.IsZero() && at.Start <= c.At.Start {
			best = i
		}
	}
	b.Components[best].Ingredients = append(b.Components[best].Ingredients, in)
	return true
}

func (b *Breakdown) correctIngredient(i, j int, field, value string) bool {
	in := &b.Components[i].Ingredients[j]
	switch field {
	case "amount":
		rng, ok := parseRange(value)
		if !ok && value != "" {
			return false
		}
		in.Amount, in.About = rng, false
	case "unit":
		in.Unit = value
	case "name":
		in.Name, in.Alternatives = value, nil
	case "preparation":
		in.Preparation = value
	case "note":
		in.Note = value
	case "size":
		in.Size = value
	case "optional":
		in.Optional = value == "yes"
	case "remove":
		if value == "yes" {
			b.Components[i].Ingredients = slices.Delete(b.Components[i].Ingredients, j, j+1)
			return true
		}
	default:
		return false
	}
	in.Sure = 1
	return true
}

func (b *Breakdown) correctStep(i, j int, field, value string) bool {
	st := &b.Components[i].Steps[j]
	switch field {
	case "minutes":
		st.Durations = nil
		if value == "" {
			return true
		}
		rng, ok := parseRange(value)
		if ok {
			st.Durations = []Duration{{MinMinutes: rng.Min.Float(), MaxMinutes: rng.Max.Float(), Text: value, At: st.At}}
		}
		return ok
	case "temperature":
		st.Temperatures, st.OvenWords = nil, ""
		if value == "" {
			return true
		}
		got := Read("Method\n\n1. Heat the oven to " + value + " first.").Steps()
		if len(got) == 0 || len(got[0].Temperatures) == 0 {
			return false
		}
		x := got[0].Temperatures[0]
		x.At, x.Text = st.At, value
		st.Temperatures = []Temperature{x}
		return true
	case "attended":
		switch a := Attention(value); a {
		case Attended, Part, Unattended:
			st.Attended = a
			return true
		}
	case "remove":
		if value == "yes" {
			b.Components[i].Steps = slices.Delete(b.Components[i].Steps, j, j+1)
			return true
		}
	}
	return false
}

// parseRange reads "4", "4-6", "1 1/2".
func parseRange(s string) (measure.Range, bool) {
	s = strings.TrimSpace(s)
	if n, err := measure.ParseNumber(s); err == nil && n.Sign() > 0 {
		return measure.Exactly(n), true
	}
	s = strings.NewReplacer("–", "-", " to ", "-").Replace(s)
	lo, hi, ok := strings.Cut(s, "-")
	a, err1 := measure.ParseNumber(lo)
	b, err2 := measure.ParseNumber(hi)
	if !ok || err1 != nil || err2 != nil || a.Sign() <= 0 || b.Sign() <= 0 {
		return measure.Range{}, false
	}
	return measure.Between(a, b), true
}
