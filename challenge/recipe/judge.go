package recipe

import (
	"strings"

	"fairladle/challenge/pantry"
)

// judge derives allergens and findings from the elements, so that a corrected
// breakdown can be judged again.
func (b *Breakdown) judge(text string) {
	b.Allergens, b.Findings = nil, nil
	b.findAllergens()
	ingredients, steps := b.Ingredients(), b.Steps()
	if strings.TrimSpace(text) == "" {
		b.find("empty", Missing, Place{}, "", "There is no text yet.")
		return
	}
	if b.TitleSure < 0.5 {
		b.find("no-title", Look, b.TitleAt, "", "We found no title and took the first words.")
	}
	if len(ingredients) == 0 {
		b.find("no-ingredients", Missing, Place{}, "", "We found no ingredients: please write them one to a line, with their amounts.")
	}
	if len(steps) == 0 {
		b.find("no-method", Missing, Place{}, "", "We found no method: please say what to do, step by step.")
	}
	if b.Yield.At.IsZero() {
		b.find("no-yield", Missing, Place{}, "", "It does not say how many people this serves.")
	}
	for _, in := range ingredients {
		if in.Amount.IsZero() && !in.ToTaste && !in.Optional {
			b.find("no-amount", Look, in.At, "", "How much "+in.Name+"?")
		}
	}
}

// maxFindings bounds the list for hostile texts.
const maxFindings = 200

func (b *Breakdown) find(code, level string, at Place, source, text string) {
	if len(b.Findings) < maxFindings {
		b.Findings = append(b.Findings, Finding{Code: code, Text: text, Level: level, At: at, Source: source})
	}
}

// findAllergens collects the allergens that ingredient names and alternatives
// say, in the order of the list of rules.
func (b *Breakdown) findAllergens() {
	found := map[string]*Allergen{}
	var order []string
	for _, c := range b.Components {
		for _, in := range c.Ingredients {
			texts := append([]string{in.Name}, in.Alternatives...)
			for _, s := range texts {
				words := pantry.Words(s)
				for i := range words {
					words[i] = pantry.Stem(words[i])
				}
				for _, h := range pantry.Allergens(words) {
					a := found[h.Allergen]
					if a == nil {
						a = &Allergen{Name: h.Allergen, Level: string(pantry.May)}
						found[h.Allergen] = a
						order = append(order, h.Allergen)
					}
					if h.Level == pantry.Sure {
						a.Level = string(pantry.Sure)
					}
					if len(a.Words) < 20 {
						a.Words = append(a.Words, h.Term)
						a.At = append(a.At, in.NameAt)
					}
				}
			}
		}
	}
	for _, name := range order {
		b.Allergens = append(b.Allergens, *found[name])
	}
}
