package pantry_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/pantry"
)

func TestCitationSpellsOutCodes(t *testing.T) {
	require.Equal(t, "FSIS, Deep Fat Frying and Food Safety; my own notes", pantry.Citation("FSIS-FRY; my own notes"))
	require.Equal(t, "common practice, no source", pantry.Citation("CP"))
}
