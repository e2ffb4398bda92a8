package web

import (
	"slices"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
	"fairladle/web/views"
)

// comparedReading is a reading with what its steps need and the challenge's
// kitchen does not have.
func comparedReading(words string, b recipe.Breakdown, c challenge.Challenge) views.Reading {
	var missing []string
	for _, x := range c.Kitchen {
		if x.Count == 0 {
			missing = append(missing, x.Name)
		}
	}
	b.Findings = append(slices.Clone(b.Findings), b.Lacking(missing)...)
	return views.NewReading(words, b)
}

// correctedReading reads a text that is still being written, with what was
// corrected so far.
func correctedReading(words string, cs []recipe.Correction, c challenge.Challenge) views.Reading {
	b, _ := recipe.Read(words).Apply(words, cs)
	return comparedReading(words, b, c)
}
