package recipe

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
)

func sortedKeys(m map[string]any) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// Text writes the recipe as Markdown, in the layout that Read understands best.
func (l Linked) Text() string {
	var b strings.Builder
	line := func(s string) { b.WriteString(s + "\n") }
	if l.Name != "" {
		line("# " + l.Name)
		line("")
	}
	if l.Description != "" {
		line(l.Description)
		line("")
	}
	header := false
	if l.Yield != "" {
		line("- Yield: " + l.Yield)
		header = true
	}
	for _, t := range l.Times {
		line("- " + strings.ToUpper(t.Kind[:1]) + t.Kind[1:] + " time: " + minutesText(t.Minutes))
		header = true
	}
	if header {
		line("")
	}
	writeParts(&b, "Ingredients", l.Parts, func(int) string { return "- " })
	writeParts(&b, "Method", l.Steps, func(i int) string { return strconv.Itoa(i+1) + ". " })
	return strings.TrimRight(b.String(), "\n") + "\n"
}

func writeParts(b *strings.Builder, heading string, parts []LinkedPart, mark func(int) string) {
	if len(parts) == 0 {
		return
	}
	b.WriteString("## " + heading + "\n\n")
	for _, p := range parts {
		if p.Name != "" {
			b.WriteString("### " + p.Name + "\n\n")
		}
		for i, l := range p.Lines {
			b.WriteString(mark(i) + strings.Join(strings.Fields(l), " ") + "\n")
		}
		b.WriteString("\n")
	}
}

func minutesText(min float64) string {
	return strconv.FormatFloat(min, 'f', -1, 64) + " minutes"
}

// Linked is the breakdown in the words of schema.org/Recipe. The author is left
// out: a breakdown knows none.
func (b Breakdown) Linked() Linked {
	l := Linked{Name: b.Title, Yield: b.Yield.words()}
	for _, t := range b.Times {
		kind := t.Kind
		if kind != "prep" && kind != "cook" && kind != "total" {
			continue
		}
		l.Times = append(l.Times, LinkedTime{kind, t.Minutes.Max})
	}
	for _, c := range b.Components {
		in, steps := LinkedPart{Name: c.Name}, LinkedPart{Name: c.Name}
		for _, i := range c.Ingredients {
			if !i.SameLine {
				in.Lines = append(in.Lines, i.Text)
			}
		}
		for _, s := range c.Steps {
			steps.Lines = append(steps.Lines, s.Text)
		}
		if len(in.Lines) > 0 {
			l.Parts = append(l.Parts, in)
		}
		if len(steps.Lines) > 0 {
			l.Steps = append(l.Steps, steps)
		}
	}
	// Unnamed parts first: a line without a heading would fall to the one above.
	byName := func(a, b LinkedPart) int {
		switch {
		case a.Name == "" && b.Name != "":
			return -1
		case a.Name != "" && b.Name == "":
			return 1
		}
		return 0
	}
	slices.SortStableFunc(l.Parts, byName)
	slices.SortStableFunc(l.Steps, byName)
	return l
}

// words writes the yield anew: "4-6 servings", "15 tortillas".
func (y Yield) words() string {
	switch {
	case !y.Servings.IsZero():
		return y.Servings.String() + " servings"
	case !y.Count.IsZero():
		return strings.TrimSpace(y.Count.String() + " " + y.Pieces)
	}
	return y.Text
}

// Markdown writes the breakdown as a plain Markdown recipe, which Read reads back
// to the same elements.
func (b Breakdown) Markdown() string { return b.Linked().Text() }

// JSON-LD shapes, in the order they are written.
type (
	jsonRecipe struct {
		Context      string   `json:"@context"`
		Type         string   `json:"@type"`
		Name         string   `json:"name"`
		Description  string   `json:"description,omitempty"`
		Yield        string   `json:"recipeYield,omitempty"`
		Prep         string   `json:"prepTime,omitempty"`
		Cook         string   `json:"cookTime,omitempty"`
		Total        string   `json:"totalTime,omitempty"`
		Ingredients  []string `json:"recipeIngredient"`
		Instructions []any    `json:"recipeInstructions"`
	}
	jsonStep struct {
		Type string `json:"@type"`
		Text string `json:"text"`
	}
	jsonPart struct {
		Type  string     `json:"@type"`
		Name  string     `json:"name,omitempty"`
		Steps []jsonStep `json:"itemListElement"`
	}
)

// JSONLD writes the recipe as a schema.org/Recipe document. schema.org knows no
// groups of ingredients; their headings are written as lines that end in a
// colon, which ParseLinked and Read take as headings again.
func (l Linked) JSONLD() ([]byte, error) {
	r := jsonRecipe{Context: "https://schema.org", Type: "Recipe", Name: l.Name, Description: l.Description, Yield: l.Yield,
		Ingredients: []string{}, Instructions: []any{}}
	for _, t := range l.Times {
		switch t.Kind {
		case "prep":
			r.Prep = isoDuration(t.Minutes)
		case "cook":
			r.Cook = isoDuration(t.Minutes)
		case "total":
			r.Total = isoDuration(t.Minutes)
		}
	}
	for _, p := range l.Parts {
		if p.Name != "" {
			r.Ingredients = append(r.Ingredients, p.Name+":")
		}
		r.Ingredients = append(r.Ingredients, p.Lines...)
	}
	for _, p := range l.Steps {
		steps := make([]jsonStep, 0, len(p.Lines))
		for _, s := range p.Lines {
			steps = append(steps, jsonStep{"HowToStep", s})
		}
		if p.Name != "" {
			r.Instructions = append(r.Instructions, jsonPart{"HowToSection", p.Name, steps})
			continue
		}
		for _, s := range steps {
			r.Instructions = append(r.Instructions, s)
		}
	}
	return json.MarshalIndent(r, "", "  ")
}
