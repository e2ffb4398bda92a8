package intake

import (
	"slices"
	"strings"

	"fairladle/challenge/recipe"
)

// judge reads a raw entry's text and says what it is.
func judge(r *Raw) {
	if strings.TrimSpace(r.Text) == "" {
		r.weaker(Skipped, Nothing)
		return
	}
	if len(r.Text) > MaxText {
		r.Text = ""
		r.weaker(Skipped, TooLong)
		return
	}
	b := recipe.Read(r.Text)
	if r.Title == "" {
		r.Title = b.Title
	}
	v := recipeIn(b)
	if v == Skipped && r.Format != Mail && (r.Format == Linked || r.Format == Table || !says(b, "not-a-recipe")) {
		v = Doubtful // a file was chosen to be brought in; a mail just came
	}
	switch v {
	case Skipped:
		r.weaker(Skipped, NoRecipe)
	case Doubtful:
		r.weaker(Doubtful, Unclear)
	default:
		if r.Verdict == "" {
			r.Verdict = Entry
		}
	}
}

// recipeIn says how much a breakdown looks like a recipe: one has a list of
// ingredients with amounts, most of them known foods, and a method. Bills and
// logs have lines with amounts too, and chat about food names foods.
func recipeIn(b recipe.Breakdown) Verdict {
	if says(b, "not-a-recipe") || says(b, "empty") {
		return Skipped
	}
	amounts, named := 0, 0
	for _, i := range b.Ingredients() {
		if i.Name != "" {
			named++
		}
		if !i.Amount.IsZero() {
			amounts++
		}
	}
	known := named - len(b.Unrecognised)
	steps := len(b.Steps())
	switch {
	case known >= 2 && 3*known >= named && steps > 0 && (amounts >= 2 || named >= 3):
		return Entry
	case known >= 2, known >= 1 && (amounts >= 2 || steps > 0), amounts >= 4 && steps > 0:
		return Doubtful
	}
	return Skipped
}

func says(b recipe.Breakdown, code string) bool {
	return slices.ContainsFunc(b.Findings, func(f recipe.Finding) bool { return f.Code == code })
}
