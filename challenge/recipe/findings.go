package recipe

import (
	"math"
	"slices"
	"strings"

	"fairladle/challenge/measure"
	"fairladle/challenge/pantry"
	"fairladle/challenge/wording"
)

// findings says what the entrant or host should look at, most important first.
func (j *judge) findings() {
	b := j.b
	if strings.TrimSpace(j.text) == "" {
		b.find("empty", Missing, Place{}, "", "There is no text yet.")
		return
	}
	steps := 0
	for _, c := range b.Components {
		steps += len(c.Steps)
	}
	if j.notRecipe(steps) {
		b.find("not-a-recipe", Missing, Place{}, "", "This does not read like a recipe.")
	}
	if b.TitleSure < 0.5 {
		b.find("no-title", Look, b.TitleAt, "", "We found no title, so we took the first words.")
	}
	if len(j.refs) == 0 {
		b.find("no-ingredients", Missing, Place{}, "", "We found no ingredients: please write them one to a line, with their amounts.")
	}
	if steps == 0 {
		b.find("no-method", Missing, Place{}, "", "We found no method: please say what to do, step by step.")
	}
	if b.Yield.At.IsZero() && b.Yield.Servings.IsZero() {
		b.find("no-yield", Missing, Place{}, "", "It does not say how many people this serves.")
	}
	if n := len(j.refs); n >= 3 && 2*len(j.unknown) > n {
		b.find("other-language", Look, j.refs[0].At, "", "Most of these ingredients are in words that we do not know: they are kept as written, but neither allergens nor diets can be told from them.")
	} else {
		j.listAgainstMethod(steps)
	}
	j.amounts()
	j.ovenAndTimes()
	j.underTemperature()
	j.cautions()
	if _, places := Mask(j.text, nil); len(places) > 0 {
		b.find("names-author", Look, places[0], "", "The text may name a person or an address; it will be covered in blind reading, as best we can.")
	}
}

// notRecipe: hardly any food is named, and nothing looks like a list.
func (j *judge) notRecipe(steps int) bool {
	listed := 0
	for _, in := range j.refs {
		if !in.FromProse && !in.Amount.IsZero() {
			listed++
		}
	}
	if listed >= 2 {
		return false
	}
	if len(j.refs) == 0 && j.foods == 0 {
		for _, p := range append(j.b.Intro, j.b.Notes...) {
			j.stems = pantry.AppendStems(j.stems[:0], p.In(j.text))
			for i := range j.stems {
				if pantry.Food(j.stems[i:]) > 0 {
					j.foods++
				}
			}
		}
		for _, c := range j.b.Components {
			for _, st := range c.Steps {
				j.stems = pantry.AppendStems(j.stems[:0], st.At.In(j.text))
				for i := range j.stems {
					if pantry.Food(j.stems[i:]) > 0 {
						j.foods++
					}
				}
			}
		}
	}
	return j.foods < 2
}

// amounts: ingredients without an amount, and amounts out of all proportion.
func (j *judge) amounts() {
	without := 0
	for _, in := range j.refs {
		if in.Amount.IsZero() {
			if !in.ToTaste && !in.Optional && !amountAtWill(in) && in.Name != "" {
				without++
				if without <= 12 {
					j.b.find("no-amount", Look, in.At, "", "How much of “%v”?", short(in.Name))
				}
			}
			continue
		}
		if big, usual := outOfProportion(in); big {
			j.b.find("amount-large", Look, in.At, "common practice", "“%v” is an unusually large amount; %v is more usual.", short(in.Text), wording.Of(usual))
		}
	}
}

// amountAtWill: salt, oil for the pan and things to serve with need no amount.
func amountAtWill(in *Ingredient) bool {
	low := strings.ToLower(in.Name)
	if strings.HasSuffix(low, " salt") || strings.HasSuffix(low, " pepper") && !strings.Contains(low, "bell") && !strings.HasSuffix(low, "red pepper") && !strings.HasSuffix(low, "green pepper") {
		return true
	}
	switch low {
	case "salt", "pepper", "salt and pepper", "salt & pepper", "black pepper", "water", "oil", "ice", "olive oil", "vegetable oil", "cooking oil", "salt, pepper", "cooking spray",
		"s&p", "salt + pepper", "salt and freshly ground black pepper", "freshly ground black pepper", "butter for greasing", "bay leaf":
		return true
	}
	note := strings.ToLower(in.Note)
	return strings.HasPrefix(note, "for ") || strings.HasPrefix(note, "to serve") || strings.Contains(note, "garnish") || strings.Contains(note, "as needed")
}

// outOfProportion compares strong ingredients with what a pot can bear. The
// limits are common practice, no source.
func outOfProportion(in *Ingredient) (bool, string) {
	ml := func(limit int64) bool {
		n, err := measure.In(in.Amount.Min, in.Unit, "ml", measure.USCustomary)
		return err == nil && n.Cmp(measure.Whole(limit)) > 0
	}
	low := strings.ToLower(in.Name)
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(low, w) {
				return true
			}
		}
		return false
	}
	switch {
	case has("baking soda", "baking powder", "bicarbonate", "cream of tartar") && ml(80):
		return true, wording.Key("a teaspoon or two")
	case has("cayenne", "saffron", "nutmeg", "clove", "vanilla") && measure.KindOf(in.Unit) == measure.Volume && ml(90):
		return true, wording.Key("a spoonful or less")
	case low == "salt" && ml(250) || has("salt") && !has("salted", "salt pork", "salt cod") && in.Unit == "kg":
		return true, wording.Key("a spoonful or two")
	case has("yeast") && ml(120):
		return true, wording.Key("a spoonful or two")
	case in.Unit == "" && in.Amount.Min.Cmp(measure.Whole(200)) > 0 && !in.FromProse:
		return true, wording.Key("a smaller number or a weight")
	case in.Unit == "kg" && in.Amount.Min.Cmp(measure.Whole(30)) > 0, in.Unit == "l" && in.Amount.Min.Cmp(measure.Whole(60)) > 0:
		return true, wording.Key("a smaller amount")
	}
	return false, ""
}

// listAgainstMethod: listed and never used, used and never listed.
func (j *judge) listAgainstMethod(steps int) {
	if steps == 0 || j.prose {
		return
	}
	if !slices.Contains(j.used, true) {
		return // "Combine and mix well."
	}
	unused := 0
	for n, in := range j.refs {
		if !j.used[n] && !j.allUsed && in.Name != "" && !in.Optional && !toServe(in) {
			if unused++; unused <= 12 {
				j.b.find("unused", Look, in.At, "", "The method does not seem to use “%v”.", short(in.Name))
			}
		}
	}
	for _, key := range j.order {
		at := j.unlisted[key]
		j.b.find("unlisted", Look, at, "", "The method speaks of “%v”, which is not in the list.", foodWords(at.In(j.text), key))
	}
}

// toServe: what is served beside the dish need not be used by a step.
func toServe(in *Ingredient) bool {
	note := strings.ToLower(in.Note)
	return strings.Contains(note, "to serve") || strings.Contains(note, "serving") || strings.Contains(note, "garnish") || strings.Contains(note, "to taste")
}

// foodWords finds the words behind a key of stems as the text writes them.
func foodWords(text, key string) string {
	first, _, _ := strings.Cut(key, " ")
	n := strings.Count(key, " ") + 1
	fields := strings.Fields(text)
	for i, f := range fields {
		if i+n <= len(fields) && pantry.Stem(strings.Trim(pantry.Fold(f), "()[]*_.,;:!?\"'")) == first {
			words, _, _ := strings.Cut(strings.Join(fields[i:i+n], " "), "](")
			return strings.Trim(words, "()[]*_.,;:!?\"'")
		}
	}
	return key
}

// ovenAndTimes: an oven without a temperature, heat without a time.
func (j *judge) ovenAndTimes() {
	var oven *Step
	hot, silent := false, 0
	for c := range j.b.Components {
		list := j.b.Components[c].Steps
		for s := range list {
			st := &list[s]
			for _, x := range st.Temperatures {
				hot = hot || x.Kind == "oven"
			}
			if oven == nil && usesOven(st) {
				oven = st
			}
			if st.Heats && len(st.Durations) == 0 && st.Until == "" && !st.Overnight {
				if silent++; silent <= 4 {
					j.b.find("no-duration", Look, st.At, "", "For how long? “%v”", short(st.Text))
				}
			}
		}
	}
	if oven != nil && !hot {
		if words := oven.OvenWords; words != "" {
			if o, ok := pantry.Oven(words); ok {
				j.b.find("no-oven-temperature", Look, oven.At, "", "The oven is only called “%v” (usually %v-%v C, %v-%v F). Please give a temperature.", words, o.CLow, o.CHigh, o.FLow, o.FHigh)
				return
			}
			j.b.find("no-oven-temperature", Look, oven.At, "", "The oven is only called “%v”. Please give a temperature.", words)
			return
		}
		j.b.find("no-oven-temperature", Look, oven.At, "", "How hot is the oven?")
	}
}

func usesOven(st *Step) bool {
	for _, e := range st.Equipment {
		if e == "oven" {
			return true
		}
	}
	return st.OvenWords != ""
}

// underTemperature: meat or fish taken out below the usual minimum.
func (j *judge) underTemperature() {
	least, ok := j.inside()
	if !ok {
		return
	}
	for c := range j.b.Components {
		for _, st := range j.b.Components[c].Steps {
			reached := 0.0
			var at Place
			for _, x := range st.Temperatures {
				if x.Kind != "internal" {
					continue
				}
				f := x.Value
				if x.Unit == "C" || x.Unit == "" && x.Value < 100 {
					f = x.Value*9/5 + 32
				}
				if f > reached {
					reached, at = f, x.At
				}
			}
			if reached > 90 && reached < least.F-1 {
				j.b.find("caution-temperature", Caution, at, least.Source,
					"This is below the usual minimum for %v: %v C (%v F).", wording.Of(least.Food), int(math.Round(least.C)), int(math.Round(least.F)))
				return
			}
		}
	}
}

// inside is the highest of the usual least temperatures of the ingredients.
func (j *judge) inside() (least pantry.Inside, ok bool) {
	for _, in := range j.refs {
		j.stems = pantry.AppendStems(j.stems[:0], in.Name)
		if x, meat := pantry.InsideOf(j.stems); meat && x.F > least.F {
			least, ok = x, true
		}
	}
	return least, ok
}

// cautions evaluates the rules whose trigger words were found.
func (j *judge) cautions() {
	rules := pantry.Cautions()
	type state struct {
		any, with, unless bool
		at                Place
	}
	found := make([]state, len(rules))
	for _, t := range j.triggers {
		r := &rules[t.Rule]
		if t.Role == pantry.TriggerAny && (r.Where == "step" && !t.step || r.Where == "ingredient" && t.step) {
			continue
		}
		s := &found[t.Rule]
		switch t.Role {
		case pantry.TriggerAny:
			if !s.any {
				s.any, s.at = true, t.at
			}
		case pantry.TriggerWith:
			s.with = true
		case pantry.TriggerUnless:
			s.unless = true
		}
	}
	any := false
	for i, s := range found {
		if !s.any || s.unless || pantry.NeedsWith(i) && !s.with {
			continue
		}
		any = true
		j.b.find("caution-"+rules[i].ID, Caution, s.at, rules[i].Source, rules[i].Sentence)
	}
	if any {
		j.b.find("local-rules", Caution, Place{}, "", pantry.StandingCaution)
	}
}

// Lacking gives a finding for each step that needs equipment which a kitchen
// lacks: missing lists the names as in Step.Equipment.
func (b Breakdown) Lacking(missing []string) []Finding {
	var out []Finding
	for _, st := range b.Steps() {
		for _, e := range st.Equipment {
			for _, m := range missing {
				if strings.EqualFold(e, m) {
					out = append(out, Finding{Code: "lacks-equipment", Level: Look, At: st.At, Text: wording.Of("This step needs equipment that this kitchen lacks: %v.", wording.Of(e))})
				}
			}
		}
	}
	return out
}
