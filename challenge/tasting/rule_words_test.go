package tasting_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/tasting"
	"fairladle/challenge/wording"
)

func TestARuleInWords(t *testing.T) {
	r := rule(tasting.TrimmedMean, tasting.OnCriterion("look"), tasting.HeadToHead, tasting.Draw)
	r.SmallestPanel, r.Below = 3, tasting.NotesOnly
	require.Equal(t, []string{
		"The mark of a sheet is the weighted mean of its scores: Taste counts 3 and Look counts 2.",
		"The scales differ in length, so each score first becomes its share of its scale, from 0 to 100 per cent.",
		"A plate's score is the mean of the marks on its sheets without the highest 20 and the lowest 20 per cent of them, rounded down to whole sheets.",
		"Where a sheet leaves a criterion out, the others make its mark in the same proportions.",
		"A plate that nobody scored gets no place and changes nothing for the others.",
		"Of plates with the same score, the higher place goes to the one with the higher mean for “Look”.",
		"If that does not part them, it goes to the one that wins more duels among them, each duel going to the plate that more of the judges who tasted both marked higher.",
		"If that does not part them, it goes to the one that a recorded draw puts first.",
		"If fewer than three judges hand in, the tasting notes are published without a verdict.",
	}, wording.English(r.Sentences(twoCriteria)))

	for _, kind := range tasting.Kinds() {
		for _, sentence := range wording.English(rule(kind).Sentences(taste)) {
			require.NotEmpty(t, sentence, kind)
			require.NotContains(t, sentence, "%!", kind)
			require.True(t, strings.HasSuffix(sentence, "."), sentence)
		}
		require.False(t, kind.Words().IsZero())
	}
	require.Contains(t, wording.English(rule(tasting.Borda, tasting.LowestVariance).Sentences(taste)), "If nothing parts them, they share their place.")
}

// A plate withdrawn in the middle of the round: its sheets are left out by
// name, and a judge's other sheets count as before.
func TestAPlateIsWithdrawn(t *testing.T) {
	sheets := one([]float64{8, 5, 9}, []float64{7, 6, 9}, []float64{6, 7, 9})
	v := mustTally(t, rule(tasting.WeightedMean), taste, []int64{101, 102}, sheets)
	require.Equal(t, []int64{101, 102}, v.Order())
	require.Len(t, v.LeftOut, 3)
	for _, l := range v.LeftOut {
		require.Equal(t, int64(103), l.Plate)
		require.Equal(t, tasting.ErrUnknownPlate.Error(), l.Reason)
	}
	require.Equal(t, 2, v.Places[0].Firsts, "first among the plates that are left")
}
