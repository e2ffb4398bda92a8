package tasting

import (
	"errors"
	"fmt"
	"maps"
	"slices"
)

// Sheet is one judge's scores for one plate, by criterion key. A key that is
// absent was not scored: somebody who only saw pictures leaves taste out.
type Sheet struct {
	Judge  int64             `json:"judge"`
	Plate  int64             `json:"plate"`
	Scores map[string]Points `json:"scores"`
}

// What can be wrong with a sheet.
var (
	ErrEmptySheet       = errors.New("the sheet holds no score")
	ErrOffScale         = errors.New("the score is not on the scale")
	ErrUnknownCriterion = errors.New("the sheet scores something that is no criterion of this tasting")
	ErrUnknownPlate     = errors.New("the plate is not served in this tasting")
)

// Check compares a sheet with the criteria. The error wraps ErrEmptySheet,
// ErrOffScale or ErrUnknownCriterion and names the criterion.
func (s Sheet) Check(criteria []Criterion) error {
	if len(s.Scores) == 0 {
		return ErrEmptySheet
	}
	known := 0
	for _, c := range criteria {
		score, found := s.Scores[c.Key]
		if !found {
			continue
		}
		known++
		if !c.Scale.Valid(score) {
			return fmt.Errorf("%s: %s is not between %s and %s in steps of %s: %w",
				c.Name, score, c.Scale.Min, c.Scale.Max, c.Scale.Step, ErrOffScale)
		}
	}
	if known == len(s.Scores) {
		return nil
	}
	for _, key := range slices.Sorted(maps.Keys(s.Scores)) {
		if !slices.ContainsFunc(criteria, func(c Criterion) bool { return c.Key == key }) {
			return fmt.Errorf("%q: %w", key, ErrUnknownCriterion)
		}
	}
	return nil
}

// Missing lists the criteria that the sheet leaves out, in their order.
func (s Sheet) Missing(criteria []Criterion) []string {
	var keys []string
	for _, c := range criteria {
		if _, found := s.Scores[c.Key]; !found {
			keys = append(keys, c.Key)
		}
	}
	return keys
}
