package tasting_test

import (
	"fmt"

	"fairladle/challenge/tasting"
)

func ExampleTally() {
	criteria := []tasting.Criterion{
		{Key: "taste", Name: "Taste", Weight: 3, Scale: tasting.Halves(), LowWord: "not for me", HighWord: "again, please"},
		{Key: "look", Name: "Look", Weight: 1, Scale: tasting.Halves()},
	}
	rule := tasting.Rule{
		Kind: tasting.WeightedMean, Missing: tasting.Renormalise,
		TieBreaks:     []tasting.TieBreak{tasting.OnCriterion("taste"), tasting.HeadToHead, tasting.Draw},
		SmallestPanel: 3, Below: tasting.NotesOnly,
	}
	sheets := []tasting.Sheet{
		{Judge: 1, Plate: 417, Scores: map[string]tasting.Points{"taste": 800, "look": 700}},
		{Judge: 1, Plate: 682, Scores: map[string]tasting.Points{"taste": 750, "look": 850}},
		{Judge: 2, Plate: 417, Scores: map[string]tasting.Points{"taste": 900, "look": 600}},
		{Judge: 2, Plate: 682, Scores: map[string]tasting.Points{"taste": 700, "look": 700}},
		{Judge: 3, Plate: 417, Scores: map[string]tasting.Points{"taste": 600, "look": 650}},
		{Judge: 3, Plate: 682, Scores: map[string]tasting.Points{"taste": 650, "look": 600}},
	}
	verdict, err := tasting.Tally(rule, criteria, []int64{417, 682}, sheets)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range verdict.Places {
		fmt.Printf("%d. plate %d: %s points\n", p.Rank, p.Plate, p.Exact.FloatString(3))
	}
	for _, sentence := range verdict.Words {
		fmt.Println(sentence)
	}
	// Output:
	// 1. plate 417: 7.375 points
	// 2. plate 682: 7.042 points
	// Plate 417 came first.
	// One of three judges put plate 417 first, and one more put it level with another.
	// One of three judges put plate 682 first, and one more put it level with another.
}
