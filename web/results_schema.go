package web

import (
	"strconv"
	"strings"
	"time"

	"fairladle/challenge/recipe"
	"fairladle/store"
	"fairladle/web/views"
)

// schemaOf writes a published recipe in the words of schema.org/Recipe. The
// author is who is credited, and missing where nobody is.
func schemaOf(x store.PublicRecipe, site, path string) views.SchemaRecipe {
	b := x.Recipe.Reading
	s := views.SchemaRecipe{Context: "https://schema.org", Type: "Recipe", Name: x.Dish.Title, Yield: b.Yield.Text}
	if site != "" {
		s.URL = site + path
	}
	if x.Dish.Photo != "" {
		s.Image = []string{site + "/photo/" + x.Dish.Photo}
	}
	if x.Dish.Credit != "" {
		s.Author = &views.SchemaPerson{Type: "Person", Name: x.Dish.Credit}
	}
	for _, i := range b.Ingredients() {
		if i.SameLine {
			continue
		}
		s.Ingredients = append(s.Ingredients, strings.Join(strings.Fields(i.Text), " "))
	}
	for _, step := range b.Steps() {
		s.Instructions = append(s.Instructions, views.SchemaStep{Type: "HowToStep", Text: step.Text})
	}
	schemaTimes(&s, b.Times)
	return s
}

func schemaTimes(s *views.SchemaRecipe, times []recipe.HeaderTime) {
	for _, t := range times {
		length := isoDuration(t.Minutes.Min)
		switch t.Kind {
		case "prep":
			s.PrepTime = length
		case "cook":
			s.CookTime = length
		case "total":
			s.TotalTime = length
		}
	}
}

// isoDuration writes minutes as an ISO 8601 duration: 90 is PT1H30M.
func isoDuration(minutes float64) string {
	d := time.Duration(minutes * float64(time.Minute)).Round(time.Minute)
	h, m := int(d.Hours()), int(d.Minutes())%60
	out := "PT"
	if h > 0 {
		out += strconv.Itoa(h) + "H"
	}
	if m > 0 || h == 0 {
		out += strconv.Itoa(m) + "M"
	}
	return out
}
