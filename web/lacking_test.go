package web

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
)

// A step that needs what the challenge's kitchen does not have is named.
func TestReadingNamesWhatTheKitchenLacks(t *testing.T) {
	text := "Puree\n\n1 kg leeks\n\nBoil the leeks for 20 minutes.\nPuree them in a blender.\n"
	b := recipe.Read(text)
	before := len(b.Findings)
	with := challenge.Challenge{Kitchen: []challenge.Equipment{{Name: "blender", Count: 1}, {Name: "oven", Count: 0}}}
	without := challenge.Challenge{Kitchen: []challenge.Equipment{{Name: "blender", Count: 0}}}
	require.Len(t, comparedReading(text, b, with).Breakdown.Findings, before)
	got := comparedReading(text, b, without).Breakdown.Findings
	require.Len(t, got, before+1)
	require.Equal(t, "lacks-equipment", got[before].Code)
	require.Len(t, b.Findings, before, "the stored reading stays as it was")

	got = correctedReading(text, nil, without).Breakdown.Findings
	require.Equal(t, "lacks-equipment", got[before].Code, "said before the recipe is sent")
}
