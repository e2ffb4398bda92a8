package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"fairladle/challenge/intake"
	"fairladle/challenge/recipe"
)

// readCommand prints what is understood of recipes, without a server.
func readCommand(ctx context.Context, args []string, out io.Writer) error {
	f := flags("read", out)
	asJSON := f.Bool("json", false, "print one JSON document a recipe")
	names, err := parseMixed(f, args)
	if err != nil {
		return err
	}
	if len(names) == 0 {
		return errors.New("name the recipes to read: fairladle read FILE... [--json]")
	}
	var unread error
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		texts, err := recipeTexts(ctx, name, data)
		if err != nil { // the other files are read all the same
			unread = errors.Join(unread, fmt.Errorf("%s: %w", name, err))
			continue
		}
		for _, text := range texts {
			b := recipe.Read(text)
			if *asJSON {
				err = printRecipeJSON(out, name, b)
			} else {
				err = printRecipe(out, name, b)
			}
			if err != nil {
				return err
			}
		}
	}
	return unread
}

// parseMixed takes flags before and after the file names.
func parseMixed(f *flag.FlagSet, args []string) ([]string, error) {
	var names []string
	for {
		if err := f.Parse(args); err != nil {
			return nil, err
		}
		rest := f.Args()
		if len(rest) == 0 {
			return names, nil
		}
		names = append(names, rest[0])
		args = rest[1:]
	}
}

// recipeTexts finds the recipes of a file in any format that is read: mails,
// mailboxes, pages, tables, documents, archives. A plain text counts whatever
// is in it.
func recipeTexts(ctx context.Context, name string, data []byte) ([]string, error) {
	var texts []string
	var why error
	for r := range intake.All(filepath.Base(name), data, intake.Options{PDF: pdfApart(ctx)}) {
		plain := r.Format == intake.Plain || r.Format == intake.Markdown
		switch {
		case r.Text != "" && (plain || r.Verdict != intake.Skipped):
			texts = append(texts, r.Text)
		case len(r.Reasons) > 0:
			why = errors.New(r.Reasons[0].String())
		}
	}
	if len(texts) == 0 {
		return nil, why
	}
	return texts, nil
}

// The JSON shapes of fairladle read. Amounts are decimal numbers here; the
// stored breakdown keeps them as exact fractions.
type (
	readRecipe struct {
		File         string          `json:"file"`
		Reader       int             `json:"reader"`
		Title        string          `json:"title"`
		Yield        readYield       `json:"yield"`
		Times        []readTime      `json:"times"`
		Components   []readComponent `json:"components"`
		Allergens    []readAllergen  `json:"allergens"`
		Diets        []recipe.Diet   `json:"diets"`
		Unrecognised []string        `json:"unrecognised"`
		Findings     []readFinding   `json:"findings"`
	}
	readYield struct {
		Text        string   `json:"text"`
		Servings    *float64 `json:"servings"`
		ServingsMax *float64 `json:"servings_max,omitempty"`
	}
	readTime struct {
		Kind       string  `json:"kind"`
		MinMinutes float64 `json:"min_minutes"`
		MaxMinutes float64 `json:"max_minutes"`
	}
	readComponent struct {
		Name        string           `json:"name"`
		Ingredients []readIngredient `json:"ingredients"`
		Steps       []readStep       `json:"steps"`
	}
	readQuantity struct {
		Min float64 `json:"min"`
		Max float64 `json:"max"`
	}
	readIngredient struct {
		Text         string        `json:"text"`
		Quantity     *readQuantity `json:"quantity"`
		Unit         string        `json:"unit"`
		Name         string        `json:"name"`
		Preparation  string        `json:"preparation"`
		Optional     bool          `json:"optional"`
		About        bool          `json:"about,omitempty"`
		Size         string        `json:"size,omitempty"`
		Alternatives []string      `json:"alternatives,omitempty"`
		Note         string        `json:"note,omitempty"`
		Also         []readMeasure `json:"also,omitempty"` // the same amount said otherwise, or on top
		Pack         *readMeasure  `json:"pack,omitempty"` // what one container holds
		Link         string        `json:"link,omitempty"`
		ToTaste      bool          `json:"to_taste,omitempty"`
		Divided      bool          `json:"divided,omitempty"`
		Sure         float64       `json:"sure"`
		At           recipe.Place  `json:"at"`
	}
	readMeasure struct {
		Quantity readQuantity `json:"quantity"`
		Unit     string       `json:"unit"`
		Plus     bool         `json:"plus,omitempty"`
	}
	readStep struct {
		Text         string            `json:"text"`
		Durations    []readDuration    `json:"durations"`
		Temperatures []readTemperature `json:"temperatures"`
		Equipment    []string          `json:"equipment,omitempty"`
		Attended     recipe.Attention  `json:"attended"`
		Uses         []int             `json:"uses,omitempty"`
		At           recipe.Place      `json:"at"`
	}
	readDuration struct {
		MinMinutes float64 `json:"min_minutes"`
		MaxMinutes float64 `json:"max_minutes"`
		Text       string  `json:"text"`
	}
	readTemperature struct {
		Value float64 `json:"value"`
		Max   float64 `json:"max,omitempty"`
		Unit  string  `json:"unit"`
		Kind  string  `json:"kind"`
	}
	readAllergen struct {
		Name  string   `json:"name"`
		Level string   `json:"level"`
		Words []string `json:"words"`
	}
	readFinding struct {
		Code   string       `json:"code"`
		Text   string       `json:"text"`
		Level  string       `json:"level"`
		At     recipe.Place `json:"at"`
		Source string       `json:"source,omitempty"`
	}
)

func printRecipeJSON(out io.Writer, name string, b recipe.Breakdown) error {
	doc := readRecipe{File: name, Reader: b.Reader, Title: b.Title, Yield: readYield{Text: b.Yield.Text}, Times: []readTime{},
		Components: []readComponent{}, Allergens: []readAllergen{}, Diets: b.Diets, Unrecognised: b.Unrecognised, Findings: []readFinding{}}
	if s := b.Yield.Servings; !s.IsZero() {
		doc.Yield.Servings = new(s.Min.Float())
		if !s.Single() {
			doc.Yield.ServingsMax = new(s.Max.Float())
		}
	}
	for _, t := range b.Times {
		doc.Times = append(doc.Times, readTime{t.Kind, t.Minutes.Min, t.Minutes.Max})
	}
	for _, c := range b.Components {
		doc.Components = append(doc.Components, readComponentOf(c))
	}
	for _, a := range b.Allergens {
		doc.Allergens = append(doc.Allergens, readAllergen{a.Name, a.Level, a.Words})
	}
	for _, f := range b.Findings {
		doc.Findings = append(doc.Findings, readFinding{f.Code, f.Text.String(), f.Level, f.At, f.Source})
	}
	enc := json.NewEncoder(out)
	enc.SetEscapeHTML(false)
	return enc.Encode(doc)
}

func readMeasureOf(m recipe.Measure) readMeasure {
	return readMeasure{readQuantity{m.Amount.Min.Float(), m.Amount.Max.Float()}, m.Unit, m.Plus}
}

func readComponentOf(c recipe.Component) readComponent {
	rc := readComponent{Name: c.Name, Ingredients: []readIngredient{}, Steps: []readStep{}}
	for _, i := range c.Ingredients {
		ri := readIngredient{Text: i.Text, Unit: i.Unit, Name: i.Name, Preparation: i.Preparation, Optional: i.Optional,
			About: i.About, Size: i.Size, Alternatives: i.Alternatives, Note: i.Note, Sure: i.Sure, At: i.At}
		ri.Link, ri.ToTaste, ri.Divided = i.Link, i.ToTaste, i.Divided
		for _, m := range i.Also {
			ri.Also = append(ri.Also, readMeasureOf(m))
		}
		if i.Pack != nil {
			ri.Pack = new(readMeasureOf(*i.Pack))
		}
		if !i.Amount.IsZero() {
			ri.Quantity = &readQuantity{i.Amount.Min.Float(), i.Amount.Max.Float()}
		}
		rc.Ingredients = append(rc.Ingredients, ri)
	}
	for _, s := range c.Steps {
		rs := readStep{Text: s.Text, Durations: []readDuration{}, Temperatures: []readTemperature{}, Equipment: s.Equipment,
			Attended: s.Attended, Uses: s.Uses, At: s.At}
		for _, d := range s.Durations {
			rs.Durations = append(rs.Durations, readDuration{d.MinMinutes, d.MaxMinutes, d.Text})
		}
		for _, t := range s.Temperatures {
			rs.Temperatures = append(rs.Temperatures, readTemperature{t.Value, t.Max, t.Unit, t.Kind})
		}
		rc.Steps = append(rc.Steps, rs)
	}
	return rc
}

// printRecipe writes the breakdown for a person.
func printRecipe(out io.Writer, name string, b recipe.Breakdown) error {
	fmt.Fprintf(out, "%s: %s\n", name, b.Title)
	if b.Yield.Text != "" {
		fmt.Fprintf(out, "  %s\n", b.Yield.Text)
	}
	for _, c := range b.Components {
		if c.Name != "" {
			fmt.Fprintf(out, "  -- %s\n", c.Name)
		}
		for _, i := range c.Ingredients {
			fmt.Fprintf(out, "  %14s  %s", i.Measure(), i.Name)
			if i.Preparation != "" {
				fmt.Fprintf(out, " (%s)", i.Preparation)
			}
			fmt.Fprintln(out)
		}
		for n, s := range c.Steps {
			fmt.Fprintf(out, "  %2d. %s\n", n+1, s.Text)
		}
	}
	for _, a := range b.Allergens {
		fmt.Fprintf(out, "  allergen: %s (%s: %s)\n", a.Name, a.Level, strings.Join(a.Words, ", "))
	}
	for _, f := range b.Findings {
		fmt.Fprintf(out, "  %s: %s\n", f.Level, f.Text)
	}
	_, err := fmt.Fprintln(out)
	return err
}
