package views

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/pantry"
	"fairladle/challenge/recipe"
)

// A Reading is a text beside the breakdown that was made of it.
type Reading struct {
	Text      string
	Breakdown recipe.Breakdown
	Pieces    []Piece // the text, cut where findings point
}

// A Piece is a stretch of the text; Finding is 0, or the number of the finding
// that points at it, from 1.
type Piece struct {
	Text    string
	Finding int
}

// NewReading lays a text and its breakdown side by side.
func NewReading(text string, b recipe.Breakdown) Reading {
	r := Reading{Text: text, Breakdown: b}
	at := 0
	for i, f := range b.Findings {
		if f.At.IsZero() || f.At.Start < at || f.At.End > len(text) || f.At.End <= f.At.Start {
			continue
		}
		r.Pieces = append(r.Pieces, Piece{Text: text[at:f.At.Start]}, Piece{Text: f.At.In(text), Finding: i + 1})
		at = f.At.End
	}
	r.Pieces = append(r.Pieces, Piece{Text: text[at:]})
	return r
}

// pointed says whether a finding has a marked place in the text.
func (r Reading) pointed(finding int) bool {
	for _, p := range r.Pieces {
		if p.Finding == finding {
			return true
		}
	}
	return false
}

func (r Reading) empty() bool { return strings.TrimSpace(r.Text) == "" }

type EnterPage struct {
	Frame      Frame
	Challenge  challenge.Challenge
	Token      string
	Submission challenge.Submission
	Photo      string
	Messages   Messages
	Reading    Reading
	KeptDays   int // after the results; 0 for no end
}

type ChangePage struct {
	Frame    Frame
	Number   int
	Base     string
	Slug     string
	Text     string
	Version  int
	Photos   bool
	Photo    string
	Messages Messages
	Reading  Reading
}

// fix names a correction field of the form.
func fix(field string, at recipe.Place) string {
	return fmt.Sprintf("%s-%d-%d", field, at.Start, at.End)
}

func at(p recipe.Place) string { return fmt.Sprintf("at-%d-%d", p.Start, p.End) }

// amountText is an amount as a correction field holds it.
func amountText(i recipe.Ingredient) string {
	if i.Amount.IsZero() {
		return ""
	}
	return i.Amount.String()
}

func servingsText(b recipe.Breakdown) string {
	if b.Yield.Servings.IsZero() {
		return ""
	}
	return b.Yield.Servings.String()
}

// lineName is what stands behind the amount of an ingredient line.
func lineName(ctx context.Context, i recipe.Ingredient) string {
	s := i.Name
	if i.Size != "" {
		s = i.Size + " " + s
	}
	if i.Preparation != "" {
		s += ", " + i.Preparation
	}
	if i.Optional {
		s += " (" + t(ctx, "optional") + ")"
	}
	return s
}

func temperatureText(x recipe.Temperature) string {
	if x.Unit == "gas" {
		return "gas " + strconv.FormatFloat(x.Value, 'g', -1, 64)
	}
	unit := "°"
	if x.Unit != "" {
		unit = " °" + x.Unit
	}
	s := strconv.FormatFloat(x.Value, 'g', -1, 64)
	if x.Max > x.Value {
		s += "–" + strconv.FormatFloat(x.Max, 'g', -1, 64)
	}
	return s + unit
}

func spanText(ctx context.Context, low, high float64) string {
	v := voice(ctx)
	if high > low {
		return v.Minutes(int(low)) + " – " + v.Minutes(int(high))
	}
	if low < 1 && low > 0 {
		return fmt.Sprintf("%d s", int(low*60+.5))
	}
	return v.Minutes(int(low))
}

func timeName(kind string) string {
	switch kind {
	case "prep":
		return "Preparation"
	case "cook":
		return "Cooking"
	case "total":
		return "In all"
	case "rest":
		return "Resting"
	}
	return kind
}

func allergenNames(ctx context.Context, b recipe.Breakdown, level string) string {
	var out []string
	for _, a := range b.Allergens {
		if a.Level == level {
			out = append(out, t(ctx, a.Name)+" ("+strings.Join(a.Words, ", ")+")")
		}
	}
	return strings.Join(out, "; ")
}

// citation spells out where a caution comes from.
func citation(codes string) string { return pantry.Citation(codes) }
